"""What the demo is there to show: a lead, a stop with its candidates, a bob window; and no lead on what is sound."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from standwatch.bootstrap import DEMO_BEGINS, demo_ledger, open_stand
from standwatch.judge.level import levels_of
from standwatch.model.answers import NotYetKnown
from standwatch.service.views import StandView


@pytest.fixture(scope="module")
def view(tmp_path_factory: pytest.TempPathFactory) -> Iterator[StandView]:
    """The stand as it is seen when the demo begins."""
    stand = open_stand(tmp_path_factory.mktemp("demo") / "demo.sqlite")
    stand.import_ledger([demo_ledger()], DEMO_BEGINS)
    yield stand.view(DEMO_BEGINS)
    stand.close()


def test_the_demo_shows_a_falling_swing_and_no_lead_on_sound_clocks(view: StandView) -> None:
    leads = {each.tag: [lead.code for lead in each.estimates.leads] for each in view.assessments}
    assert "swing-falls" in leads["2417"]
    # what the rest does was made without a fault, or with one that no pattern shows (a slip, a run-out, a stop)
    assert {tag: codes for tag, codes in leads.items() if codes and tag != "2417"} == {}


def test_a_stop_with_its_candidates(view: StandView) -> None:
    [stop] = next(each for each in view.assessments if each.tag == "2411").going.stops
    assert not stop.explained
    assert [round(odds, 2) for _, odds in stop.candidates] == [0.5, 0.5]  # a spring's dial leaves both half-days


def test_bob_windows_now_and_ahead_on_the_stand_and_in_a_case(view: StandView) -> None:
    found = {}
    for each in view.assessments:
        levels = levels_of(each.estimates)
        assert not isinstance(levels, NotYetKnown) or each.going.hangs is not None
        found[each.tag] = () if isinstance(levels, NotYetKnown) else levels
    [now] = found["2417"]
    assert now.open_at(DEMO_BEGINS)
    [ahead] = found["2418"]
    assert ahead.enters.low > DEMO_BEGINS
    assert (ahead.in_case, ahead.measured) == (False, True)
    [cased] = found["2398"]
    assert cased.enters.at > DEMO_BEGINS
    assert cased.in_case
