"""By how much a clock's error stepped from one reading to the next, beside what was expected of it."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.history import History, Visit
from standwatch.estimate.noise import process_noise
from standwatch.model.units import days
from standwatch.model.words import Work

_FAR_OFF = 4.0
"""Standard doubts from which a step is more than wandering."""


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
    that nobody is known to have set by as much as they were. Just after a reading that was far off nobody could know
    yet whether to believe it: the next one is measured by both, and steps by the less.
    """
    known = {residual.at: residual for residual in time.residuals}
    readings = history.readings
    off = {each.id: each.error_s - each.expected_s for each in time.suspects}
    moved = _hands_moved(readings, time)
    anew = [(b.at, b.order) for b in history.breaks if math.isinf(b.error_sd_s)]
    new_rate = [(b.at, b.order) for b in history.breaks if b.opens_rate]
    found: list[Step] = []
    run = 0
    for before, reading in pairwise(readings):
        run = 0 if _between(new_rate, before, reading) else run + 1
        if _between(anew, before, reading):
            run = 0
            continue
        last = found[-1] if found and found[-1].at == before.at else None
        unsettled = last is not None and (before.id in moved or abs(last.seconds) > _FAR_OFF * last.sd_s)
        residual = known.get(reading.at)
        seconds, sd = 0.0, _doubt(history, before, reading, run)
        if reading.id in off or before.id in off:
            seconds = off.get(reading.id, 0.0) - off.get(before.id, 0.0)
        elif reading.id in moved:
            seconds = moved[reading.id]
        elif residual is not None and unsettled and last is not None:
            seconds = min(residual.miss_s, residual.miss_s - last.seconds, key=abs)
        elif residual is not None:
            seconds, sd = residual.miss_s, residual.sd_s
        found.append(Step(reading.at, before.at, seconds, sd))
    return tuple(found)


def _between(works: list[tuple[datetime, int]], before: Visit, reading: Visit) -> bool:
    """Whether one of `works` (time and order) was done after `before` was read, and before `reading` was."""
    return bisect_left(works, (reading.at, reading.order)) > bisect_left(works, (before.at, before.order))


def _hands_moved(readings: tuple[Visit, ...], time: Timekeeping) -> dict[str, float]:
    """By the first reading after, the seconds that hands seem to have been moved."""
    moved: dict[str, float] = {}
    for work in time.suspected_work:
        after = next((r for r in readings if r.at >= work.at), None)
        if work.what is Work.HANDS_SET and after is not None:
            moved[after.id] = moved.get(after.id, 0.0) + work.amount
    return moved


def _doubt(history: History, before: Visit, reading: Visit, run: int) -> float:
    """The standard doubt of a step by the kind's noise, where `run` readings since the rate began anew came before."""
    before_s, own_s = before.doubt_s or 0.0, reading.doubt_s or 0.0
    traits = history.traits
    span = max(days(reading.at) - days(before.at), 0.0)
    wander = process_noise(traits.q1_s**2, traits.q2_s**2, 0.0, span)[0]
    rate_sd = 3 * (traits.usual.mean_rate_limit or 30.0) if run < 2 else math.hypot(traits.q1_s, own_s) / (run - 1)
    return math.sqrt(before_s**2 + own_s**2 + wander + (rate_sd * span) ** 2)
