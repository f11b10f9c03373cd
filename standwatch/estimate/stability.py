"""How steadily a clock goes: Allan deviation from day to day up to four weeks, and its daily rates summed up.

Both are of the errors as they were read, so the reading's own doubt, the room's warmth and a spring's wind are in them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import fmean, median
from typing import Protocol

from standwatch.estimate.allan import Noise, Phase, Run, allan
from standwatch.estimate.answers import Suspect, SuspectedWork
from standwatch.estimate.breaks import Break
from standwatch.estimate.history import History, Visit
from standwatch.model.answers import Answer, NotYetKnown
from standwatch.model.units import days, reached
from standwatch.model.words import Work

TAUS_DAYS = (1, 2, 4, 7, 14, 28)
_LEAST_FREEDOM = 3.0
"""With fewer degrees of freedom the interval's end is four times the deviation and more: nothing is known."""
_ROUND_DAYS = 0.125
"""How far from the usual hour a reading may be taken and still be the day's."""
_LEAST_RATES = 5
_NOTHING = 1e-9
"""A deviation in s/day below which there is only the computer's rounding."""
_BUMP_DOUBT = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class StabilityPoint:
    """How far the rate wanders, in s/day, from one span of `tau_days` to the next: the Allan deviation, as read.

    `reading` is what the readings' own doubt alone would make of it (s/day), `count` the pairs of spans compared.
    """

    tau_days: int
    deviation: Answer
    reading: float
    count: int

    @property
    def hidden(self) -> bool:
        """What was seen may be the readings' own doubt, and not the clock's."""
        return not isinstance(self.deviation, NotYetKnown) and self.deviation.low <= self.reading


@dataclass(frozen=True, slots=True)
class DailyRates:
    """Daily rates as ISO 3159 sums them up, in s/day; for comparison, never as limits.

    `mean` is of `count` daily rates; a variation is the difference of two consecutive ones: `mean_variation` and
    `greatest_variation` are of their absolute values. `greatest_difference` is the largest |rate - mean|. (By an
    accrediting observatory's account of the standard, which was not read itself.)
    """

    count: int
    mean: float
    mean_variation: float
    greatest_variation: float
    greatest_difference: float


@dataclass(frozen=True, slots=True)
class Stability:
    """A point for each of `TAUS_DAYS`, since the movement was last opened; `daily` since the rate was last opened."""

    points: tuple[StabilityPoint, ...]
    daily: DailyRates | NotYetKnown


class Suspicions(Protocol):
    """What a clock's Timekeeping holds against its readings; nothing more of it is asked."""

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """Readings that the others contradict."""

    @property
    def suspected_work(self) -> tuple[SuspectedWork, ...]:
        """Work that nobody logged."""


def stability_of(history: History, time: Suspicions) -> Stability:
    """The stability of a clock on the stand, from its sound readings.

    Steps of known size are taken off. A run breaks where the error began anew, where the hands moved by an unknown
    amount, where the rate was opened (it counts again once settled) and where the rail was bumped. Left out: what
    `time` suspects, readings taken another way than usual, and the day after a bump. A wind without maintaining power
    does about as much each time: only spans with as much winding in each are compared.
    """
    walk = _Walk(history, frozenset(suspect.id for suspect in time.suspects))
    for _, _, what in sorted(_events(history, time), key=lambda event: event[:2]):
        walk.take(what)
    hour = _usual_hour([phase.day for run in walk.runs for phase in run])
    runs = [_by_day(run, hour) for run in walk.runs if run]
    since = [_by_day(run, hour) for run in walk.runs[walk.opened :] if run]
    traits = history.traits
    reading = fmean(walk.variances) if walk.variances else 0.0
    noise = Noise(traits.q1_s**2, traits.q2_s**2, reading)
    return Stability(tuple(_point(runs, tau, noise) for tau in TAUS_DAYS), daily_rates(since))


@dataclass(frozen=True, slots=True)
class _Anew:
    """From here on the errors can't be compared with those before."""


@dataclass(frozen=True, slots=True)
class _Shared:
    """The reference stepped: from here on every clock reads so much more (s)."""

    seconds: float


_What = Visit | Break | _Anew | _Shared


def _events(history: History, time: Suspicions) -> Iterator[tuple[datetime, tuple[int, int], _What]]:
    """What was read and done since the movement was last opened; at one instant, reading comes before its work."""
    opened = history.opened_at
    for visit in history.readings:
        if opened is None or visit.at >= opened:
            yield visit.at, (visit.order, 0), visit
    for step in history.breaks:
        if opened is None or step.at >= opened:
            yield step.at, (step.order, 1), step
    for bump in history.bumps:
        yield bump, (1 << 62, 0), _Anew()
    for work in time.suspected_work:
        if work.what in {Work.HANDS_SET, Work.NUT}:
            yield work.at, (-1, 0), _Anew()
    for jump in history.common.jumps:
        yield jump.at, (-1, 1), _Shared(jump.seconds)


