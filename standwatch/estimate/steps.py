"""By how much a clock's error stepped from one reading to the next, beside what was expected of it."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from standwatch.estimate.answers import Residual, Suspect, Timekeeping
from standwatch.estimate.history import History, Visit
from standwatch.estimate.noise import process_noise
from standwatch.model.units import days
from standwatch.model.words import Work


@dataclass(frozen=True, slots=True)
class Step:
    """From the reading `since` to the reading `at` the error went `seconds` further than expected, ± `sd_s`."""

    at: datetime
    since: datetime
    seconds: float
    sd_s: float


def steps_of(history: History, time: Timekeeping) -> tuple[Step, ...]:
    """The steps of one clock, oldest first; none where the error began anew between two readings.

    A sound reading steps by what it missed; a suspect one by what the others say it is off, and back after it; hands
    that nobody is known to have set by as much as they were.
    """
    known = {residual.at: residual for residual in time.residuals}
    suspect = {each.id: each for each in time.suspects}
    anew = [(b.at, b.order) for b in history.breaks if math.isinf(b.error_sd_s)]
    new_rate = [(b.at, b.order) for b in history.breaks if b.opens_rate]
    readings = history.readings
    moved = _hands_moved(readings, time)
    found = []
    length = 0
    for before, reading in pairwise(readings):
        length = 0 if _between(new_rate, before, reading) else length + 1
        if _between(anew, before, reading):
            length = 0
            continue
        residual = None if reading.id in suspect or reading.id in moved else known.get(reading.at)
        seconds = _off(reading, suspect) - _off(before, suspect) + moved.get(reading.id, 0.0)
        seconds += residual.miss_s if residual else 0.0
        sd = _doubt(history, before, reading, length, residual, after_suspect=before.id in suspect)
        found.append(Step(reading.at, before.at, seconds, sd))
    return tuple(found)


def _between(works: list[tuple[datetime, int]], before: Visit, reading: Visit) -> bool:
    """Whether one of `works` (time and order) was done after `before` was read, and before `reading` was."""
    return bisect_left(works, (reading.at, reading.order)) > bisect_left(works, (before.at, before.order))


def _off(reading: Visit, suspect: dict[str, Suspect]) -> float:
    return suspect[reading.id].error_s - suspect[reading.id].expected_s if reading.id in suspect else 0.0


def _hands_moved(readings: tuple[Visit, ...], time: Timekeeping) -> dict[str, float]:
    """By the first reading after, the seconds that hands seem to have been moved."""
    moved: dict[str, float] = {}
    for work in time.suspected_work:
        after = next((r for r in readings if r.at >= work.at), None)
        if work.what is Work.HANDS_SET and after is not None:
            moved[after.id] = moved.get(after.id, 0.0) + work.amount
    return moved


def _doubt(
    history: History, before: Visit, reading: Visit, length: int, residual: Residual | None, *, after_suspect: bool
) -> float:
    """The standard doubt of a step: the residual's own where there is one, else by the kind's noise.

    `length` is how many readings of this run there were before; from two of them a rate is known no better than that.
    """
    before_s, own_s = before.doubt_s or 0.0, reading.doubt_s or 0.0
    if residual is not None:
        return math.hypot(residual.sd_s, before_s if after_suspect else 0.0)
    traits = history.traits
    span = max(days(reading.at) - days(before.at), 0.0)
    wander = process_noise(traits.q1_s**2, traits.q2_s**2, 0.0, span)[0]
    rate_sd = 3 * (traits.mean_rate_limit or 30.0) if length < 2 else math.hypot(traits.q1_s, own_s) / (length - 1)
    return math.sqrt(before_s**2 + own_s**2 + wander + (rate_sd * span) ** 2)
