"""When each train was wound, how often that is, and how long ago."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import median

from standwatch.estimate.history import History
from standwatch.horology.hanging import one_weight
from standwatch.model.words import Train, Work

_SAME_WIND = timedelta(hours=1)
"""Winds of one train closer than this are one visit to the key."""


def winds(history: History, train: Train) -> tuple[tuple[datetime, float | None], ...]:
    """Every wind of `train`, in order: when, and key turns (springs) or mm raised (weights); None where not told."""
    shared = one_weight(history.traits)
    return tuple(
        (visit.at, visit.row.amount)
        for visit in history.works(Work.WOUND)
        if shared or visit.row.train in {None, train}
    )


def wind_hours(history: History, at: datetime) -> float | None:
    """Hours since the last wind of the going train before `at`; None before the first, and since it was at home.

    A wind at `at` itself does not count: what is read on a visit is as found.
    """
    return hours_since(history, [wound for wound, _ in winds(history, Train.GOING)], at)


def hours_since(history: History, wound: Sequence[datetime], at: datetime) -> float | None:
    """`wind_hours` by the going train's winds, in order."""
    before = bisect_left(wound, at)
    if not before or (history.handovers and history.went_home(wound[before - 1], at)):
        return None
    return (at - wound[before - 1]) / timedelta(hours=1)


def wind_period_days(history: History, train: Train) -> float | None:
    """Days between winds of `train` as it is kept (median), None before the second wind."""
    times = [at for at, _ in winds(history, train)]
    gaps = [b - a for a, b in pairwise(times) if b - a > _SAME_WIND]
    return median(gap / timedelta(days=1) for gap in gaps) if gaps else None
