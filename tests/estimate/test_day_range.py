"""How much the true rate differs from day to day, and when readings can't show it."""

from __future__ import annotations

import pytest

from standwatch.estimate.day_range import step_days
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.model.answers import NotYetKnown, Quantity
from tests.stories import at, daily, story

CALM = daily("11-02 08:00", "11-09 08:00", "error_s={2*d:.1f}")


def test_a_calm_clock_is_within_its_limit() -> None:
    keeping = timekeeping_of(story("longcase", CALM, now="11-09 09:00"))
    spread = keeping.day_range()
    assert isinstance(spread, Quantity)
    assert 0 <= spread.low < spread.estimate < spread.high < 8
    chance = keeping.day_range_within(8.0)
    assert isinstance(chance, float)
    assert chance > 0.99
    assert len(keeping.day_range_spans) == 5
    assert keeping.day_range_spans[-1] == (at("11-08 08:00"), at("11-09 08:00"))


def test_a_restless_clock_is_not() -> None:
    errors = [0, 12, 6, 20, 13, 30, 22, 38]
    lines = [f"11-{2 + d:02} 08:00 error_s={error}" for d, error in enumerate(errors)]
    keeping = timekeeping_of(story("longcase", lines, now="11-09 09:00"))
    chance = keeping.day_range_within(8.0)
    assert isinstance(chance, float)
    assert chance < 0.05


def test_the_same_facts_give_the_same_number() -> None:
    first, second = (timekeeping_of(story("longcase", CALM, now="11-09 09:00")).day_range() for _ in range(2))
    assert first == second


def test_five_days_read_do_and_four_do_not() -> None:
    five = timekeeping_of(story("longcase", CALM[:5], now="11-06 09:00"))
    assert isinstance(five.day_range(), Quantity)
    assert len(five.day_range_spans) == 4
    four = timekeeping_of(story("longcase", CALM[:4], now="11-05 09:00")).day_range()
    assert four == NotYetKnown("wants 5 readings, each day, within the last 9 days; 4 so far")


def test_two_readings_of_one_day_are_one_day() -> None:
    lines = [*CALM[:4], "11-02 17:00 error_s=0.8", "11-03 17:00 error_s=2.8"]
    assert isinstance(timekeeping_of(story("longcase", lines, now="11-05 18:00")).day_range(), NotYetKnown)


def test_readings_older_than_nine_days_do_not_count() -> None:
    keeping = timekeeping_of(story("longcase", CALM, now="11-15 09:00"))
    assert isinstance(keeping.day_range(), NotYetKnown)


def test_a_closed_weekend_between_is_no_obstacle() -> None:
    lines = [
        line for line in daily("11-02 08:00", "11-11 08:00", "error_s={2*d:.1f}") if line[:5] not in {"11-07", "11-08"}
    ]
    keeping = timekeeping_of(story("longcase", lines, now="11-11 09:00"))
    assert isinstance(keeping.day_range(), Quantity)
    assert (at("11-06 08:00"), at("11-09 08:00")) in keeping.day_range_spans


def test_only_readings_since_the_rate_was_opened_count() -> None:
    lines = [*CALM[:5], "11-06 08:05 work=nut amount=1", *CALM[5:]]
    keeping = timekeeping_of(story("longcase", lines, now="11-09 09:00"))
    assert isinstance(keeping.day_range(), NotYetKnown)


@pytest.mark.parametrize(
    ("limit", "doubt", "days"),
    [(8.0, 0.5, 1), (8.0, 5.0, 2), (5.0, 5.0, 3), (1.5, 0.5, 1), (1.5, 2.5, None), (None, 5.0, 1), (14.1, 5.0, 1)],
)
def test_coarse_readings_want_longer_steps(limit: float | None, doubt: float, days: int | None) -> None:
    """1.41 x the doubt over the step is to stay within half the limit."""
    assert step_days(limit, doubt) == days


def test_a_floor_clock_read_by_the_minute_hand_goes_by_steps_of_two_days() -> None:
    lines = daily("11-02 08:00", "11-13 08:00", "error_s={2*d:.0f}")
    keeping = timekeeping_of(story("floor-chiming", lines, now="11-13 09:00"))
    spans = keeping.day_range_spans
    assert len(spans) == 5
    assert all((end - start).days == 2 for start, end in spans)
    short = timekeeping_of(story("floor-chiming", lines[:10], now="11-11 09:00"))
    assert isinstance(short.day_range(), NotYetKnown)


def test_readings_too_coarse_even_for_three_days_never_show_it() -> None:
    lines = daily("11-02 08:00", "11-20 08:00", "error_s={0.2*d:.0f} read_by=minute-hand")
    keeping = timekeeping_of(story("regulator", lines, now="11-20 09:00"))
    answer = keeping.day_range()
    assert isinstance(answer, NotYetKnown)
    assert answer.because == "readings this coarse can't show it: read by the first blow, or waive it"
    assert keeping.day_range_within(1.5) == answer


def test_the_learned_wind_curve_is_taken_off() -> None:
    """A mantel clock that gains 19 s/day fully wound and loses 11 run down, the same every week, is even."""
    lines = [
        f"11-{2 + d:02} 08:00 error_s={4 * d + 30 * (u / 2 - u * u / 14):.1f} read_by=seconds-hand"
        for d in range(22)
        for u in [(d - 1) % 7 + 1 if d else 0]
    ]
    winds = [f"11-{2 + 7 * week:02} 08:01 work=wound" for week in range(3)]
    keeping = timekeeping_of(story("mantel", [*lines, *winds], now="11-23 09:00"))
    spread = keeping.day_range()
    assert isinstance(spread, Quantity)
    raw = 30 * (0.5 - 0.5 / 7) - 30 * (0.5 - 4.5 / 7)  # what five days of the curve alone would show
    assert spread.estimate < raw / 2
