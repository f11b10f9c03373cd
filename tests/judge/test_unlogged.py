"""Work that the readings betray and nobody logged: its words, how to log it, and what follows once it is logged."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

import pytest

from standwatch.judge.assessment import Assessment, Need
from standwatch.judge.unlogged import newly_betrayed, unlogged_of
from standwatch.model.answers import Quantity
from standwatch.model.words import NextStep, Work
from tests.judge.judged import assessed, when
from tests.stories import ZONE, daily


def turned(last: str, *more: str, kind: str = "longcase", rate: float = 3, by: float = 13) -> Assessment:
    """Read each day from 2 November; at six in the evening of the 9th somebody turns the nut by `by` s/day."""
    read = daily("11-02 08:05", f"{last} 08:05", f"error_s={{{rate}*d+{by}*max(d-7.41,0):.1f}}")
    return assessed(kind, [*read, *more], now=f"{last} 08:30", unlock_deg="1.9" if kind == "longcase" else None)


def set_back(last: str, *more: str, seconds: float = 290, first: str = "11-02") -> Assessment:
    """Gains 3 s a day; a week after the first reading the hands are found `seconds` back."""
    read = daily(f"{first} 08:05", f"{last} 08:05", f"error_s={{3*d-({seconds} if d>7.5 else 0):.1f}}")
    return assessed("longcase", [*read, *more], now=f"{last} 08:30")


def dialled(first: str, last: str, moved: str) -> Iterator[str]:
    """Dials of a clock that gains 5 s a day, read each civil morning; at `moved` it is set back an hour."""
    day, until = when(f"{first} 08:05").astimezone(ZONE), when(f"{last} 08:05")
    start = day
    while day <= until:
        shown = (day - start) / timedelta(days=1) * 5 + (day < when(moved)) * 3600.0
        dial = datetime.combine(day.date(), day.time()) - (day.utcoffset() or timedelta()) + timedelta(seconds=shown)
        yield f"{day:%m-%d %H:%M} dial={dial.hour % 12 or 12}:{dial:%M:%S}"
        day += timedelta(days=1)  # of civil time: aware arithmetic within one zone


def said(told: Assessment) -> tuple[str, str]:
    [work] = unlogged_of(told.estimates)
    return work.text, work.mend


def test_a_turn_of_the_nut_in_words() -> None:
    text, mend = said(turned("11-16"))
    assert text == "nut turned, not logged? about 13 s/day faster, between Mon 9 and Tue 10 Nov"
    assert mend == "log it: standwatch work T1 nut --at 2026-11-09T08:05"
    slower, _ = said(turned("11-16", by=-13))
    assert "about 13 s/day slower" in slower


@pytest.mark.parametrize(("kind", "rate", "by"), [("carriage", 3, 120), ("torsion", 3, 130)])
def test_what_has_no_bob_has_an_index(kind: str, rate: float, by: float) -> None:
    told = turned("11-20", kind=kind, rate=rate, by=by)
    [work] = unlogged_of(told.estimates)
    assert work.short == "index moved?"
    assert work.text.startswith("index moved, not logged? about 1")
    assert "nut" not in work.text


def test_small_turns_keep_a_tenth() -> None:
    text, _ = said(turned("11-16", kind="regulator", rate=0.1, by=6))
    assert text.startswith(("nut turned, not logged? about 5.", "nut turned, not logged? about 6."))


def test_hands_set_in_words() -> None:
    text, mend = said(set_back("11-16"))
    assert text == "hands set, not logged? 4:50 back, between Mon 9 and Tue 10 Nov"
    assert mend == "log it: standwatch work T1 hands-set --at 2026-11-09T08:05"
    text, _ = said(set_back("11-16", seconds=-58))
    assert text == "hands set, not logged? 58 s forward, between Mon 9 and Tue 10 Nov"


def test_between_readings_of_one_day_or_of_two_months() -> None:
    read = [
        *daily("11-02 08:05", "11-09 08:05", "error_s={3*d:.1f}"),
        *daily("11-09 16:30", "11-16 16:30", "error_s={3*(d+7.35)+300:.1f}"),
    ]
    text, _ = said(assessed("longcase", read, now="11-16 16:40"))
    assert text == "hands set, not logged? 5:00 forward, on Mon 9 Nov between 08:05 and 16:30"
    text, _ = said(set_back("11-08", first="10-24"))
    assert text == "hands set, not logged? 4:50 back, between Sat 31 Oct and Sun 1 Nov"


def test_an_hour_at_the_civil_change_is_summer_time() -> None:
    # the clocks go back on Sunday, 25 October 2026 (Directive 2000/84/EC: the last Sunday of October)
    read = list(dialled("10-12", "11-02", "10-27 12:00"))
    told = assessed("longcase", read, now="11-02 08:30")
    text, mend = said(told)
    assert text == "summer time, not logged? an hour back, between Tue 27 and Wed 28 Oct"
    assert mend == "log it: standwatch work T1 summer-time --at 2026-10-27T08:05"
    logged = assessed("longcase", [*read, "10-27 08:06 work=summer-time"], now="11-02 08:30")
    assert not unlogged_of(logged.estimates)
    assert not logged.estimates.time.suspects
    assert isinstance(logged.estimates.time.rate, Quantity)
    assert logged.estimates.time.rate.estimate == pytest.approx(5, abs=0.5)


def test_an_hour_told_in_seconds_is_the_hands() -> None:
    read = daily("10-15 08:05", "11-04 08:05", "error_s={3*d-(3600 if d>10.5 else 0):.1f}")
    text, mend = said(assessed("longcase", read, now="11-04 08:30"))
    assert text == "summer time, not logged? an hour back, between Sun 25 and Mon 26 Oct"
    assert " hands-set " in mend
    logged = assessed("longcase", [*read, "10-25 08:06 work=hands-set"], now="11-04 08:30")
    assert not unlogged_of(logged.estimates)


def test_an_hour_far_from_a_civil_change_is_not() -> None:
    read = daily("11-10 08:05", "11-28 08:05", "error_s={3*d-(3600 if d>7.5 else 0):.1f}")
    text, _ = said(assessed("longcase", read, now="11-28 08:30"))
    assert text == "hands set, not logged? 1:00:00 back, between Tue 17 and Wed 18 Nov"


def test_a_tag_with_a_space_is_quoted() -> None:
    read = daily("11-02 08:05", "11-16 08:05", "error_s={3*d-(290 if d>7.5 else 0):.1f}")
    told = assessed("longcase", read, now="11-16 08:30", tag="hall clock")
    assert said(told)[1] == "log it: standwatch work 'hall clock' hands-set --at 2026-11-09T08:05"


def test_it_is_the_next_step_where_nothing_presses_and_only_for_a_week() -> None:
    told = turned("11-13")
    assert told.need is Need.REST
    assert told.next.code is NextStep.LOOK
    assert told.next.short == "nut turned?"
    assert told.next.text == "; ".join(said(told))
    assert set_back("11-16").next.short == "hands set?"
    late = set_back("11-19")
    assert late.next.short != "hands set?"
    assert late.need is Need.REST
    assert unlogged_of(late.estimates)  # the clock's page still says it


def test_what_presses_goes_first() -> None:
    read = daily("11-02 08:05", "11-15 08:05", "error_s={3*d-(290 if d>7.5 else 0):.1f}")
    unread = assessed("longcase", read, now="11-16 08:30")
    assert (unread.need, unread.next.code) == (Need.UNREAD, NextStep.READ)
    found = turned("11-16", "11-16 08:20 work=stopped explained=yes")
    assert (found.need, found.next.code) == (Need.STANDS_STILL, NextStep.RESTART)
    assert turned("11-20").need is Need.ADJUST


@pytest.mark.parametrize("logged", ["work=nut amount=0.5", "work=nut"])
@pytest.mark.parametrize("hour", ["11-09 08:06", "11-09 18:00", "11-10 07:50"])
def test_logged_afterwards_it_is_doubted_no_more_and_the_rate_is_the_same(logged: str, hour: str) -> None:
    before, after = turned("11-20"), turned("11-20", f"{hour} {logged}")
    assert unlogged_of(before.estimates)
    assert not unlogged_of(after.estimates)
    assert not after.estimates.time.suspects
    one, two = before.estimates.time.rate, after.estimates.time.rate
    assert isinstance(one, Quantity)
    assert isinstance(two, Quantity)
    assert two.estimate == pytest.approx(one.estimate, abs=0.2)
    assert two.doubt == pytest.approx(one.doubt, rel=0.3)


def test_what_is_known_anew() -> None:
    early, now = turned("11-11"), turned("11-16")
    assert not early.estimates.time.suspected_work
    [work] = newly_betrayed(early.estimates.time.suspected_work, now.estimates)
    assert work.work is Work.NUT
    assert not newly_betrayed(turned("11-15").estimates.time.suspected_work, now.estimates)


def test_no_other_readings_to_hold_it_against() -> None:
    apart = [f"11-0{n + 2} 08:05 error_s={21000 * (-1) ** n}" for n in range(6)]
    told = assessed("longcase", apart, now="11-07 08:30")
    assert told.next.text == (
        "read again: 5:50:00 slow on Sat 7 Nov 08:05, one of 6 readings that contradict each other"
    )
    time = told.estimates.time
    assert getattr(told.error_s, "because", "") == "6 readings that contradict each other: read again"
    assert getattr(time.rate, "because", "") == (
        "so far 6 readings that contradict each other; a rate wants two that agree"
    )
    few = next(v.because for v in told.verdicts if v.requirement.value == "mean-rate")
    assert few == "0 of 5 sound readings"


def test_the_readings_before_a_restart_are_no_other_readings() -> None:
    read = [*daily("11-02 08:05", "11-06 08:05", "error_s={3*d:.1f}"), "11-06 10:00 work=stopped explained=yes"]
    wild = ["11-06 11:00 work=restarted", "11-07 08:05 error_s=20000", "11-08 08:05 error_s=-20000"]
    told = assessed("longcase", [*read, *wild], now="11-08 08:30")
    assert "by the other readings" not in told.next.text
    assert told.next.text.endswith("one of 2 readings that contradict each other")
    assert getattr(told.error_s, "because", "") == (
        "it was restarted on Fri 6 Nov; since then 2 readings that contradict each other: read again"
    )


def test_one_that_the_others_contradict() -> None:
    read = daily("11-02 08:05", "11-12 08:05", "error_s={3*d:.1f}")
    told = assessed("longcase", [*read, "11-13 08:05 error_s=320"], now="11-13 08:30")
    assert told.next.text == "read again: 5:20 fast on Fri 13 Nov 08:05, 0:33 fast by the other readings"
