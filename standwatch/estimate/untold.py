"""When somebody may have wound and told nobody: by day, since nobody winds a clock at night."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from standwatch.estimate.trainclock import TrainClock

HOURS = (9, 11, 13, 15, 17)
"""The working day, 8 to 18 local time, as the middles of five parts."""
MOST_DATES = 12
_DAY = timedelta(days=1)


def since_untold_wind(zone: ZoneInfo, clock: TrainClock, start: datetime, end: datetime) -> tuple[float, float]:
    """Mean and variance of the days that `clock` counts from such a wind to `end`: any working hour after `start`."""
    first, last = start.astimezone(zone).date(), end.astimezone(zone).date()
    dates = (last - first).days + 1
    step = -(-dates // MOST_DATES)
    times = [
        datetime.combine(first + n * _DAY, time(hour), tzinfo=zone) for n in range(0, dates, step) for hour in HOURS
    ]
    counted = [clock.days(at, end) for at in times if start < at < end]
    if not counted:  # from an evening to the next morning
        counted = [clock.days(start + (end - start) * (n + 0.5) / len(HOURS), end) for n in range(len(HOURS))]
    mean = sum(counted) / len(counted)
    part = clock.days(start, end) / max(len(counted), 1) / 2
    return mean, sum((days - mean) ** 2 for days in counted) / len(counted) + part**2 / 3
