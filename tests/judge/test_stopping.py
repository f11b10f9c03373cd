"""What is said of a stop: how it was found, when it was, what is still wanted."""

from __future__ import annotations

from typing import Any

import pytest

from standwatch.judge.assess import assess
from standwatch.judge.stopping import stopped_when, stops_told
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import NextStep
from tests.judge.judged import case
from tests.stories import daily

WEEK = [
    "11-02 08:00 error_s=0 going_mm=0 strike_mm=0 work=wound",
    *daily("11-03 08:00", "11-06 08:00", "error_s={0*d:.0f} going_mm={165*(d+1):.0f} strike_mm={165*(d+1):.0f}"),
]


def texts(lines: list[str], *, kind: str = "longcase", now: str = "11-09 09:00", **columns: Any) -> list[str]:
    told = case(kind, lines, now=now, **columns)
    return [each.text for each in stops_told(told.history, told.going)]


def next_text(lines: list[str], *, kind: str = "longcase", now: str = "11-09 09:00") -> str:
    told = case(kind, lines, now=now)
    found = assess(told.estimates, told.going, told.rounds).next
    assert found.code is NextStep.EXPLAIN
    return found.text


def test_a_weight_picks_the_half_day_and_the_next_step_says_so() -> None:
    """878 mm at 165 a day are 5.32 days: Saturday 15:47."""
    lines = [*WEEK, "11-09 08:00 dial=3:47 going_mm=878 work=stopped"]
    assert texts(lines) == ["found hanging Mon 9 Nov 08:00 at 3:47: it stopped Sat 7 Nov 15:47 (over 99 %)"]
    assert next_text(lines) == (
        "stopped, found Mon 9 Nov: explain it before it is touched; it stopped Sat 7 Nov 15:47 by its dial and weight"
    )
    both = [*WEEK, "11-09 08:00 dial=3:47 going_mm=878 strike_mm=878 work=stopped"]
    assert next_text(both).endswith("by its dial and weights")


def test_a_weight_that_hangs_higher_than_when_it_was_read_tells_no_half_day() -> None:
    [text] = texts([*WEEK, "11-09 08:00 dial=3:47 going_mm=80 work=stopped"])
    assert text == (
        "found hanging Mon 9 Nov 08:00 at 3:47: one of 6 half-days from Fri 6 Nov 15:47 on, by its dial and weight; "
        "its weight hangs higher than when it was last read: wound since, and not told?"
    )
    [told] = texts([*WEEK, "11-06 08:10 work=wound", "11-09 08:00 dial=3:47 going_mm=80 work=stopped"])
    assert "hangs higher" not in told
    [near] = texts([*WEEK, "11-09 08:00 dial=3:47 going_mm=640 work=stopped"])  # 660 when it was read: by a hair
    assert "hangs higher" not in near


def test_a_spring_leaves_every_half_day() -> None:
    mantel = ["11-02 08:00 error_s=0 work=wound", "11-08 08:00 error_s=0", "11-09 08:00 dial=3:47 work=stopped"]
    assert texts(mantel, kind="mantel") == [
        "found hanging Mon 9 Nov 08:00 at 3:47: it stopped Sun 8 Nov 15:47 (50 %) or Mon 9 Nov 03:47 (50 %)"
    ]
    assert next_text(mantel, kind="mantel").endswith("it stopped Sun 8 Nov 15:47 or Mon 9 Nov 03:47 by its dial")


def test_a_spring_whose_key_then_takes_few_turns_had_power_left() -> None:
    lines = ["11-02 08:00 error_s=0 work=wound", "11-11 08:00 error_s=0", "11-11 20:00 dial=3:47 work=ran-out"]
    [hung] = texts(lines, kind="mantel", now="11-11 21:00", going_turns=14)
    assert hung.endswith("it ran out Wed 11 Nov 15:47 (over 99 %)")
    [few] = texts([*lines, "11-11 20:05 amount=4 work=wound"], kind="mantel", now="11-11 21:00", going_turns=14)
    assert few == (
        "found stopped with power left Wed 11 Nov 20:00 at 3:47: it stopped Wed 11 Nov 15:47 (over 99 %); "
        "the key took 4 of 14 turns"
    )
    few_told = case("mantel", [*lines, "11-11 20:05 amount=4 work=wound"], now="11-11 21:00", going_turns=14)
    found = assess(few_told.estimates, few_told.going, few_told.rounds)
    assert found.next.text.startswith("stopped with power left, found Wed 11 Nov: explain it before it is touched")
    assert found.error_s == NotYetKnown("stopped, found Wed 11 Nov")
    [full] = texts([*lines, "11-11 20:05 amount=13.5 work=wound"], kind="mantel", now="11-11 21:00", going_turns=14)
    assert "turns" not in full


