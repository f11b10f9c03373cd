"""The demo's leads: the falling swing of A3, and none on what is sound."""

from __future__ import annotations

from pathlib import Path

from standwatch.bootstrap import DEMO_BEGINS, demo_ledger, open_stand


def test_the_demo_shows_a_falling_swing_and_no_lead_on_sound_clocks(tmp_path: Path) -> None:
    stand = open_stand(tmp_path / "demo.sqlite")
    stand.import_ledger([demo_ledger()], DEMO_BEGINS)
    view = stand.view(DEMO_BEGINS)
    leads = {each.tag: [lead.code for lead in each.estimates.leads] for each in view.assessments}
    stand.close()
    assert "swing-falls" in leads["2417"]
    # what the rest does was made without a fault, or with one that no pattern shows (a slip, a run-out, a stop)
    assert {tag: codes for tag, codes in leads.items() if codes and tag != "2417"} == {}
