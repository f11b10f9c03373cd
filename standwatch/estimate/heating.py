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
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.answers import Residual, Timekeeping
from standwatch.estimate.history import History
from standwatch.estimate.noise import process_noise
from standwatch.estimate.pooling import FEWEST, pooled
from standwatch.estimate.room import room_of, root_mean_square, straying
from standwatch.estimate.together import Heating
from standwatch.horology.warmth import warmth_of
from standwatch.model.units import days, moment
from standwatch.model.words import Work

Floats = NDArray[np.float64]

_NEARLY_ALL = 0.8
_BEYOND_DOUBT = 4.5
"""Standard errors of the warmth, from which it is named."""
_PASSED = 3.0
"""Standard errors of a change back: the warmth has passed, and no one step tells of it."""
_TELLS = 1.5
"""A pendulum has a voice where the warmth is so many of its own standard doubts."""
_FAR_OFF = 4.0
"""Standard deviations from which a residual is more than wandering."""
_OFTEN = 2
_SINCE_D = 4.0
"""A turn that nobody logged may be dated so many days before the warmth it answers to."""
_RATE_LIMIT = 33.0
"""s/day for a clock whose kind has no limit."""
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
class _Clock:
    """One clock's residuals since its rate was opened, and how they answer to a change at each supposed onset.

    `misses` and `variances` are residuals; `answers`, residuals x onsets, what a rate 1 s/day faster from an onset on
    makes them miss (0 where the clock can't tell of that onset). `per_c` is s/day lost a deg C.
    """

    per_c: float
    misses: Floats
    variances: Floats
    answers: Floats

    @property
    def shifts(self) -> tuple[Floats, Floats]:
        """By onset, the change of rate (s/day) and its doubt, which is infinite where the clock can't tell."""
        information = (self.answers**2 / self.variances[:, None]).sum(axis=0)
        able = information > 0
        safe = np.where(able, information, 1.0)
        top = (self.answers * (self.misses / self.variances)[:, None]).sum(axis=0)
        return np.where(able, top / safe, 0.0), np.where(able, 1 / np.sqrt(safe), np.inf)

    def without(self, place: int, warmer_c: float) -> _Clock:
        """The same clock, as it would have gone without the warmth from the onset at `place` on."""
        lost: Floats = self.per_c * warmer_c * self.answers[:, place]
        return replace(self, misses=self.misses + lost)


@dataclass(frozen=True, slots=True)
class WarmthVoice:
    """What one clock has to say of the room: what a deg C does to it, and its residuals since its rate was opened.

    `steel` and `dull` (warmth leaves it alone, as far as one can know) say in which of the two parties it is, if any.
    `far_off` are its readings that went further than wandering and by how much, `turned` its nut as nobody logged it,
    s/day. `reading_var` is its usual reading's variance, `rate_var` that of a rate nobody knows, `stray_sd` how far it
    strays with the weather (s/day), `noise` its kind's q1 and q2 as variances. `logged_at` is when the room's
    temperature was last logged, by any clock's row.
    """

    now: datetime
    per_c: float
    steel: bool
    dull: bool
    residuals: tuple[Residual, ...]
    far_off: tuple[tuple[datetime, float], ...]
    turned: tuple[tuple[datetime, float], ...]
    reading_var: float
    rate_var: float
    stray_sd: float
    noise: tuple[float, float]
    logged_at: datetime | None