def test_a_clock_that_ran_out_and_is_wound_wants_restarting() -> None:
    late = ["11-10 12:00 error_s=0", "11-12 08:00 dial=6:10 going_mm=1402 work=ran-out"]
    told = case("longcase", [*WEEK, *late], now="11-12 09:00")
    found = assess(told.estimates, told.going, told.rounds).next
    assert (found.code, found.short) == (NextStep.WIND, "wind, restart")
    spring = case(
        "mantel", ["11-02 08:00 error_s=0 work=wound", "11-11 20:00 dial=3:47 work=ran-out"], now="11-11 21:00"
    )
    found = assess(spring.estimates, spring.going, spring.rounds).next
    assert found.text == "ran out, found Wed 11 Nov: read the dial, wind and count the turns, restart"
    wound = case("longcase", [*WEEK, *late, "11-12 08:05 work=wound"], now="11-12 09:00")
    found = assess(wound.estimates, wound.going, wound.rounds).next
    assert (found.code, found.text) == (NextStep.RESTART, "ran out, found Thu 12 Nov, wound since: restart it")


def test_of_many_half_days_the_first_is_named() -> None:
    mantel = ["11-02 08:00 error_s=0 work=wound", "11-06 08:00 error_s=0", "11-09 08:00 dial=3:47 work=stopped"]
    assert next_text(mantel, kind="mantel").endswith(
        "it stopped in one of 6 half-days from Fri 6 Nov 15:47 on, by its dial"
    )
    assert texts(mantel, kind="mantel") == [
        "found hanging Mon 9 Nov 08:00 at 3:47: one of 6 half-days from Fri 6 Nov 15:47 on, by its dial"
    ]


def test_a_dial_nobody_noted_tells_nothing() -> None:
    lines = [*WEEK, "11-09 08:00 work=stopped"]
    assert texts(lines) == ["found hanging Mon 9 Nov 08:00, its dial not noted; last seen going Fri 6 Nov 08:00"]
    assert next_text(lines).endswith("explain it before it is touched; dial and weights tell when")


def test_a_dial_that_fits_no_time_had_its_hands_moved() -> None:
    lines = [*WEEK, "11-06 10:00 dial=3:47 work=stopped"]
    assert texts(lines, now="11-06 11:00") == [
        "found hanging Fri 6 Nov 10:00 at 3:47: no time since it was last seen going fits, were its hands moved?"
    ]


def test_a_moon_is_named_where_it_told() -> None:
    lines = ["11-02 08:00 error_s=0 moon_age_d=7 work=wound", "11-06 08:00 error_s=0"]
    told = case("mantel", [*lines, "11-08 08:00 dial=3:47 moon_age_d=11.5 work=stopped"], now="11-08 09:00")
    assert told.going.hangs is not None
    assert stopped_when(told.history, told.going.hangs).endswith("by its dial and moon")


def test_what_is_explained_and_goes_again_is_not_told() -> None:
    lines = [*WEEK, "11-09 08:00 dial=3:47 work=stopped explained=yes"]
    told = case("longcase", lines, now="11-09 09:00")
    [hanging] = stops_told(told.history, told.going)
    assert hanging.mend == ""
    assert texts([*lines, "11-09 08:10 work=restarted"], now="11-10 09:00") == []


def test_each_stop_nobody_explained_is_told_latest_first_with_its_mend() -> None:
    lines = [*WEEK, "11-09 08:00 dial=3:47 work=stopped", "11-09 08:10 work=restarted", "11-10 08:00 error_s=0"]
    told = case("longcase", [*lines, "11-11 08:00 dial=9:30 work=stopped"], now="11-11 09:00")
    first, second = stops_told(told.history, told.going)
    assert first.text.startswith("found hanging Wed 11 Nov 08:00 at 9:30: it stopped Tue 10 Nov 09:30")
    assert second.text.startswith("found hanging Mon 9 Nov 08:00 at 3:47: one of 6 half-days")
    ids = [visit.id for visit in told.history.visits if visit.row.dial]
    assert first.mend == f"once its cause is known: standwatch correct {ids[-1]} explained=yes note='what it was'"


def test_a_strike_that_ran_out_early_is_a_stop_of_its_own() -> None:
    lines = [*WEEK, "11-07 08:00 error_s=0", "11-07 08:00 work=ran-out train=strike"]
    assert texts(lines, now="11-07 09:00") == ["strike found run out Sat 7 Nov 08:00"]


@pytest.mark.parametrize("explained", ["yes", "no"])
def test_a_run_out_in_time_wants_no_explaining(explained: str) -> None:
    late = ["11-10 12:00 error_s=0", f"11-12 08:00 dial=6:10 going_mm=1402 work=ran-out explained={explained}"]
    told = case("longcase", [*WEEK, *late], now="11-12 09:00")
    [hanging] = stops_told(told.history, told.going)
    assert hanging.text.startswith("found run out Thu 12 Nov 08:00 at 6:10: it ran out ")
    assert hanging.mend == ""
