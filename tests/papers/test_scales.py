"""Axes: round values, midnights of the shop's own zone, labels gathered where they would collide."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.papers.scales import day_ticks, gathered, value_ticks


@given(st.floats(-20000, 20000), st.floats(0.01, 40000), st.sampled_from(["s", "s/day"]))
def test_ticks_reach_around_the_values_and_are_few(low: float, span: float, unit: str) -> None:
    ticks = value_ticks(low, low + span, unit)
    assert ticks[0].value <= low + 1e-6 * span + 1e-9
    assert ticks[-1].value >= low + span - 1e-6 * span - 1e-9
    assert 2 <= len(ticks) <= 8
    assert len({tick.words for tick in ticks}) == len(ticks)


def test_ticks_are_round() -> None:
    assert [tick.words for tick in value_ticks(-3.2, 11, "s/day")] == ["−5", "0", "+5", "+10", "+15"]
    assert [tick.words for tick in value_ticks(0, 0.5, "s/day")] == ["0", "+0.1", "+0.2", "+0.3", "+0.4", "+0.5"]


def test_seconds_from_a_minute_on_are_minutes() -> None:
    assert [tick.words for tick in value_ticks(-130, 290, "s")] == [
        *("−4:00", "−2:00", "0", "+2:00", "+4:00", "+6:00"),
    ]


def test_days_begin_at_the_shop_s_midnight_through_a_change_of_the_clocks() -> None:
    """London's clocks went back on Sunday 25 October 2026 (last Sunday of October, IANA tz)."""
    first, last = datetime(2026, 10, 23, 9, tzinfo=UTC), datetime(2026, 10, 27, 9, tzinfo=UTC)
    ticks = day_ticks(first, last, "Europe/London", 10)
    assert [words for _, words in ticks] == ["24 Oct", "25 Oct", "26 Oct", "27 Oct"]
    assert [at.hour for at, _ in ticks] == [23, 23, 0, 0]
    assert {at.astimezone(ZoneInfo("Europe/London")).hour for at, _ in ticks} == {0}


@pytest.mark.parametrize("days", [1, 8, 40, 400])
def test_there_are_no_more_days_named_than_there_is_room_for(days: int) -> None:
    first = datetime(2026, 1, 1, 9, tzinfo=UTC)
    last = datetime.fromtimestamp(first.timestamp() + days * 86400, UTC)
    assert 1 <= len(day_ticks(first, last, "Europe/London", 9)) <= 10


def test_labels_that_would_collide_are_gathered() -> None:
    assert gathered([], 3) == []
    assert gathered([1.0, 2.0, 3.5, 4.5, 9.0], 3) == [[0, 1, 2], [3], [4]]