def warmth_voice(history: History, time: Timekeeping) -> WarmthVoice:
    """The voice of a clock, from the estimates of it by itself."""
    mean, sd = warmth_of(history.clock, history.traits)
    steel = history.traits.oscillator == "pendulum" and mean >= _STEEL_PER_C
    dull = not steel and mean + sd <= _DULL_PER_C
    since = time.rate_since
    told = [each for each in time.residuals if since is not None and each.at >= since and each.days > 0]
    far = {each.at: each.miss_s for each in told if abs(each.miss_s) > _FAR_OFF * each.sd_s}
    far_off = far | {each.at: each.error_s - each.expected_s for each in time.suspects}
    far_off |= {each.at: each.amount for each in time.suspected_work if each.what is Work.HANDS_SET}
    # just after one that is far off nobody knew yet what to expect
    own = tuple(b for a, b in pairwise([None, *told]) if b and b.at not in far and (a is None or a.at not in far))
    logged = history.temperatures[-1][0] if history.temperatures else None
    traits = history.traits
    return WarmthVoice(
        now=history.now,
        per_c=mean,
        steel=steel,
        dull=dull,
        residuals=own if steel or dull else (),
        far_off=tuple(far_off.items()),
        turned=tuple((each.at, each.amount) for each in time.suspected_work if each.what is Work.NUT),
        reading_var=history.usual_doubt_s**2,
        rate_var=(3 * (traits.mean_rate_limit or _RATE_LIMIT)) ** 2,
        stray_sd=root_mean_square(mean, sd) * room_of((), None).sd_c,
        noise=(traits.q1_s**2, traits.q2_s**2),
        logged_at=logged,
    )


def heating_of(voices: Sequence[WarmthVoice], jumps: Sequence[datetime] = ()) -> Heating | None:
    """The warmth that the steel pendulums share beyond doubt; None where there is none, or the room's log tells.

    `jumps` are when the reference jumped: what was missed then is not the room's.
    """
    steel = [voice for voice in voices if voice.steel]
    if len(steel) < FEWEST:
        return None
    begun = max(voice.now for voice in voices) - _LOOKS_BACK
    if any(voice.logged_at is not None and voice.logged_at >= begun for voice in voices):
        return None
    onsets = _onsets(steel, days(begun))
    if not len(onsets):
        return None
    theirs = [_clock(voice, jumps, onsets) for voice in steel]
    warmth = _warmth(theirs)
    place = max(range(len(onsets)), key=lambda n: abs(warmth[n].ratio))
    found = warmth[place]
    if abs(found.ratio) < _BEYOND_DOUBT or not found.nearly_all:
        return None
    if any(days(jump) > onsets[place] for jump in jumps):
        return None  # a reference that jumps may have changed its rate as well
    if any(_thrown(voice, float(onsets[place]), found.loss) for voice in voices if voice.dull):
        return None
    if not _spared([_clock(voice, jumps, onsets) for voice in voices if voice.dull], place, found.loss):
        return None
    rest = _warmth([pendulum.without(place, found.warmer_c) for pendulum in theirs])
    if any(later.ratio * math.copysign(1, found.ratio) < -_PASSED for later in rest[place + 1 :]):
        return None
    return Heating(moment(float(onsets[place])), found.loss, found.warmer_c, found.doubt_c, found.clocks)


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


def _warmth(pendulums: Sequence[_Clock]) -> list[_Warmth]:
    """By onset, what the pendulums say together."""
    shifts = [pendulum.shifts for pendulum in pendulums]
    return [
        _voices([(p.per_c, float(s[n]), float(sd[n])) for p, (s, sd) in zip(pendulums, shifts, strict=True)])
        for n in range(pendulums[0].answers.shape[1])
    ]


def _voices(shifts: Sequence[tuple[float, float, float]]) -> _Warmth:
    """The warmth that explains the pendulums' shifts: (loss a deg C, shift, its doubt) of each."""
    told = [each for each in shifts if math.isfinite(each[2])]
    if len(told) < FEWEST:
        return _NOBODY
    degrees = [-shift / per_c for per_c, shift, _ in told]
    sds = [sd / per_c for per_c, _, sd in told]
    warmer, doubt = pooled(degrees, sds)
    voices = [c for c, sd in zip(degrees, sds, strict=True) if abs(warmer) >= _TELLS * sd]
    agree = sum(c * warmer > 0 for c in voices)
    usual = sum(per_c for per_c, _, _ in told) / len(told)
    return _Warmth(warmer, doubt, warmer * usual, agree, agree >= max(FEWEST, _NEARLY_ALL * len(voices)))


