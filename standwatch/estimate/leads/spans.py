"""The mean rate over a span of days by its own readings, simple enough to compare one span with another."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from operator import itemgetter
from statistics import fmean

from standwatch.estimate.history import History, Visit
from standwatch.estimate.leads.evidence import Evidence
from standwatch.estimate.room import USUAL_C
from standwatch.estimate.wind_curve import WindCurve, wind_curve
from standwatch.horology.warmth import warmth_of
from standwatch.model.units import days
from standwatch.model.words import Drive, Work

_WIDER = 1.5
"""How much noisier than its kind a single clock may well be (ENGINE: standard deviations of the logarithm .4)."""
_CURVE_SD = 20.0
_ROOM_SD_C, _LOG_SD_C = 1.5, 0.5
"""How far the mean temperature of a span strays where nobody logged it, and where the log tells (common practice)."""


@dataclass(frozen=True, slots=True)
class MeanRate:
    """s/day over `days` days that were read, at 20 deg C, and its standard doubt; `warmth` is deg C over 20."""

    rate: float
    sd: float
    days: float
    warmth: float


def shared_steps(history: History, since: datetime, until: datetime) -> list[tuple[float, float]]:
    """Steps (s) of the reference itself after `since` and up to `until`, with their standard doubts."""
    return [(jump.seconds, jump.doubt_s) for jump in history.common.jumps if since < jump.at <= until]


class Spans:
    """The readings of one clock, cut where its error began anew."""

    def __init__(self, evidence: Evidence) -> None:
        self._history: History = evidence.history
        doubted = {suspect.id for suspect in evidence.time.suspects}
        stepped = {work.at for work in evidence.time.suspected_work if work.what is Work.HANDS_SET}
        self._sound = [v for v in self._history.since_opened if v.error_s is not None and v.id not in doubted]
        self._unlogged = sorted(days(at) for at in stepped)
        self._steps = [(days(b.at), b.order, b.error_shift_s, b.error_sd_s) for b in self._history.breaks]

    @cached_property
    def _curve(self) -> WindCurve | None:
        traits = self._history.traits
        curved = traits.drive is Drive.SPRING and traits.oscillator != "torsion"
        return wind_curve(self._history, days(self._sound[0].at)) if curved and self._sound else None

    def mean_rate(self, start: datetime, end: datetime) -> MeanRate | None:
        """The rate between the first and last sound readings from `start` to `end`; None without two in one run.

        At 20 deg C as far as rod and log tell. A spring's doubt holds what its wind may do to a part of a wind.
        """
        read = [v for v in self._sound if start <= v.at <= end]
        gained = length = variance = curved = 0.0
        for first, last, shift, var in self._runs(read):
            since, until = days(first.at), days(last.at)
            gained += (last.error_s or 0.0) - (first.error_s or 0.0) - shift
            variance += var + self._doubt(first) ** 2 + self._doubt(last) ** 2
            length += until - since
            curved += self._curve.integral(until) - self._curve.integral(since) if self._curve else 0.0
        if length <= 0:
            return None
        traits = self._history.traits
        b, b_sd = warmth_of(self._history.clock, traits)
        warmth = self._warmth(read)
        noise = (_WIDER * traits.q1_s) ** 2 / length + (_WIDER * traits.q2_s) ** 2 * length / 3
        noise += variance / length**2 + (_CURVE_SD * curved / length) ** 2
        noise += (b**2 + b_sd**2) * (_ROOM_SD_C if warmth is None else _LOG_SD_C) ** 2
        rate = gained / length + b * (warmth or 0.0)
        return MeanRate(rate, math.sqrt(noise), length, warmth or 0.0)

    def _doubt(self, visit: Visit) -> float:
        return visit.doubt_s or 0.0

    def _warmth(self, read: list[Visit]) -> float | None:
        """Mean deg C over 20 as logged, or as all clocks together betray it, while it was read; None if neither."""
        log, heating = self._history.temperatures, self._history.common.heating
        first = bisect_left(log, read[0].at, key=itemgetter(0))
        last = bisect_right(log, read[-1].at, key=itemgetter(0))
        if last > first:
            return fmean(c for _, c in log[first:last]) - USUAL_C
        if log or heating is None:
            return None
        whole = read[-1].at - read[0].at
        return heating.warmer_c * min(max((read[-1].at - heating.since) / whole, 0.0), 1.0)

    def _runs(self, read: list[Visit]) -> Iterator[tuple[Visit, Visit, float, float]]:
        """First and last reading of each run without an unknown step, the known steps between and their variance."""
        first: Visit | None = None
        last: Visit | None = None
        shift = var = 0.0
        for visit in read:
            if last is not None and first is not None:
                moved, doubt = self._moved(last, visit)
                if math.isinf(doubt):
                    yield first, last, shift, var
                    first, shift, var = visit, 0.0, 0.0
                else:
                    shift, var = shift + moved, var + doubt
            first, last = first or visit, visit
        if first is not None and last is not None:
            yield first, last, shift, var

    def _moved(self, last: Visit, visit: Visit) -> tuple[float, float]:
        """What works between two readings did to the error, and its variance; infinite where the error is lost."""
        since, until = days(last.at), days(visit.at)
        if any(since < at <= until for at in self._unlogged):
            return 0.0, math.inf
        between = [
            (shift, sd)
            for at, order, shift, sd in self._steps
            if (since, last.order) <= (at, order) < (until, visit.order)
        ]
        between += shared_steps(self._history, last.at, visit.at)
        return sum(shift for shift, _ in between), sum(sd * sd for _, sd in between)
