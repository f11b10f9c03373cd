"""When civil time moves, against the laws that move it."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from standwatch.horology.civil import civil_changes


def last_sunday(year: int, month: int) -> datetime:
    """One in the morning UTC on the last Sunday of a month of 31 days."""
    day = datetime(year, month, 31, 1, tzinfo=UTC)
    return day - timedelta(days=(day.weekday() + 1) % 7)


def in_year(zone: str, year: int) -> tuple[tuple[datetime, float], ...]:
    return civil_changes(ZoneInfo(zone), datetime(year, 1, 1, tzinfo=UTC), datetime(year + 1, 1, 1, tzinfo=UTC))


@pytest.mark.parametrize("zone", ["Europe/London", "Europe/Berlin", "Europe/Dublin"])
@pytest.mark.parametrize("year", [2024, 2026, 2027])
def test_all_europe_moves_at_one(zone: str, year: int) -> None:
    # Directive 2000/84/EC, articles 2 and 3: 1.00 a.m. GMT on the last Sundays of March and October
    assert in_year(zone, year) == ((last_sunday(year, 3), 3600), (last_sunday(year, 10), -3600))


def test_america_moves_by_its_own_law() -> None:
    # Energy Policy Act of 2005, section 110: second Sunday of March, first of November, at two local time
    forward = datetime(2026, 3, 8, 7, tzinfo=UTC)
    back = datetime(2026, 11, 1, 6, tzinfo=UTC)
    assert in_year("America/New_York", 2026) == ((forward, 3600), (back, -3600))


def test_half_an_hour_and_none() -> None:
    # the tz database: Lord Howe moves by half an hour, Kolkata not at all
    assert sorted(moved for _, moved in in_year("Australia/Lord_Howe", 2026)) == [-1800, 1800]
    assert in_year("Asia/Kolkata", 2026) == ()


def test_after_the_start_and_up_to_the_end() -> None:
    zone, back = ZoneInfo("Europe/London"), last_sunday(2026, 10)
    second = timedelta(seconds=1)
    assert len(civil_changes(zone, back - second, back)) == 1
    assert civil_changes(zone, back, back + timedelta(days=7)) == ()
    assert civil_changes(zone, back - timedelta(days=7), back - second) == ()
    assert civil_changes(zone, back, back) == ()
