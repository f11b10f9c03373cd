"""Error and rate of one clock with honest doubt: what the judge and the faces ask of its readings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from functools import cached_property
from statistics import fmean

from standwatch.estimate import reasons
from standwatch.estimate.answers import Residual, Suspect, SuspectedWork, Timekeeping, TracePoint
from standwatch.estimate.batch import Posterior
from standwatch.estimate.day_range import Spread, daily_rates, spread_of, step_days
from standwatch.estimate.drift import drift_of
from standwatch.estimate.engine import Memory, posteriors
from standwatch.estimate.fit import Fit, Noise, fit
from standwatch.estimate.history import History
from standwatch.estimate.learned import DEFAULTS, Learned
from standwatch.estimate.making import Column
from standwatch.estimate.mixture import Mixture
from standwatch.estimate.states import States
from standwatch.estimate.story import Story
from standwatch.estimate.timeline import lines_of, reading_doubt_s
from standwatch.estimate.trace import trace
from standwatch.horology.pendulum import turn_s_per_day
from standwatch.horology.warmth import Warmth, warmth_of
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.units import days
from standwatch.model.words import ReadBy, Work

_DRIFT_LEAST_DAYS = 4.0
_WINDS_READ = 2
_INSTANT_DAYS = 1e-6
_SLACK_DAYS = 1 / 24  # a round reads before it winds
_LOOK_BACK_DAYS = 45.0
"""How far back a question about the last weeks looks: what is older has no say in them."""


class EngineTimekeeping:
    """Timekeeping by the engine's posterior; its answers average over all accounts of the readings and all noises.

    What looks back at several instants together (day range, daily rates, drift, a past error) goes by the likeliest
    account, with the noise that the posterior expects.
    """

    def __init__(self, history: History, posterior: Posterior) -> None:
        self._history = history
        self.posterior = posterior
        self._line = posterior.line
        self._story = Story(posterior)

    @cached_property
    def _states(self) -> States:
        return States(self.posterior)

    @cached_property
    def _noise(self) -> Noise:
        return self._states.noise()

    @cached_property
    def _whole(self) -> Fit:
        """The whole past, looked back on."""
        return fit(self._line, self._story, self._noise)

    @cached_property
    def _recent(self) -> Fit:
        """The last weeks, looked back on."""
        return self._recent_with(self._noise)

    def _recent_with(self, noise: Noise) -> Fit:
        first = max(self._line.last_step(days(self._history.now) - _LOOK_BACK_DAYS), 0)
        return fit(self._line, self._story, noise, first=first)

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """Readings that the others contradict, oldest first."""
        found = []
        for step in self._story.dropped:
            visit = self._line.visits[self._line.sources[step]]
            if visit.error_s is not None:
                expected = self._whole.after(step).x
                found.append(Suspect(visit.id, visit.at, visit.error_s, expected, self._story.blunder_odds(step)))
        return tuple(found)

    @property
    def suspected_work(self) -> tuple[SuspectedWork, ...]:
        """Hands set (s) or nut turned (s/day) and not logged, oldest first; `at` is the first reading after."""
        found = []
        for what, step, odds in self._story.called:
            amount = self._whole.moved(step) if what is Work.HANDS_SET else self._whole.turned(step)
            found.append(SuspectedWork(what, self._line.visits[self._line.sources[step]].at, amount, odds))
        return tuple(found)

    @property
    def readings_since_rate_opened(self) -> int:
        """Sound readings since the last work that opened the rate, after settling."""
        return len(self._story.rate_steps())

    @property
    def rate_since(self) -> datetime | None:
        """From when readings count for the rate: the settling's end, or the first reading."""
        return self._story.rate_since

    @property
    def warmth(self) -> Warmth:
        """s/day lost a deg C warmer, and its standard deviation: as told so far, else as clocks of its make do."""
        told = self._states.prior.has("b")
        return self._states.moments("b") if told else warmth_of(self._history.clock, self._history.traits)

    @property
    def stand_c(self) -> float | None:
        """Deg C of the stand for which its forecast rate holds; None where nothing was logged while it was judged."""
        if self._states.prior.has("b") and self._history.temperatures:
            return self._line.room.mean_c
        since, read = self.rate_since, self._history.readings
        judged = [c for at, c in self._history.temperatures if since and read and since <= at <= read[-1].at]
        return fmean(judged) if judged else None

    @cached_property
    def rate(self) -> Answer:
        """s/day now: of weights the mean over a wind, of springs the mean over a whole wind."""
        rate = self._rate
        return rate if isinstance(rate, NotYetKnown) else rate.quantity

    @property
    def rate_named(self) -> str:
        """What temperature `rate` holds for."""
        if self._line.prior.has("b"):
            return "at 20 °C" if self._line.room.knots.size else "at the usual temperature"
        strays = self._line.prior.has("v") and not self._history.traits.reference
        return "at the present temperature" if strays else ""

    def rate_within(self, limit: float) -> float | NotYetKnown:
        """Probability that |rate| <= `limit` s/day (JCGM 106:2012, 7)."""
        rate = self._rate
        return rate if isinstance(rate, NotYetKnown) else rate.within(-limit, limit)

    @cached_property
    def _rate(self) -> Mixture | NotYetKnown:
        if not self._story.spans():
            return reasons.no_rate(self._history, self._line, self._story)
        return self._states.mixture(self._states.rate_ahead(days(self._history.now), self._wind_share))

    @cached_property
    def _wind_share(self) -> float:
        """Winds a day whose loss belongs to the mean rate of a weight clock without maintaining power.

        Nought until two winds were read before and after.
        """
        line, sound = self._line, self._story.sound
        if line.curve is None or not line.lossy or not sound:
            return 0.0
        opened = self._history.opened_at
        start = days(opened) if opened else -math.inf
        read = [day for n in sound if (day := line.days_at[n]) >= start]
        if not read:
            return 0.0
        at, part = line.steps[:, Column.DAY], line.steps[:, Column.PART]
        parts = part[(part != 0) & (at >= read[0]) & (at < read[-1])]
        return float(parts.mean()) / line.curve.period if len(parts) >= _WINDS_READ else 0.0

    @property
    def turn_effect(self) -> tuple[float, float] | None:
        """s/day that one turn towards faster makes on this clock, and its standard doubt."""
        if self._line.prior.has("s"):
            return self._states.moments("s")
        return turn_s_per_day(self._history.clock, self._history.traits)

    @property
    def winding_step(self) -> Answer:
        """What a whole wind does to the error, in s."""
        if not self._line.lossy:
            return NotYetKnown("winding does nothing to its error")
        if not self._wind_share:
            return NotYetKnown("wants two winds with readings before and after")
        states = self._states
        return Quantity.normal(*states.moments("c"))

    @property
    def wind_curve(self) -> Answer:
        """How much faster its spring drives it fully wound than at the end of its usual wind, in s/day."""
        line = self._line
        if not line.curved or line.curve is None:
            return NotYetKnown("no spring bends its rate")
        if not line.curve.told:
            return NotYetKnown("wants the days on which it is wound")
        read = [line.days_at[step] for step in self._story.sound if line.days_at[step] >= line.curve.times[0]]
        if not read or read[-1] - read[0] < line.curve.period - _SLACK_DAYS:
            return NotYetKnown("wants readings through a whole wind")
        return Quantity.normal(*self._states.moments("c"))

    @cached_property
    def residuals(self) -> tuple[Residual, ...]:
        """Each sound reading against what was expected of it, oldest first."""
        found, last = [], -1
        line, told = self._line, self.posterior
        for step in self._story.sound:
            if last >= 0 and self._story.runs[last] == self._story.runs[step]:
                visit = line.visits[line.sources[step]]
                number = int(line.steps[step, Column.NUMBER])
                miss = float(line.steps[step, Column.READING] - told.expected[number])
                since = line.days_at[step] - line.days_at[last]
                found.append(Residual(visit.at, miss, float(told.expected_sd[number]), since))
            last = step
        return tuple(found)

    @cached_property
    def drift(self) -> Answer:
        """Change of rate in s/day per day over the last four weeks at most, between equal wind phases."""
        least = _DRIFT_LEAST_DAYS
        if self._line.curved and self._line.curve is not None:
            least = max(least, self._line.curve.period)
        return drift_of(self._recent, self._story.rate_steps(), days(self._history.now), least)

    def error_at(self, at: datetime) -> Answer:
        """The error at `at`, in seconds."""
        return self._error(at, 0.0, 0.0)

    def reading_at(self, at: datetime, how: ReadBy | None = None) -> Answer:
        """The error a reading at `at` is expected to show, taken `how` (the usual way if None)."""
        return self._error(at, *self._reading_vars(how))

    def _reading_vars(self, how: ReadBy | None) -> tuple[float, float]:
        """A reading's variance, in s²: as told, and by the kind, which a clock's noise multiplies."""
        history = self._history
        by_kind = history.traits.reading_doubt_s(how or history.usual_read_by) ** 2
        doubt = reading_doubt_s(history, how) ** 2
        if not math.isclose(min(doubt, by_kind), by_kind):
            by_kind = 0.0  # readings whose doubt is told
        return doubt - by_kind, by_kind

    def _error(self, at: datetime, told_var: float, kind_var: float) -> Answer:
        unknown = reasons.no_error(self._history, self._line, self._story, at)
        if unknown is not None:
            return unknown
        day = days(at)
        if day < self._states.last_day - _INSTANT_DAYS:
            past = self._whole.at(day)
            return Quantity.normal(past.x, math.sqrt(past.xx + told_var + kind_var * self._noise.reading))
        return self._ahead(day, told_var, kind_var).quantity

    def _ahead(self, day: float, told_var: float, kind_var: float) -> Mixture:
        """The error from the last step on, a reading's variance added."""
        ahead = self._states.error_ahead(day)
        return self._states.mixture(replace(ahead, var=ahead.var + told_var, kind_var=kind_var))

    @cached_property
    def _spread(self) -> Spread | NotYetKnown:
        return self._spread_for(self._history.traits.day_range_limit)

    def _spread_for(self, limit: float | None) -> Spread | NotYetKnown:
        step = step_days(limit, self._history.usual_doubt_s)
        if step is None:
            return NotYetKnown("readings this coarse can't show it: read by the first blow, or waive it")
        fits = [(weight, self._recent_with(noise)) for weight, noise in self._states.noises()]
        return spread_of(fits, self._history.now, step)

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
        return daily_rates(self._whole)

    def trace(self, start: datetime, end: datetime, points: int) -> tuple[TracePoint, ...]:
        """The error from `start` to `end` in about `points` steps, broken where it stepped; for charts."""
        stepped = [b.at for b in self._history.breaks if b.work is not Work.WOUND and (b.error_shift_s or b.error_sd_s)]
        unlogged = [self._line.visits[self._line.sources[n]].at for n in self._story.shifts]
        return trace(self.error_at, [*stepped, *unlogged], start, end, points)


def timekeeping_of(history: History, learned: Learned = DEFAULTS) -> Timekeeping:
    """Error and rate of the clock that `history` tells, as of its `now`."""
    return timekeepings_of([history], learned=learned)[0]


def timekeepings_of(
    histories: Sequence[History], *, learned: Learned = DEFAULTS, memory: Memory | None = None
) -> list[EngineTimekeeping]:
    """Error and rate of many clocks, in the order of `histories`, weighed in one go.

    `memory` keeps what is worked out; with it a clock that was read once more goes on from where it was.
    """
    keys = [history.clock.tag for history in histories]
    lines = lines_of(histories, learned, None if memory is None else memory.rooms)
    found = posteriors(lines, keys=keys, memory=memory)
    return [EngineTimekeeping(history, one) for history, one in zip(histories, found, strict=True)]
