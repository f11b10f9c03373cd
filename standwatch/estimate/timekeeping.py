"""Error and rate of one clock with honest doubt: what the judge and the faces ask of its readings."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from standwatch.estimate import reasons
from standwatch.estimate.answers import Residual, Suspect, SuspectedWork, Timekeeping, TracePoint
from standwatch.estimate.conformance import conformance
from standwatch.estimate.day_range import Spread, daily_rates, spread_of, step_days
from standwatch.estimate.drift import drift_of
from standwatch.estimate.history import History
from standwatch.estimate.smoother import Smoothed
from standwatch.estimate.stories import stories_of
from standwatch.estimate.timeline import reading_doubt_s, timeline_of
from standwatch.estimate.trace import trace
from standwatch.estimate.track_record import horizon_of, widening
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.units import days
from standwatch.model.words import ReadBy, Work

_CALLED = 0.9
"""Odds from which work that nobody logged is spoken of."""
_DRIFT_LEAST_DAYS = 4.0
_WINDS_READ = 2


_Ask = Callable[[Smoothed], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Part:
    """One story's answer: its weight, and mean and variance of a normal."""

    weight: float
    mean: float
    var: float


def mixed(parts: list[Part]) -> tuple[float, float]:
    """Mean and standard deviation of a mixture."""
    mean = sum(p.weight * p.mean for p in parts)
    var = sum(p.weight * (max(p.var, 0.0) + (p.mean - mean) ** 2) for p in parts)
    return mean, math.sqrt(var)


