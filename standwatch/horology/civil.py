"""When civil time moves: summer time, and whatever else a zone's law changes."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

_HOUR = timedelta(hours=1)


def civil_changes(zone: ZoneInfo, start: datetime, end: datetime) -> tuple[tuple[datetime, float], ...]:
    """Each change of `zone`'s civil time after `start` and up to `end`, to the hour: when, and by how many seconds.

    + where civil time moves forward, as in spring.
    """
    found = []
    at = start.astimezone(UTC).replace(minute=0, second=0, microsecond=0)
    before = _offset(at, zone)
    while at < end:
        at += _HOUR
        offset = _offset(at, zone)
        if offset != before and start < at <= end:
            found.append((at, (offset - before).total_seconds()))
        before = offset
    return tuple(found)


def _offset(at: datetime, zone: ZoneInfo) -> timedelta:
    return at.astimezone(zone).utcoffset() or timedelta()