def _spared(others: Sequence[_Clock], place: int, loss: float) -> bool:
    """Whether the clocks without steel are seen not to share the loss."""
    shifts = [(float(s[place]), float(sd[place])) for s, sd in (other.shifts for other in others)]
    told = [(s, sd) for s, sd in shifts if math.isfinite(sd)]
    if not told:
        return False
    shift, doubt = pooled([-s for s, _ in told], [sd for _, sd in told], fewest=_FEWEST_OTHERS)
    return doubt <= _HALF * abs(loss) and shift * math.copysign(1, loss) < _HALF * abs(loss)


def _thrown(voice: WarmthVoice, onset: float, loss: float) -> bool:
    """Whether a clock without steel fell behind as well, so that its readings were no longer taken for its own going.

    That is, they were far off more than once, or the nut was thought to be turned.
    """
    far_off = sum(days(at) > onset and miss * loss < 0 for at, miss in voice.far_off)
    turned = any(
        days(at) > onset - _SINCE_D and -by * math.copysign(1, loss) > _HALF * abs(loss) for at, by in voice.turned
    )
    return far_off >= _OFTEN or turned


def _onsets(pendulums: Sequence[WarmthVoice], begun: float) -> Floats:
    """The rounds, in days since 2000, from which on the room may have been warmer: nobody saw when between two."""
    read = np.array(sorted(days(each.at) for own in pendulums for each in own.residuals[:-1]))
    if not len(read):
        return read
    last = np.append(np.diff(read) > _ROUND_D, True)
    ends = read[last]
    return np.asarray(ends[ends >= begun])


def _going(voice: WarmthVoice, span: float) -> tuple[Floats, Floats]:
    """How error, rate and stray go on over `span` days, and the covariance that gathers."""
    q11, q12, _, q22, _, _ = process_noise(*voice.noise, 0.0, span)
    keep, enters, xx, xs, ss = (float(one) for one in straying(np.array(span), voice.stray_sd))
    moved = np.array([[1.0, span, enters], [0.0, 1.0, 0.0], [0.0, 0.0, keep]])
    return moved, np.array([[q11 + xx, q12, xs], [q12, q22, 0.0], [xs, 0.0, ss]])


def _clock(voice: WarmthVoice, jumps: Sequence[datetime], onsets: Floats) -> _Clock:
    """How one clock's residuals of the two weeks after each of `onsets` answer to a change there.

    The gains are those of a filter of error, rate, and a rate that strays with the weather, as its kind has them: by
    how much it takes the change for the clock's own, or for weather that will pass, is what the answers fade by.
    """
    own = [e for e in voice.residuals if not any(e.at - timedelta(days=e.days) < jump <= e.at for jump in jumps)]
    answers = np.zeros((len(own), len(onsets)))
    behind = np.zeros((3, len(onsets)))
    var = np.diag([voice.reading_var, voice.rate_var, voice.stray_sd**2])
    last = -math.inf
    for n, each in enumerate(own):
        day = days(each.at)
        since = day - each.days
        if abs(since - last) > _SAME_MOMENT_D:  # the error began anew
            behind[0] = var[0] = var[:, 0] = 0.0
            var[0, 0] = voice.reading_var
        moved, gathered = _going(voice, each.days)
        behind = moved @ behind
        begins = (onsets < day) & (onsets >= since)
        behind[0] += np.where(begins, day - onsets, 0.0)
        behind[1] += begins
        answers[n] = np.where(day - onsets <= _FOLLOWED_DAYS, behind[0], 0.0)
        var = moved @ var @ moved.T + gathered
        gain = var[:, 0] / (var[0, 0] + voice.reading_var)
        behind = behind - np.outer(gain, behind[0])
        var = var - np.outer(gain, var[0])
        last = day
    at = np.array([days(each.at) for each in own]).reshape(-1, 1)
    before, after = (at <= onsets).sum(axis=0), (answers != 0).sum(axis=0)
    answers[:, (before < _LEAST_BEFORE) | (after < _LEAST_AFTER)] = 0.0
    return _Clock(voice.per_c, np.array([e.miss_s for e in own]), np.array([e.sd_s**2 for e in own]), answers)
