"""The room's warmth, as the steel pendulums betray it where nobody logged the temperature.

Each clock's readings miss what was expected of them, one by one and independently (the innovations of a Kalman
filter). A rate that changed for good makes them miss by a known pattern, which fades as the filter takes the change
for the clock's own; matched to that pattern they tell the change and its doubt (a matched filter: G. L. Turin, IRE
Trans. Inf. Theory 6 (1960) 311, from memory). The same warmth must explain every steel pendulum, in proportion to its
rod, and the clocks without steel must be seen not to share it: else the reference's own rate has changed, or nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.answers import Residual, Timekeeping
from standwatch.estimate.history import History
from standwatch.estimate.pooling import FEWEST, pooled
from standwatch.estimate.together import Heating
from standwatch.horology.warmth import warmth_of
from standwatch.model.units import days, moment

Floats = NDArray[np.float64]

_NEARLY_ALL = 0.8
_BEYOND_DOUBT = 4.5
"""Standard errors of the warmth, from which it is named."""
_PASSED = 3.0
"""Standard errors of a change back: the warmth has passed, and no one step tells of it."""
_TELLS = 1.5
"""A pendulum has a voice where the warmth is so many of its own standard doubts."""
_HALF = 0.5
_FEWEST_OTHERS = 2
_LOOKS_BACK = timedelta(days=28)
_FOLLOWED_DAYS = 14.0
"""How long a change is followed in the readings after it."""
_LEAST_BEFORE = 6
"""Readings before it, from which a clock's rate was known."""
_LEAST_AFTER = 2
_STEEL_PER_C = 0.35
"""s/day lost per deg C, from which a pendulum counts as one on a rod of steel."""
_DULL_PER_C = 1.0
"""Clocks without steel whose loss per deg C may be more than this (plain balances, torsion strips) prove nothing."""
_SAME_MOMENT_D = 1 / 1440
_ROUND_D = 0.2


@dataclass(frozen=True, slots=True)
class _Shift:
    """What each of the supposed changes, one a place, did to one clock: its rate's shift (s/day), and doubt.

    The doubt is infinite where the clock can't tell.
    """

    per_c: float
    shifts: Floats
    sds: Floats


def heating_of(times: Sequence[tuple[History, Timekeeping]], jumps: Sequence[datetime] = ()) -> Heating | None:
    """The warmth that the steel pendulums share beyond doubt; None where there is none, or the room's log tells.

    `jumps` are when the reference jumped: what was missed then is not the room's.
    """
    if not times:
        return None
    now = max(history.now for history, _ in times)
    begun = now - _LOOKS_BACK
    if any(at >= begun for history, _ in times for at, _ in history.temperatures[-1:]):
        return None
    steel = [pair for pair in times if _steel(pair[0])]
    if len(steel) < FEWEST:
        return None
    onsets = _onsets([_sound(time, jumps) for _, time in steel], days(begun))
    if not len(onsets):
        return None
    theirs = [_shift(*pair, jumps, onsets) for pair in steel]
    others = [_shift(*pair, jumps, onsets) for pair in times if _dull(pair[0])]
    warmth = [_warmth(theirs, place) for place in range(len(onsets))]
    loudest = max(range(len(onsets)), key=lambda n: abs(warmth[n].ratio))
    found = warmth[loudest]
    if abs(found.ratio) < _BEYOND_DOUBT or not found.nearly_all or not _spared(others, loudest, found.loss):
        return None
    if any(later.ratio * math.copysign(1, found.ratio) < -_PASSED for later in warmth[loudest + 1 :]):
        return None
    return Heating(moment(float(onsets[loudest])), found.loss, found.warmer_c, found.doubt_c, found.clocks)


def _steel(history: History) -> bool:
    return history.traits.oscillator == "pendulum" and warmth_of(history.clock, history.traits)[0] >= _STEEL_PER_C


def _dull(history: History) -> bool:
    mean, sd = warmth_of(history.clock, history.traits)
    return not _steel(history) and mean + sd <= _DULL_PER_C


@dataclass(frozen=True, slots=True)
class _Warmth:
    """How much warmer the pendulums say the room became: deg C, its doubt, and how many say so."""

    warmer_c: float
    doubt_c: float
    loss: float
    clocks: int
    nearly_all: bool

    @property
    def ratio(self) -> float:
        return self.warmer_c / self.doubt_c


