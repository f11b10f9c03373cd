"""When an hour or a quarter sounds by the clock's own dial, which hours no open shop hears, and what those cost."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import time
from typing import Any

import pytest

from standwatch.horology.rounds import Rounds
from standwatch.judge.case import Case
from standwatch.judge.sounding import closed_words, next_quarter, staging_words, strokes
from tests.judge.judged import MON_FRI, case, when
from tests.stories import ZONE, daily

READ = daily("11-02 08:05", "11-13 08:05", "error_s=0")
FRIDAY = "11-13 12:20"


def longcase(*lines: str, now: str = FRIDAY, at: time = time(8), **columns: Any) -> Case:
    return case("longcase", [*READ, *lines], now=now, shop=Rounds(ZONE, at, MON_FRI), **columns)


def test_a_shop_open_from_eight_to_six_never_hears_seven() -> None:
    heard = strokes(longcase())
    assert heard.closed(range(1, 13)) == (7,)
    assert heard.of(6) == when("11-13 18:00"), "whoever closes at six hears it"
    assert heard.of(8) == when("11-16 08:00"), "Monday's, the shop is closed on Saturday"
    assert heard.of(12) == when("11-16 12:00"), "today's is past"


@pytest.mark.parametrize(
    ("opens", "closed"), [(time(7), (6,)), (time(9), (8,)), (time(8, 30), (7, 8)), (time(21), (8,))]
)
def test_the_books_own_round_says_when_it_is_open(opens: time, closed: tuple[int, ...]) -> None:
    """Ten hours from the round on: from nine it hears nine to seven, from half past eight nine to six."""
    assert strokes(longcase(at=opens)).closed(range(1, 13)) == closed


def test_after_closing_the_next_open_day_counts() -> None:
    assert strokes(longcase(now="11-13 18:30")).of(9) == when("11-16 09:00")
    assert strokes(longcase(now="11-14 10:30")).of(11) == when("11-16 11:00"), "on a Saturday"
    assert strokes(longcase(now="11-16 07:30")).of(8) == when("11-16 08:00"), "before the round"


def test_the_clock_strikes_by_its_own_dial() -> None:
    fast = daily("11-02 08:05", "11-13 08:05", "error_s=1200")
    told = case("longcase", fast, now=FRIDAY)
    at = strokes(told).of(1)
    assert at is not None
    assert abs((at - when("11-13 12:40")).total_seconds()) < 5
    shifted = longcase("11-12 09:00 work=hours-shifted amount=2")
    assert strokes(shifted).of(7) == when("11-13 17:00")
    assert strokes(shifted).closed(range(1, 13)) == (9,), "it shows nine at seven"


def test_a_dial_left_on_summer_time_strikes_an_hour_early() -> None:
    """The clocks go back on 25 October 2026."""
    before = daily("10-19 08:05", "10-26 08:05", "error_s=0")
    left = case("longcase", before, now="10-26 09:30")
    assert strokes(left).of(11) == when("10-26 10:00")
    held = case("longcase", [*before, "10-26 08:30 work=summer-time amount=-3600"], now="10-26 09:30")
    assert strokes(held).of(11) == when("10-26 11:00")


def test_the_least_shift_that_brings_all_that_are_wanted() -> None:
    heard = strokes(longcase())
    assert heard.shift_for([7]) == 1
    assert heard.shift_for([7, 8]) == 2, "one hour on, eight would sound at seven"
    assert heard.shift_for([7, 8, 9, 10]) == 4
    assert heard.shift_for(range(1, 13)) is None


def closed(told: Case, wanted: Iterable[int]) -> str:
    return closed_words(strokes(told), tuple(wanted), told.traits)


def test_nothing_is_proposed_as_long_as_no_one_shift_brings_all() -> None:
    assert closed(longcase(), range(1, 13)) == ""
    assert closed(longcase(), [9, 10]) == ""
    assert closed(longcase(), [7, 9]).startswith("seven sounds only when the shop is closed: shift the hours once,")
    both = closed(longcase(at=time(8, 30)), [7, 8])
    assert both.startswith(
        "they sound only when the shop is closed: shift the hours once, the hands 2 hours on, or stage"
    )


def test_what_staging_by_hand_costs() -> None:
    """12 to 15 minutes on a chimer and half a day's fall (common practice).

    Twelve hours let out 78 blows and 480 notes (Beckett, A Rudimentary Treatise on Clocks, 8th ed., p. 174).
    """
    chimer = staging_words(case("floor-chiming", [], now=FRIDAY).traits)
    minutes = int(re.findall(r"\d+", chimer)[0])
    assert 12 <= minutes <= 15
    assert chimer == f"about {minutes} minutes and half a day's fall"
    assert minutes == round((78 * 2.0 + 480 * 0.7 + 48 * 6.0) / 60)
    assert staging_words(case("longcase", [], now=FRIDAY).traits) == "about 4 minutes and half a day's fall"
    halves = case("mantel", [], now=FRIDAY, half_hour="yes").traits
    assert staging_words(halves) == "about 5 minutes and half a day of its wind"


def chimer(*lines: str, now: str = FRIDAY, **columns: Any) -> Case:
    return case("floor-chiming", [*READ, *lines], now=now, **columns)


def test_the_next_quarter_of_those_that_are_wanted() -> None:
    assert next_quarter(chimer(), when(FRIDAY)) == when("11-13 12:30")
    assert next_quarter(chimer(), when("11-13 12:30")) == when("11-13 12:45"), "strictly after"
    assert next_quarter(chimer(), when(FRIDAY), (3,)) == when("11-13 12:45")
    assert next_quarter(chimer(), when(FRIDAY), (1, 4)) == when("11-13 13:00")


def test_a_quarter_sounds_by_the_clocks_own_dial() -> None:
    fast = case("floor-chiming", daily("11-02 08:05", "11-13 08:05", "error_s=300"), now=FRIDAY)
    assert abs((next_quarter(fast, when(FRIDAY)) - when("11-13 12:25")).total_seconds()) < 5
    near = case("floor-chiming", daily("11-02 08:05", "11-13 08:05", "error_s=20"), now=FRIDAY)
    assert next_quarter(near, when(FRIDAY)) == when("11-13 12:30"), "whoever listens waits so long"


def test_no_quarter_sounds_in_the_nights_silence() -> None:
    kept = chimer(night_silence="22:00-09:00")
    assert next_quarter(kept, when("11-16 08:00")) == when("11-16 09:00")
    assert next_quarter(kept, when("11-16 08:00"), (1,)) == when("11-16 09:15")
    assert next_quarter(kept, when("11-16 21:46")) == when("11-17 09:00")
    shifted = chimer("11-12 09:00 work=hours-shifted amount=2", night_silence="22:00-09:00")
    assert next_quarter(shifted, when("11-16 06:00")) == when("11-16 07:00"), "its dial shows nine at seven"
