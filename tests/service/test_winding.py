"""The winding board: order, what to do before the next round, and why; by small ledgers in a real book."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from standwatch.model.answers import Moment, NotYetKnown
from standwatch.model.words import Train
from standwatch.service.bench.winding import TrainLine, WindingBoard, winding_of, winds_told
from standwatch.service.stand import Stand

ZONE = ZoneInfo("Europe/London")
FRIDAY = datetime(2026, 11, 20, 9, 0, tzinfo=ZONE).astimezone(UTC)
"""After the round; the next one is Monday 23 November 08:00."""


def board(stand: Stand, now: datetime = FRIDAY) -> WindingBoard:
    return winding_of(stand.view(now))


def weights(stand: Stand, tag: str, wound_days_ago: int, **columns: object) -> None:
    """A longcase read each morning since it was wound, going 165 mm a day."""
    stand.add_clock({"tag": tag, "kind": "longcase", **columns}, FRIDAY)
    start = FRIDAY - timedelta(days=wound_days_ago)
    stand.check_in({"tag": tag, "at": start, "error_s": 0, "work": "wound"}, FRIDAY)
    for day in range(1, wound_days_ago + 1):
        cells = {"error_s": 0.5 * day, "going_mm": 165 * day, "strike_mm": 160 * day}
        stand.check_in({"tag": tag, "at": start + timedelta(days=day), **cells}, FRIDAY)


def only(lines: WindingBoard, tag: str) -> list[TrainLine]:
    return [line for line in lines.lines if line.tag == tag]


def test_what_runs_out_before_the_next_round_stands_first_and_soonest_first(stand: Stand) -> None:
    weights(stand, "LATE", 2)
    weights(stand, "SOON", 7)
    found = board(stand)
    assert [(line.tag, line.before_round) for line in found.lines[:2]] == [("SOON", True), ("SOON", True)]
    assert all(line.tag == "LATE" and not line.before_round and not line.do for line in found.lines[2:])
    assert found.above == len(found.running_out) == 2
    first, moment = found.first or pytest.fail("something runs out")
    assert first.tag == "SOON"
    # 1402 mm from the top at 165 a day is 8.5 days from Friday a week before: Saturday evening
    assert moment.at == pytest.approx(FRIDAY + timedelta(days=1.5), abs=timedelta(hours=5))


def test_a_train_that_seems_stuck_is_not_wound_for_the_next_round(stand: Stand) -> None:
    """Its weight hangs at 1020 mm since the day before yesterday, and would be down on Sunday if it went on."""
    weights(stand, "HANGS", 6)
    stand.check_in({"tag": "HANGS", "at": FRIDAY, "work": "wound", "train": "going"}, FRIDAY)
    later = FRIDAY
    for day in (1, 2):
        later = FRIDAY + timedelta(days=day)
        stand.check_in({"tag": "HANGS", "at": later, "error_s": 4, "going_mm": 165 * day, "strike_mm": 960}, later)
    going, strike = only(board(stand, later), "HANGS")
    assert (strike.trains, strike.do, strike.because, strike.before_round) == (
        (Train.STRIKE,),
        "",
        "seems stuck",
        False,
    )
    assert isinstance(strike.runs_out, NotYetKnown)
    assert strike.explained.startswith("the strike seems stuck and runs out at no time; if it went on from now, from ")
    assert isinstance(going.runs_out, Moment)


def test_left_alone_it_proves_its_full_run(stand: Stand) -> None:
    weights(stand, "SOON", 7)
    assert {line.do for line in only(board(stand), "SOON")} == {"let run out"}
    assert all("proves" in line.because for line in only(board(stand), "SOON"))


def test_a_run_that_is_proved_is_wound(stand: Stand) -> None:
    weights(stand, "SOON", 9, going_usable_mm=2000, strike_usable_mm=2000)
    again = FRIDAY + timedelta(hours=1)
    stand.check_in({"tag": "SOON", "at": again, "work": "wound", "amount": 200}, again)
    later = FRIDAY + timedelta(days=4)
    found = only(board(stand, later), "SOON")
    assert found
    assert {(line.do, line.because) for line in found if line.before_round} == {("wind", "full run proved")}


def test_one_that_would_not_last_is_wound_with_the_reason(stand: Stand) -> None:
    weights(stand, "SHORT", 6, going_usable_mm=1100, strike_usable_mm=1100)
    found = only(board(stand), "SHORT")
    assert {(line.do, line.because) for line in found} == {("wind", "may not reach 192 h")}
    assert "prove nothing" in found[0].explained


def test_one_weight_is_one_line(stand: Stand) -> None:
    stand.add_clock({"tag": "CHAIN", "kind": "longcase-30h"}, FRIDAY)
    stand.check_in({"tag": "CHAIN", "at": FRIDAY, "work": "wound"}, FRIDAY)
    [line] = board(stand).lines
    assert (line.name, line.cells) == ("both", {"tag": "CHAIN", "work": "wound"})
    assert isinstance(line.runs_out, Moment)


def test_a_clock_never_wound_says_so_last(stand: Stand) -> None:
    stand.add_clock({"tag": "NEW", "kind": "mantel"}, FRIDAY)
    stand.check_in({"tag": "NEW", "at": FRIDAY, "error_s": 3}, FRIDAY)
    weights(stand, "LATE", 2)
    found = board(stand).lines
    assert (found[-1].tag, found[-1].name, found[-1].do) == ("NEW", "both", "")
    assert isinstance(found[-1].runs_out, NotYetKnown)


def test_what_hangs_stands_above_all_and_asks_for_its_cause_first(stand: Stand) -> None:
    weights(stand, "SOON", 7)
    stand.add_clock({"tag": "HUNG", "kind": "mantel"}, FRIDAY)
    stand.check_in({"tag": "HUNG", "at": FRIDAY - timedelta(days=2), "work": "wound"}, FRIDAY)
    stand.check_in({"tag": "HUNG", "at": FRIDAY - timedelta(days=1), "error_s": 3}, FRIDAY)
    stop = stand.check_in({"tag": "HUNG", "at": FRIDAY, "dial": "3:47", "work": "stopped"}, FRIDAY)
    hung = board(stand).lines[0]
    assert (hung.tag, hung.do, hung.ran_out, hung.may_restart) == ("HUNG", "explain first", False, False)
    assert hung.because == "read the dial", "a spring has no weights to read"
    stand.correct(stop.id, {"explained": "yes"}, FRIDAY)
    hung = board(stand).lines[0]
    assert (hung.do, hung.may_restart) == ("restart", True)


def test_a_run_out_is_wound_then_set_going(stand: Stand) -> None:
    stand.add_clock({"tag": "DAY", "kind": "cuckoo"}, FRIDAY)
    stand.check_in({"tag": "DAY", "at": FRIDAY - timedelta(days=2), "work": "wound", "error_s": 0}, FRIDAY)
    stand.check_in({"tag": "DAY", "at": FRIDAY, "work": "ran-out"}, FRIDAY)
    [line] = board(stand).lines
    assert (line.ran_out, line.do, line.because) == (True, "wind, restart", "ran 30 h: no fault")
    assert board(stand).running_out == ()
    stand.check_in({"tag": "DAY", "at": FRIDAY, "work": "wound"}, FRIDAY)
    [line] = board(stand).lines
    assert (line.do, line.may_restart) == ("restart", True)
    stand.check_in({"tag": "DAY", "at": FRIDAY, "work": "restarted"}, FRIDAY)
    assert all(each.hung_since is None for each in board(stand).lines)


def test_a_strike_that_ran_out_alone_is_wound(stand: Stand) -> None:
    weights(stand, "LATE", 2)
    stand.check_in({"tag": "LATE", "at": FRIDAY, "work": "ran-out", "train": "strike"}, FRIDAY)
    first = board(stand).lines[0]
    assert (first.name, first.ran_out, first.do) == ("strike", True, "wind")
    assert first.cells == {"tag": "LATE", "work": "wound", "train": Train.STRIKE}


def test_a_reference_and_a_clock_at_home_have_nothing_to_wind(stand: Stand) -> None:
    stand.add_clock({"tag": "REF", "kind": "reference"}, FRIDAY)
    stand.check_in({"tag": "REF", "at": FRIDAY, "error_s": 0}, FRIDAY)
    found = board(stand)
    assert found.lines == ()
    assert found.first is None


def test_marks_on_all_trains_of_a_clock_are_one_fact(stand: Stand) -> None:
    weights(stand, "ONE", 2)
    weights(stand, "TWO", 3)
    found = board(stand)
    going = [line.key for line in found.lines if line.name == "going"]
    strike = next(line.key for line in found.lines if line.key == ("ONE", (Train.STRIKE,)))
    told = winds_told(found, {*going, strike})
    assert {tuple(sorted(cells.items())) for cells in told} == {
        (("tag", "ONE"), ("work", "wound")),
        (("tag", "TWO"), ("train", Train.GOING), ("work", "wound")),
    }
    assert winds_told(found, set()) == ()
