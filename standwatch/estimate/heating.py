"""The room's warmth, as the steel pendulums betray it where nobody logged the temperature.

What each clock's readings miss tells a change of its rate and its doubt (`matched.py`). The same warmth must explain
every steel pendulum, in proportion to its rod, and the clocks without steel must be seen not to share it: else the
reference's own rate has changed, or nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.history import History
from standwatch.estimate.matched import Floats, Matched, WarmthVoice
from standwatch.estimate.pooling import FEWEST, pooled
from standwatch.estimate.room import room_of, root_mean_square
from standwatch.estimate.together import Heating
from standwatch.horology.warmth import warmth_of
from standwatch.model.units import days, days_of, moment
from standwatch.model.words import Work

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
_STEEL_PER_C = 0.35
"""s/day lost per deg C, from which a pendulum counts as one on a rod of steel."""
_DULL_PER_C = 1.0
"""Clocks without steel whose loss per deg C may be more than this (plain balances, torsion strips) prove nothing."""
_ROUND_D = 0.2


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
    own = own if steel or dull else ()
    logged = history.temperatures[-1][0] if history.temperatures else None
    traits = history.traits
    return WarmthVoice(
        now=history.now,
        per_c=mean,
        steel=steel,
        dull=dull,
        residuals=own,
        read_at=np.array(days_of(each.at for each in own)),
        far_off=tuple(far_off.items()),
        turned=tuple((each.at, each.amount) for each in time.suspected_work if each.what is Work.NUT),
        reading_var=history.usual_doubt_s**2,
        rate_var=(3 * (traits.usual.mean_rate_limit or _RATE_LIMIT)) ** 2,
        stray_sd=root_mean_square(mean, sd) * room_of((), None).sd_c,
        noise=(traits.q1_s**2, traits.q2_s**2),
        logged_at=logged,
    )


class Warmths:
    """The heating that voices tell. What one clock's readings say of one onset is kept while its voice is the same."""

    def __init__(self) -> None:
        self._kept: dict[int, tuple[WarmthVoice, tuple[datetime, ...], Matched]] = {}
        self._order: list[Matched] = []
        self._shifts: dict[float, Floats] = {}

    def heating(self, voices: Sequence[WarmthVoice], jumps: Sequence[datetime] = ()) -> Heating | None:
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
        if not onsets:
            return None
        self._forget(voices)
        theirs = [self._matched(voice, jumps) for voice in steel]
        warmth = [_voices(shifts) for shifts in self._told(theirs, onsets)]
        place = max(range(len(onsets)), key=lambda n: abs(warmth[n].ratio))
        found, onset = warmth[place], onsets[place]
        if abs(found.ratio) < _BEYOND_DOUBT or not found.nearly_all:
            return None
        if any(days(jump) > onset for jump in jumps):
            return None  # a reference that jumps may have changed its rate as well
        dull = [voice for voice in voices if voice.dull]
        if any(_thrown(voice, onset, found.loss) for voice in dull):
            return None
        if not _spared([self._matched(voice, jumps).shift(onset) for voice in dull], found.loss):
            return None
        for after in onsets[place + 1 :]:
            later = _voices(np.array([(p.per_c, *p.without(onset, found.warmer_c, after)) for p in theirs]))
            if later.ratio * math.copysign(1, found.ratio) < -_PASSED:
                return None
        return Heating(moment(onset), found.loss, found.warmer_c, found.doubt_c, found.clocks)

    def _told(self, theirs: list[Matched], onsets: Sequence[float]) -> list[Floats]:
        """By onset, each pendulum's loss a deg C, shift and its doubt; asked of those alone that are new."""
        known, before = self._shifts, self._order
        if len(before) != len(theirs):
            known, before = {}, theirs
        new = [n for n, (old, own) in enumerate(zip(before, theirs, strict=True)) if old is not own]
        for onset in onsets:
            told = known.get(onset)
            if told is None:
                known[onset] = np.array([(own.per_c, *own.shift(onset)) for own in theirs])
            else:
                for n in new:
                    told[n] = (theirs[n].per_c, *theirs[n].shift(onset))
        self._order = theirs
        self._shifts = {onset: known[onset] for onset in onsets}
        return list(self._shifts.values())

    def _matched(self, voice: WarmthVoice, jumps: Sequence[datetime]) -> Matched:
        kept = self._kept.get(id(voice))
        if kept is None or kept[1] != tuple(jumps):
            kept = self._kept[id(voice)] = (voice, tuple(jumps), Matched(voice, jumps))
        return kept[2]

    def _forget(self, voices: Sequence[WarmthVoice]) -> None:
        """Let go of voices that are heard no more."""
        heard = {id(voice) for voice in voices}
        self._kept = {name: kept for name, kept in self._kept.items() if name in heard}


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


def _voices(shifts: Floats) -> _Warmth:
    """The warmth that explains the pendulums' shifts: (loss a deg C, shift, its doubt) of each, a row a pendulum."""
    per_c, shift, sd = shifts[np.isfinite(shifts[:, 2])].T
    if len(per_c) < FEWEST:
        return _NOBODY
    degrees, doubts = -shift / per_c, sd / per_c
    warmer, doubt = pooled(degrees, doubts)
    voices = degrees[abs(warmer) >= _TELLS * doubts]
    agree = int((voices * warmer > 0).sum())
    return _Warmth(warmer, doubt, warmer * float(per_c.mean()), agree, agree >= max(FEWEST, _NEARLY_ALL * len(voices)))


def _spared(shifts: Sequence[tuple[float, float]], loss: float) -> bool:
    """Whether the clocks without steel are seen not to share the loss."""
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


def _onsets(pendulums: Sequence[WarmthVoice], begun: float) -> list[float]:
    """The rounds, in days since 2000, from which on the room may have been warmer: nobody saw when between two."""
    read = np.sort(np.concatenate([own.read_at[:-1] for own in pendulums]))
    read = read[np.searchsorted(read, begun) :]
    if not len(read):
        return []
    last = np.append(np.diff(read) > _ROUND_D, True)
    return [float(day) for day in read[last]]
