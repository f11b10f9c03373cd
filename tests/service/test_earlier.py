"""Earlier jobs on the same clock: found by tag, with what came of them; a broken chain is said."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.model.errors import BadValue
from standwatch.service.stand import Stand
from tests.shop import NOW, regulator_ready, write_ledger


def delivered(stand: Stand, folder: Path, tag: str, **columns: object) -> None:
    """A regulator that went home with its oil waived, came back once, and is at its owner's."""
    clock, rows = regulator_ready(tag, missing="oil")
    stand.import_ledger([write_ledger(folder / tag, [{**clock, **columns}], rows)], NOW)
    stand.release(tag, by="K. M.", waive={"oil": "owner in haste"}, now=NOW)
    stand.deliver(tag, {"at": NOW + timedelta(hours=1)}, NOW + timedelta(hours=1))
    stand.callback(tag, {"code": "mechanical"}, NOW + timedelta(days=3))


def test_a_chain_of_jobs_is_told_the_latest_first(stand: Stand, tmp_path: Path) -> None:
    delivered(stand, tmp_path, "1201", repaired="bushes of the going train")
    stand.add_clock({"tag": "1850", "kind": "regulator", "earlier_tag": "1201"}, NOW)
    stand.add_clock({"tag": "2417", "kind": "regulator", "earlier_tag": "1850"}, NOW)
    newer, older = stand.earlier_jobs("2417")
    assert (newer.tag, newer.released_at, newer.delivered_at, newer.trouble) == ("1850", None, None, "")
    assert (older.tag, older.released_at, older.released_by) == ("1201", NOW, "K. M.")
    assert (older.waived, older.called_back) == (("oil",), ("mechanical",))
    assert (older.repaired, older.delivered_at) == ("bushes of the going train", NOW + timedelta(hours=1))
    assert [job.tag for job in stand.later_jobs("1201")] == ["1850"]
    assert stand.earlier_jobs("1201") == ()
    assert stand.later_jobs("2417") == ()


def test_a_clock_taken_back_still_tells_its_last_release(stand: Stand, tmp_path: Path) -> None:
    delivered(stand, tmp_path, "1201")
    stand.reopen("1201", reason="came back", now=NOW + timedelta(days=4))
    stand.add_clock({"tag": "2417", "kind": "regulator", "earlier_tag": "1201"}, NOW)
    checked = NOW + timedelta(days=4, hours=1)
    stand.check_in({"tag": "1201", "at": checked, "work": "oil-checked", "amount": 0, "note": "K. M."}, checked)
    assert [job.waived for job in stand.earlier_jobs("2417")] == [("oil",)]


@pytest.mark.parametrize("named", ["t2", "T2"])
def test_jobs_in_a_circle_are_said(stand: Stand, named: str) -> None:
    stand.add_clock({"tag": "T1", "kind": "mantel", "earlier_tag": named}, NOW)
    stand.add_clock({"tag": "T2", "kind": "mantel", "earlier_tag": "T1"}, NOW)
    before, again = stand.earlier_jobs("T1")
    assert (before.tag, before.trouble) == ("T2", "")
    assert again.tag == "T1"
    assert "circle" in again.trouble


def test_a_clock_that_names_itself_is_said(stand: Stand) -> None:
    stand.add_clock({"tag": "T1", "kind": "mantel", "earlier_tag": "T1"}, NOW)
    [again] = stand.earlier_jobs("T1")
    assert "circle" in again.trouble
    assert stand.later_jobs("T1") == ()


def test_an_earlier_tag_that_the_book_does_not_have_is_said(stand: Stand) -> None:
    stand.add_clock({"tag": "T1", "kind": "mantel", "earlier_tag": "0007"}, NOW)
    [gone] = stand.earlier_jobs("T1")
    assert (gone.tag, gone.kind) == ("0007", "")
    assert "no such clock" in gone.trouble
    with pytest.raises(BadValue, match="no clock is called"):
        stand.earlier_jobs("T9")
