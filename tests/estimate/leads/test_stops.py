"""What stops have in common: the trade's rows about stops, as ledgers (common practice), and what is chance.

A longcase falls 165 mm a day, is wound on Mondays at 08:00 and read every morning; one that stopped is found at eight.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import pytest

from standwatch.estimate.answers import Lead
from tests.estimate.leads.seen import codes, lead, leads

DAY = timedelta(days=1)
START = datetime(2026, 11, 2, 8, 0)  # noqa: DTZ001  # the shop's civil time, a Monday
NOW = "12-24 09:00"


def stopped(*times: str, weights: bool = True, explained: Sequence[int] = (), more: Sequence[str] = ()) -> list[str]:
    """The ledger of a clock that stopped at each of `times` ("11-05 02:56"), found the next morning, set going then."""
    left = [datetime.strptime(f"2026-{t}", "%Y-%m-%d %H:%M") for t in times]  # noqa: DTZ007  # civil time again
    assert left == sorted(left)
    lines, fall, at = [], 0.0, START
    fell = "going_mm=0" if weights else ""
    lines.append(f"{at:%m-%d %H:%M} error_s=0 {fell} work=wound")
    number = 0
    while left or at < START + 7 * DAY:
        last, at = at, at + DAY
        if left and left[0] <= at:
            stop = left.pop(0)
            fall += 165 * ((stop - last) / DAY)
            fell = f"going_mm={fall:.0f}" if weights else ""
            cause = " explained=yes" if number in explained else ""
            lines.append(f"{at:%m-%d %H:%M} dial={stop:%H:%M} {fell} work=stopped{cause}")
            if at.weekday() == 0:
                lines.append(f"{at:%m-%d %H:%M} work=wound")
                fall = 0.0
            lines += [f"{at:%m-%d %H:%M}:30 work=restarted", f"{at:%m-%d %H:%M}:40 error_s=0"]
            number += 1
            continue
        fall += 165.0
        fell = f"going_mm={fall:.0f}" if weights else ""
        wind = "work=wound" if at.weekday() == 0 else ""
        lines.append(f"{at:%m-%d %H:%M} error_s=0 {fell} {wind}")
        fall = 0.0 if wind else fall
    return [*lines, *more]


def told(code: str, ledger: Sequence[str], kind: str = "longcase", **columns: Any) -> Lead:
    found = lead(code, kind, ledger, now=NOW, **columns)
    assert found is not None
    assert 0.6 <= found.odds <= 0.99
    return found


SAME_MINUTE = stopped("11-04 17:33", "11-07 02:32", "11-11 22:33", "11-15 12:34", "11-21 05:32")
BEFORE_HOUR = stopped("11-04 17:57", "11-07 02:56", "11-11 22:57", "11-15 12:58", "11-21 05:57")
SAME_HOUR = stopped("11-04 12:31", "11-07 00:20", "11-11 12:44", "11-15 00:38", "11-21 12:52")
EACH_DAY = stopped("11-04 23:31", "11-07 23:50", "11-11 23:14", "11-15 23:38", "11-21 23:02")
# 660 mm are four days after the wind, Friday at 08:00 if it stood nowhere
SAME_HEIGHT = stopped("11-06 07:20", "11-13 09:48", "11-20 06:05", "11-27 08:31")
SCATTERED = stopped("11-04 17:33", "11-07 02:12", "11-11 21:44", "11-15 10:03", "11-20 06:25", "11-26 15:52")


def test_at_the_same_minute_look_at_the_hands() -> None:
    found = told("stops-same-minute", SAME_MINUTE)
    assert found.text == (
        "all 5 stops came 32 to 34 minutes past the hour: hands touching, the warning's lift or the centre wheel; "
        "look at the clearance of the hands there"
    )
    assert codes("longcase", SAME_MINUTE, now=NOW) == ["stops-same-minute"]


def test_just_before_the_hour_feel_the_lift() -> None:
    found = told("stops-before-hour", BEFORE_HOUR)
    assert "56 to 58 minutes past, just before the hour: the load of the strike" in found.text
    assert "feel the lift with the train let off" in found.text
    assert lead("stops-same-minute", "longcase", BEFORE_HOUR, now=NOW) is None


def test_before_a_quarter_it_is_the_chime() -> None:
    quarter = stopped("11-04 17:12", "11-07 02:13", "11-11 22:12", "11-15 12:14", "11-21 05:12")
    assert "just before the quarter: the load of the chime" in told("stops-before-hour", quarter, "floor-chiming").text
    assert told("stops-same-minute", quarter)
    half = told("stops-before-hour", stopped(*_minutes(28)), half_hour=True)
    assert "just before the half hour: the load of the strike" in half.text


def _minutes(minute: int) -> list[str]:
    return [f"{day} {hour}:{minute}" for day, hour in (("11-04", 17), ("11-07", 11), ("11-11", 22), ("11-15", 12))]


def test_a_clock_that_strikes_nothing_has_nothing_before_the_hour() -> None:
    assert told("stops-same-minute", BEFORE_HOUR, "regulator")


def test_between_twelve_and_one_think_of_the_rack_tail() -> None:
    found = told("stops-same-hour", SAME_HOUR)
    assert "came between 12:20 and 12:52 on the dial: the rack tail caught on the snail's step" in found.text
    assert "disengage it and let it come round again" in found.text


def test_at_one_hour_of_the_day_think_of_moon_and_calendar() -> None:
    found = told("stops-same-hour", EACH_DAY)
    assert "between 23:02 and 23:50 each day: the load of a moon or calendar" in found.text


def test_at_one_height_look_at_the_case_and_the_suspension() -> None:
    found = told("stops-same-height", SAME_HEIGHT)
    assert found.text.startswith("all 4 stops came with the going weight 645 to 670 mm down: level with the bob")
    assert found.text.endswith("steady the stand, look at the suspension")
    bob = told("stops-same-height", SAME_HEIGHT, bob_below_top_mm=600)
    assert "level with the bob at 600 mm" in bob.text
    away = told("stops-same-height", SAME_HEIGHT, bob_below_top_mm=990)
    assert "level with the bob at" not in away.text


def test_stops_with_nothing_in_common_are_scattered() -> None:
    found = told("stops-scattered", SCATTERED)
    assert found.text == (
        "6 stops with no minute, hour or height in common: beat, dirt, a bent tooth or a draught; "
        "set the beat and mark the wheels where it stops"
    )


def test_a_springs_dial_tells_minute_and_hour_alone() -> None:
    """What hour of the day, or how long after the wind, is sure only where it was seen within the half-day."""
    mantel = stopped("11-04 17:33", "11-07 02:32", "11-11 22:33", "11-15 12:34", "11-21 05:32", weights=False)
    assert told("stops-same-minute", mantel, "mantel")
    wide = stopped("11-04 17:33", "11-07 02:12", "11-11 21:44", "11-15 10:03", "11-20 06:25", weights=False)
    assert "no minute or hour in common" in told("stops-scattered", wide, "mantel").text


@pytest.mark.parametrize(
    "ledger",
    [
        stopped("11-04 17:57", "11-07 02:56"),
        stopped("11-04 17:56", "11-07 02:59", "11-11 22:01"),
        stopped("11-04 17:33", "11-07 02:12", "11-11 21:44"),
    ],
    ids=["two", "three within five minutes of the hour", "three apart"],
)
def test_few_stops_say_nothing(ledger: list[str]) -> None:
    assert [code for code in codes("longcase", ledger, now=NOW) if code.startswith("stops-")] == []


def test_a_stop_that_is_explained_has_its_cause() -> None:
    times = ("11-04 17:33", "11-07 02:32", "11-11 22:33", "11-15 12:34", "11-21 05:32")
    assert told("stops-same-minute", stopped(*times, explained=[0])).text.startswith("all 4 stops")
    assert leads("longcase", stopped(*times, explained=[0, 1, 2, 3]), now=NOW) == ()


def test_what_was_before_it_was_opened_is_over() -> None:
    opened = [*SAME_MINUTE, "11-22 09:00 work=opened", "11-23 08:00 error_s=0"]
    assert lead("stops-same-minute", "longcase", opened, now=NOW) is None


def test_a_clock_that_never_stopped_has_no_such_lead() -> None:
    assert [code for code in codes("longcase", stopped(), now=NOW) if code.startswith("stops-")] == []