@dataclass(slots=True)
class _Walk:
    """Follows a clock's readings and works into unbroken runs; `opened` is the first run since the rate was opened."""

    history: History
    suspects: frozenset[str]
    runs: list[list[Phase]] = field(default_factory=lambda: [[]])
    variances: list[float] = field(default_factory=list)
    opened: int = 0
    opener: Break | None = None
    steps_s: float = 0.0
    wound_s: float = 0.0

    def take(self, what: _What) -> None:
        """One thing further."""
        match what:
            case Visit():
                self._read(what)
            case Break():
                self._work(what)
            case _Anew():
                self.runs.append([])
            case _Shared():
                self.steps_s += what.seconds

    def _read(self, visit: Visit) -> None:
        if visit.error_s is None or visit.doubt_s is None or not self._sound(visit):
            return
        self.runs[-1].append(Phase(days(visit.at), visit.error_s - self.steps_s, self.wound_s))
        self.variances.append(visit.doubt_s**2)

    def _sound(self, visit: Visit) -> bool:
        if visit.id in self.suspects or visit.read_by is not self.history.usual_read_by:
            return False
        if any(bump < visit.at <= bump + _BUMP_DOUBT for bump in self.history.bumps):
            return False
        opener = self.opener
        return opener is None or reached(visit.at - opener.at, opener.settled_at - opener.at)

    def _work(self, step: Break) -> None:
        if step.opens_rate or math.isinf(step.error_sd_s):
            self.runs.append([])
        if step.opens_rate:
            self.opener, self.opened = step, len(self.runs) - 1
        elif step.work is Work.WOUND:
            self.wound_s += step.error_sd_s
        else:
            self.steps_s += step.error_shift_s


def _usual_hour(when: Sequence[float]) -> float:
    """The part of a day (0 to 1) at which the clock is mostly read."""
    if not when:
        return 0.0
    first = when[0] % 1
    return (first + median((day - first + 0.5) % 1 - 0.5 for day in when)) % 1


def _by_day(run: Sequence[Phase], hour: float) -> Run:
    """The reading of each day that is nearest to `hour`, where one is near enough."""
    chosen: dict[int, Phase] = {}
    off: dict[int, float] = {}
    for phase in run:
        day = round(phase.day - hour)
        away = abs(phase.day - hour - day)
        if away <= _ROUND_DAYS and away < off.get(day, math.inf):
            chosen[day], off[day] = phase, away
    return chosen


def _point(runs: Sequence[Run], tau: int, noise: Noise) -> StabilityPoint:
    found = allan(runs, tau, noise)
    reading = math.sqrt(3 * noise.reading) / tau
    deviation: Answer
    if found is None or found.freedom < _LEAST_FREEDOM:
        deviation = NotYetKnown(_too_few(tau, found.count if found else 0))
    elif found.deviation < _NOTHING:
        deviation = NotYetKnown("the readings show no wandering: they are too coarse for it")
    else:
        deviation = found.quantity
    return StabilityPoint(tau, deviation, reading, found.count if found else 0)


def _too_few(tau: int, count: int) -> str:
    readings = f"three readings {'a day' if tau == 1 else f'{tau} days'} apart"
    return f"{readings} only {'once' if count == 1 else f'{count} times'} so far" if count else f"no {readings} so far"


def daily_rates(runs: Sequence[Run]) -> DailyRates | NotYetKnown:
    """The daily rates of `runs` after ISO 3159; a day on which winding held the clock up is no day's rate."""
    rates: list[float] = []
    variations: list[float] = []
    for run in runs:
        found = {
            day: (b.error_s - a.error_s) / (b.day - a.day)
            for day, a in run.items()
            if (b := run.get(day + 1)) is not None and b.wound_s == a.wound_s
        }
        rates += found.values()
        variations += [abs(found[b] - found[a]) for a, b in pairwise(sorted(found)) if b == a + 1]
    if len(rates) < _LEAST_RATES or not variations:
        return NotYetKnown(f"wants the rates of {_LEAST_RATES} days, two of them in a row; {len(rates)} so far")
    mean = fmean(rates)
    return DailyRates(
        count=len(rates),
        mean=mean,
        mean_variation=fmean(variations),
        greatest_variation=max(variations),
        greatest_difference=max(abs(rate - mean) for rate in rates),
    )