class FilteredTimekeeping:
    """Timekeeping by a Kalman filter and smoother over the likeliest stories of the readings.

    The noise is the kind's, or a multiple of it where the clock is plainly more restless. Answers are mixtures over
    the stories; where one story is as good as sure there is only one. Forecasts are widened where the clock's own
    past ones missed. What looks at several instants together (day range, daily rates) is by the likeliest story.
    """

    def __init__(self, history: History) -> None:
        self._history = history
        self._decisions, self._fits = stories_of(timeline_of(history), history.usual_read_by)
        self._best = self._fits[0]
        self._line = self._best.line
        self._widenings: dict[float, float] = {}

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """Readings that the others contradict, oldest first."""
        found = []
        for number in sorted(self._best.story.dropped):
            visit = self._line.visits[self._line.nodes[number].source]
            if visit.error_s is not None:
                expected = self._mixture(days(visit.at), lambda s: (s.x, s.xx), node=number)[0]
                odds = self._decisions.blunders[number]
                found.append(Suspect(visit.id, visit.at, visit.error_s, expected, odds))
        return tuple(found)

    @property
    def suspected_work(self) -> tuple[SuspectedWork, ...]:
        """Hands that were set and not logged, oldest first; `at` is the first reading after."""
        found = []
        for number, var in sorted(self._best.story.shifts.items()):
            against = self._best.back.against[number]
            odds = self._decisions.steps[number]
            if odds > _CALLED:
                at = self._line.visits[self._line.nodes[number].source].at
                found.append(SuspectedWork(Work.HANDS_SET, at, var * against.step / against.step_var, odds))
        return tuple(found)

    @property
    def readings_since_rate_opened(self) -> int:
        """Sound readings since the last work that opened the rate, after settling."""
        return len(self._best.rate_nodes())

    @property
    def rate_since(self) -> datetime | None:
        """From when readings count for the rate: the settling's end, or the first reading."""
        return self._line.rate_since

    @cached_property
    def rate(self) -> Answer:
        """s/day now: of weights the mean over a wind, of springs the mean over a whole wind."""
        moments = self._rate
        return moments if isinstance(moments, NotYetKnown) else Quantity.normal(*moments)

    def rate_within(self, limit: float) -> float | NotYetKnown:
        """Probability that |rate| <= `limit` s/day (JCGM 106:2012, 7)."""
        moments = self._rate
        return moments if isinstance(moments, NotYetKnown) else conformance(*moments, -limit, limit)

    @cached_property
    def _rate(self) -> tuple[float, float] | NotYetKnown:
        if not self._best.spans():
            return reasons.no_rate(self._history, self._line, self.readings_since_rate_opened)
        share = self._wind_share
        return self._mixture(
            days(self._history.now), lambda s: (s.y + share * s.c, s.yy + 2 * share * s.yc + share**2 * s.cc)
        )

    @cached_property
    def _wind_share(self) -> float:
        """Winds a day whose loss belongs to the mean rate of a weight clock without maintaining power.

        Nought until two winds were read before and after.
        """
        curve = self._line.curve
        if curve is None or not self._line.lossy or not self._best.sound:
            return 0.0
        opened = self._history.opened_at
        start = days(opened) if opened else -math.inf
        read = [day for n in self._best.sound if (day := self._line.days_at[n]) >= start]
        parts = [
            node.jump.part
            for node in self._line.nodes
            if node.jump is not None and node.jump.part and read and read[0] <= node.day < read[-1]
        ]
        return sum(parts) / len(parts) / curve.period if len(parts) >= _WINDS_READ else 0.0

    @property
    def rate_named(self) -> str:
        """What temperature `rate` holds for."""
        return ""

    @property
    def turn_effect(self) -> tuple[float, float] | None:
        """s/day that one turn towards faster makes, and its standard doubt."""
        return None

    @property
    def winding_step(self) -> Answer:
        """What a whole wind does to the error, in s."""
        return NotYetKnown("winding does nothing to its error")

    @property
    def residuals(self) -> tuple[Residual, ...]:
        """Each sound reading against what was expected of it, oldest first."""
        return ()

    @cached_property
    def drift(self) -> Answer:
        """Change of rate in s/day per day over the last four weeks at most, between equal wind phases."""
        nodes = self._best.rate_nodes()
        least = _DRIFT_LEAST_DAYS
        if self._line.curved and self._line.curve is not None:
            least = max(least, self._line.curve.period)
        return drift_of(self._best, nodes, days(self._history.now), least)

    def error_at(self, at: datetime) -> Answer:
        """The error at `at`, in seconds."""
        return self._error(at, 0.0)

    def reading_at(self, at: datetime, how: ReadBy | None = None) -> Answer:
        """The error a reading at `at` is expected to show, taken `how` (the usual way if None)."""
        return self._error(at, reading_doubt_s(self._history, how) ** 2)

    def _error(self, at: datetime, var: float) -> Answer:
        day = days(at)
        unknown = reasons.no_error(self._history, self._line, self._best, at)
        if unknown is not None:
            return unknown
        mean, sd = self._mixture(day, lambda s: (s.x, s.xx + var))
        ahead = day - self._line.days_at[self._best.sound[-1]]
        return Quantity.normal(mean, sd * math.sqrt(self._widening(horizon_of(ahead))) if ahead > 0 else sd)

    def _widening(self, horizon: float) -> float:
        if horizon not in self._widenings:
            self._widenings[horizon] = widening(self._best, horizon)
        return self._widenings[horizon]

    def _mixture(self, day: float, ask: _Ask, *, node: int | None = None) -> tuple[float, float]:
        """Mean and standard deviation of what `ask` takes from the state at `day`, or just after `node`."""
        parts = []
        for one in self._fits:
            mean, var = ask(one.at(day) if node is None else one.after(node))
            parts.append(Part(one.story.weight, mean, var))
        return mixed(parts)

    @cached_property
    def _spread(self) -> Spread | NotYetKnown:
        return self._spread_for(self._history.traits.day_range_limit)

    def _spread_for(self, limit: float | None) -> Spread | NotYetKnown:
        step = step_days(limit, self._history.usual_doubt_s)
        if step is None:
            return NotYetKnown("readings this coarse can't show it: read by the first blow, or waive it")
        return spread_of(self._best, self._history.now, step)

    def day_range(self) -> Answer:
        """Spread in s/day of the true rates of the last five days with a reading, all within nine days.

        Of clocks whose readings are too coarse for that, of five steps of two or three days.
        """
        spread = self._spread
        return spread if isinstance(spread, NotYetKnown) else spread.quantity

    def day_range_within(self, limit: float) -> float | NotYetKnown:
        """Probability that `day_range` <= `limit`, or why readings so far can't show it."""
        own = limit == self._history.traits.day_range_limit
        spread = self._spread if own else self._spread_for(limit)
        return spread if isinstance(spread, NotYetKnown) else spread.within(limit)

    @property
    def day_range_spans(self) -> tuple[tuple[datetime, datetime], ...]:
        """The spans, oldest first, whose mean rates `day_range` compares; empty where there are too few readings."""
        spread = self._spread
        return () if isinstance(spread, NotYetKnown) else tuple((s.start, s.end) for s in spread.steps)

    def daily_rates(self) -> tuple[tuple[datetime, Answer], ...]:
        """The rate over each interval of about a day between sound readings, as smoothed, at the interval's end."""
        return daily_rates(self._best)

    def trace(self, start: datetime, end: datetime, points: int) -> tuple[TracePoint, ...]:
        """The error from `start` to `end` in about `points` steps, broken where it stepped; for charts."""
        stepped = [b.at for b in self._history.breaks if b.work is not Work.WOUND and (b.error_shift_s or b.error_sd_s)]
        unlogged = [self._line.visits[self._line.nodes[n].source].at for n in self._best.story.shifts]
        return trace(self.error_at, [*stepped, *unlogged], start, end, points)


def timekeeping_of(history: History) -> Timekeeping:
    """Error and rate of the clock that `history` tells, as of its `now`."""
    return FilteredTimekeeping(history)
