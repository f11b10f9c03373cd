"""Axes of a chart: which values and days are named at a tick, and with what words. Pure figures, no drawing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from standwatch.model.units import MINUS, clock_words, signed

_DAY = timedelta(days=1)
_DAY_STEPS = (1, 2, 4, 7, 14, 28, 56, 112, 224, 448)
_SECOND_STEPS = (60, 120, 300, 600, 1200, 1800, 3600, 7200, 10800, 21600)


@dataclass(frozen=True, slots=True)
class Tick:
    """A place on an axis, in the axis' unit (days of a time axis: a time), with its words."""

    value: float
    words: str


def value_ticks(low: float, high: float, unit: str, most: int = 6) -> list[Tick]:
    """Round values from under `low` to over `high`, `most` steps at most; seconds from a minute on as "+2:00"."""
    span = max(high - low, 1e-6)
    step = _step(span / most, unit)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [Tick(number * step, _value_words(number * step, step, unit)) for number in range(first, last + 1)]


def _step(least: float, unit: str) -> float:
    if unit == "s" and least > 30:
        return float(next((step for step in _SECOND_STEPS if step >= least), _SECOND_STEPS[-1]))
    power = 10.0 ** math.floor(math.log10(least))
    return next(power * factor for factor in (1, 2, 5, 10) if power * factor >= least * (1 - 1e-9))


def _value_words(value: float, step: float, unit: str) -> str:
    if unit == "s" and step >= 60:
        side = "" if value == 0 else "+" if value > 0 else MINUS
        return side + (clock_words(value) if value else "0")
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return "0" if round(value, decimals) == 0 else signed(value, decimals)


def day_ticks(first: datetime, last: datetime, zone: str, most: int) -> list[tuple[datetime, str]]:
    """Midnights of the zone from `first` to `last`, so many days apart that there are `most` at most, as "20 Nov"."""
    place = ZoneInfo(zone)
    day = first.astimezone(place).date()
    days = max(1, math.ceil((last - first) / _DAY))
    step = next((step for step in _DAY_STEPS if days / step <= most), _DAY_STEPS[-1])
    told: list[tuple[datetime, str]] = []
    while True:
        midnight = datetime.combine(day, time(), place).astimezone(UTC)
        if midnight > last:
            return told
        if midnight >= first:
            told.append((midnight, f"{day.day} {day:%b}"))
            day += step * _DAY
        else:
            day += _DAY


def gathered(places: Sequence[float], apart: float) -> list[list[int]]:
    """The numbers of `places` (ascending) in groups: those closer than `apart` to the first of a group are in it."""
    groups: list[list[int]] = []
    for number, place in enumerate(places):
        if groups and place - places[groups[-1][0]] < apart:
            groups[-1].append(number)
        else:
            groups.append([number])
    return groups