_NOBODY = _Warmth(0.0, 1.0, 0.0, 0, nearly_all=False)


def _warmth(pendulums: Sequence[_Shift], place: int) -> _Warmth:
    told = [p for p in pendulums if np.isfinite(p.sds[place])]
    if len(told) < FEWEST:
        return _NOBODY
    each = [-p.shifts[place] / p.per_c for p in told]
    sds = [p.sds[place] / p.per_c for p in told]
    warmer, doubt = pooled(each, sds)
    voices = [c for c, sd in zip(each, sds, strict=True) if abs(warmer) >= _TELLS * sd]
    agree = sum(c * warmer > 0 for c in voices)
    nearly_all = agree >= FEWEST and agree >= _NEARLY_ALL * len(voices)
    usual = sum(p.per_c for p in told) / len(told)
    return _Warmth(float(warmer), float(doubt), float(warmer * usual), int(agree), bool(nearly_all))


def _spared(others: Sequence[_Shift], place: int, loss: float) -> bool:
    """Whether the clocks without steel are seen not to share the loss."""
    told = [o for o in others if np.isfinite(o.sds[place])]
    if not told:
        return False
    shift, doubt = pooled([-o.shifts[place] for o in told], [o.sds[place] for o in told], fewest=_FEWEST_OTHERS)
    return doubt <= _HALF * abs(loss) and shift * math.copysign(1, loss) < _HALF * abs(loss)


def _sound(time: Timekeeping, jumps: Sequence[datetime]) -> list[Residual]:
    """The residuals since the rate was opened, without those over a jump of the reference."""
    since = time.rate_since
    return [
        each
        for each in time.residuals
        if since is not None
        and each.at >= since
        and each.days > 0
        and not any(each.at - timedelta(days=each.days) < jump <= each.at for jump in jumps)
    ]


def _onsets(pendulums: Sequence[Sequence[Residual]], begun: float) -> Floats:
    """The rounds, in days since 2000, from which on the room may have been warmer: nobody saw when between two."""
    read = np.array(sorted(days(each.at) for own in pendulums for each in own[:-1]))
    if not len(read):
        return read
    last = np.append(np.diff(read) > _ROUND_D, True)
    ends = read[last]
    return np.asarray(ends[ends >= begun])


def _shift(history: History, time: Timekeeping, jumps: Sequence[datetime], onsets: Floats) -> _Shift:
    """What a change at each of `onsets` did to one clock's rate, by its residuals of two weeks after.

    The filter's gains are those it settles to: of the error 1 - r/f, of the rate the root of q2 d / f, where f is a
    residual's variance, r the reading's own and d the days between (the rate's variance stays when each reading takes
    as much off it as the days before brought).
    """
    own = _sound(time, jumps)
    r = history.usual_doubt_s**2
    q2 = history.traits.q2_s**2
    error, rate = np.zeros_like(onsets), np.zeros_like(onsets)
    top, information, count = np.zeros_like(onsets), np.zeros_like(onsets), np.zeros_like(onsets)
    before = np.zeros_like(onsets)
    last = -math.inf
    for each in own:
        at, f = days(each.at), each.sd_s**2
        since = at - each.days
        if abs(since - last) > _SAME_MOMENT_D:
            error[:] = 0.0  # the error began anew, or a reading was left out: it was read anew all the same
        begins = (onsets < at) & (onsets >= since)
        before += onsets >= at
        rate = np.where(begins, 1.0, rate)
        error = error + rate * np.where(begins, at - onsets, each.days)
        counts = (error != 0) & (at - onsets <= _FOLLOWED_DAYS)
        top += np.where(counts, error * each.miss_s / f, 0.0)
        information += np.where(counts, error**2 / f, 0.0)
        count += counts
        rate = rate - error * math.sqrt(q2 * each.days / f)
        error = error * min(r / f, 1.0)
        last = at
    able = (before >= _LEAST_BEFORE) & (count >= _LEAST_AFTER) & (information > 0)
    safe = np.where(able, information, 1.0)
    per_c = warmth_of(history.clock, history.traits)[0]
    return _Shift(per_c, np.where(able, top / safe, 0.0), np.where(able, 1 / np.sqrt(safe), np.inf))
