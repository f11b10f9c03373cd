"""The mean rate over a span of days by its own readings, simple enough to compare one span with another."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from operator import itemgetter
from statistics import fmean, median

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.history import History, Visit
from standwatch.estimate.prior import CURVE_SD
from standwatch.estimate.room import USUAL_C
from standwatch.estimate.wind_curve import WindCurve, wind_curve
from standwatch.horology.warmth import warmth_of
from standwatch.model.units import days, days_of
from standwatch.model.words import Drive, Work

WIDER = 1.5
"""How much noisier than its kind a single clock may well be (ENGINE: standard deviations of the logarithm .4)."""
_ROOM_SD_C, _LOG_SD_C = 1.5, 0.5
"""How far the mean temperature of a span strays where nobody logged it, and where the log tells (common practice)."""


_LEAST_TRIPLES, _LATELY = 5, 30


@dataclass(frozen=True, slots=True)
class MeanRate:
    """s/day over `days` days that were read, at 20 deg C, and its standard doubt.

    `warmth` is deg C over 20, `middle` when (days since 2000).
    """

    rate: float
    sd: float
    days: float
    warmth: float
    middle: float


class Spans:
    """The readings of one clock since it was opened, cut where its error began anew.

    `doubted` are the ids of readings that the others contradict.
    """

    def __init__(self, history: History, time: Timekeeping, since_opened: Sequence[Visit]) -> None:
        self._history = history
        self.doubted = frozenset(suspect.id for suspect in time.suspects)
        # whether the newest reading is sound is told by the next one
        read = [v for v in since_opened if v.error_s is not None][:-1]
        self.sound = [v for v in read if v.id not in self.doubted]
        self._days = days_of(v.at for v in self.sound)
        self._moved = self._steps([work.at for work in time.suspected_work if work.what is Work.HANDS_SET])

    def _steps(self, unlogged: list[datetime]) -> list[tuple[float, float]]:
        """What happened to the error between each reading and the next: the step in s, its variance (s^2)."""
        moved = [(0.0, 0.0)] * len(self.sound)
        keys = [(day, visit.order) for day, visit in zip(self._days, self.sound, strict=True)]
        told: list[tuple[float, float, float, float]] = [
            (days(b.at), b.order, b.error_shift_s, b.error_sd_s) for b in self._history.breaks if b.error_sd_s
        ]
        # what shows in a reading happened before it
        told += [(days(at), -math.inf, 0.0, math.inf) for at in unlogged]
        told += [(days(jump.at), -math.inf, jump.seconds, jump.doubt_s) for jump in self._history.common.jumps]
        for day, order, shift, sd in told:
            place = bisect_right(keys, (day, order)) - 1
            if place >= 0:
                moved[place] = (moved[place][0] + shift, moved[place][1] + sd * sd)
        return moved

    def within(self, start: datetime, end: datetime) -> list[Visit]:
        """The sound readings after `start` and up to `end`."""
        return self.sound[bisect_right(self._days, days(start)) : bisect_right(self._days, days(end))]

    @cached_property
    def restless(self) -> float:
        """How much more its readings scatter than its kind's would (factor on the doubt, 1 at least).

        By the distance of each of the last readings from the line between its neighbours; the median, so that a few
        wild ones say nothing (0.455 is the median of the square of a standard normal, from tables).
        """
        q1 = (WIDER * self._history.traits.q1_s) ** 2
        ratios = []
        for n in range(max(len(self.sound) - _LATELY, 1), len(self.sound) - 1):
            before, after = self._days[n] - self._days[n - 1], self._days[n + 1] - self._days[n]
            (first, doubt), (second, more) = self._moved[n - 1], self._moved[n]
            if before <= 0 or after <= 0 or math.isinf(doubt + more):
                continue
            share = before / (before + after)
            a, b, c = self.sound[n - 1 : n + 2]
            off = (1 - share) * (_error(b) - first - _error(a)) - share * (_error(c) - second - _error(b))
            read = (1 - share) ** 2 * _var(a) + _var(b) + share**2 * _var(c)
            ratios.append(off * off / (read + q1 * share * after + doubt + more))
        return math.sqrt(max(median(ratios) / 0.455, 1.0)) if len(ratios) >= _LEAST_TRIPLES else 1.0

    @cached_property
    def _curve(self) -> WindCurve | None:
        traits = self._history.traits
        curved = traits.drive is Drive.SPRING and traits.oscillator != "torsion"
        return wind_curve(self._history, self._days[0]) if curved and self.sound else None

    def mean_rate(self, start: datetime, end: datetime) -> MeanRate | None:
        """The rate between the first and last sound readings from `start` to `end`; None without two in one run.

        At 20 deg C as far as rod and log tell. A spring's doubt holds what its wind may do to a part of a wind.
        """
        first = bisect_left(self._days, days(start))
        last = bisect_right(self._days, days(end)) - 1
        gained = length = variance = curved = 0.0
        for since, until, shift, var in self._runs(first, last):
            gained += _error(self.sound[until]) - _error(self.sound[since]) - shift
            variance += var + (_var(self.sound[since]) + _var(self.sound[until])) * self.restless**2
            length += self._days[until] - self._days[since]
            if self._curve:
                curved += self._curve.integral(self._days[until]) - self._curve.integral(self._days[since])
        if length <= 0:
            return None
        traits = self._history.traits
        b, b_sd = warmth_of(self._history.clock, traits)
        warmth = self._warmth(self.sound[first].at, self.sound[last].at)
        noise = (self.restless * WIDER * traits.q1_s) ** 2 / length + (WIDER * traits.q2_s) ** 2 * length / 3
        noise += variance / length**2 + (CURVE_SD * curved / length) ** 2
        noise += (b**2 + b_sd**2) * (_ROOM_SD_C if warmth is None else _LOG_SD_C) ** 2
        rate = gained / length + b * (warmth or 0.0)
        middle = (self._days[first] + self._days[last]) / 2
        return MeanRate(rate, math.sqrt(noise), length, warmth or 0.0, middle)

    def _warmth(self, since: datetime, until: datetime) -> float | None:
        """Mean deg C over 20 as logged, or as all clocks together betray it, while it was read; None if neither."""
        log, heating = self._history.temperatures, self._history.common.heating
        first = bisect_left(log, since, key=itemgetter(0))
        last = bisect_right(log, until, key=itemgetter(0))
        if last > first:
            return fmean(c for _, c in log[first:last]) - USUAL_C
        if log or heating is None:
            return None
        whole = until - since
        return heating.warmer_c * min(max((until - heating.since) / whole, 0.0), 1.0)

    def _runs(self, first: int, last: int) -> Iterator[tuple[int, int, float, float]]:
        """First and last reading of each run without an unknown step, the known steps between and their variance."""
        start, shift, var = first, 0.0, 0.0
        for n in range(first, last):
            moved, doubt = self._moved[n]
            if math.isinf(doubt):
                yield start, n, shift, var
                start, shift, var = n + 1, 0.0, 0.0
            else:
                shift, var = shift + moved, var + doubt
        if start <= last:
            yield start, last, shift, var


def _var(visit: Visit) -> float:
    """The variance of one reading, in s^2."""
    return (visit.doubt_s or 0.0) ** 2


def _error(visit: Visit) -> float:
    return visit.error_s or 0.0
