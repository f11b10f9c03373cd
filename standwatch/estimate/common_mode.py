"""What all clocks of a stand do at once: a jump of the reference, and what the room's warmth does to the steel.

To one clock a jump of the reference looks like a slip of the reader or like hands that somebody set; only all clocks
together tell. So each round is asked: by how much did each clock's error step since its reading before? What nearly
all of them share, in sign and size, each within its own doubt, is the reference's. Nothing is called that is not
beyond doubt: a clock is never cleared by a guess about its neighbours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.heating import Warmths, warmth_voice
from standwatch.estimate.history import History
from standwatch.estimate.matched import WarmthVoice
from standwatch.estimate.pooling import FEWEST, pooled, weighted_mean
from standwatch.estimate.steps import steps_of
from standwatch.estimate.together import NOTHING_SHARED, Common, ReferenceJump
from standwatch.horology.warmth import warmth_of
from standwatch.model.units import days, moment
from standwatch.model.words import KindName

Floats = NDArray[np.float64]

_NEARLY_ALL = 0.8
_TELLS = 3.0
"""A clock can tell a jump of so many of its own standard doubts."""
_WITHIN = 2.5
"""It shares the jump if it steps by it within so many."""
_BEYOND_DOUBT = 8.0
"""Standard errors of what is shared, from which it is named."""
_APART_D = 2 / 24
"""Readings closer than this belong to one round."""
_ROUND_D = 5 / 24
_WARMER_C = 15.0
"""What steps by no more than so much warmth would do to it might be the room's doing, not the reference's."""
_NOT_THE_ROOM = 2


@dataclass(frozen=True, slots=True)
class Voice:
    """What one clock, weighed by itself, has to say of what all share.

    `per_c` is how much warmth may do to it, s/day a deg C. `steps`, a row each from reading to reading, are the days
    (since 2000) of the second and of the first, the seconds it stepped beside what was expected, and their doubt.
    """

    rail: str
    kind: KindName
    per_c: float
    steps: Floats
    warmth: WarmthVoice


def voice_of(history: History, time: Timekeeping) -> Voice:
    """The voice of a clock, from the estimates of it by itself (its History without a `common`)."""
    mean, sd = warmth_of(history.clock, history.traits)
    steps = np.array([(days(s.at), days(s.since), s.seconds, s.sd_s) for s in steps_of(history, time)]).reshape(-1, 4)
    return Voice(history.rail, history.traits.kind.name, abs(mean) + sd, steps, warmth_voice(history, time))


class Together:
    """What the clocks of one stand share. Rounds that nothing new is told of are not looked at again."""

    def __init__(self) -> None:
        self._warmths = Warmths()
        self._who: list[tuple[str, KindName, float]] = []
        self._rounds: dict[bytes, ReferenceJump | None] = {}

    def shared_by(self, voices: Sequence[Voice]) -> Common:
        """What the clocks with these voices share."""
        if len(voices) < FEWEST:
            return NOTHING_SHARED
        jumps = self._jumps(voices)
        heating = self._warmths.heating([voice.warmth for voice in voices], [jump.at for jump in jumps])
        return Common(tuple(jumps), heating) if jumps or heating else NOTHING_SHARED

    def _jumps(self, voices: Sequence[Voice]) -> list[ReferenceJump]:
        who = np.repeat(np.arange(len(voices), dtype=float), [len(voice.steps) for voice in voices])
        steps = np.column_stack([np.concatenate([voice.steps for voice in voices]), who])
        steps = steps[np.argsort(steps[:, 0], kind="stable")]  # a row: at, since, seconds, doubt, whose
        known, self._rounds = self._rounds, {}
        named = [(voice.rail, voice.kind, voice.per_c) for voice in voices]
        if named != self._who:
            known, self._who = {}, named
        found: list[ReferenceJump] = []
        for part in _rounds(steps[:, 0]):
            told = steps[part].tobytes()
            jump = known[told] if told in known else _jump_of(voices, steps[part])
            self._rounds[told] = jump
            if jump is not None:
                found.append(jump)
                # who was not read that day has yet to show it: that is no new jump
                day = days(jump.at)
                steps[(steps[:, 1] < day) & (steps[:, 0] >= day), 2] -= jump.seconds
        return found


def common_mode(times: Sequence[tuple[History, Timekeeping]]) -> Common:
    """What the clocks of one stand share, from the estimates of each by itself."""
    return Together().shared_by([voice_of(history, time) for history, time in times])


def _jump_of(voices: Sequence[Voice], steps: Floats) -> ReferenceJump | None:
    """The jump that the clocks read in one round share, if there is one."""
    at, since, seconds, sds, who = steps.T
    # a clock that was read twice in a round says where it came to
    clocks, first, place = np.unique(who.astype(int), return_index=True, return_inverse=True)
    if len(clocks) < FEWEST:
        return None
    stepped, doubts = np.zeros(len(clocks)), np.zeros(len(clocks))
    np.add.at(stepped, place, seconds)
    np.maximum.at(doubts, place, sds)
    return _jump([voices[n] for n in clocks], stepped, doubts, at[first], at[first] - since[first])


def _rounds(at: Floats) -> list[slice]:
    """Each round's part of `at`, times in days in order."""
    if not len(at):
        return []
    starts = [0]
    for n in np.flatnonzero(np.diff(at) > _APART_D) + 1:
        while at[n - 1] - at[starts[-1]] > _ROUND_D:  # one that never seems to end
            starts.append(int(np.searchsorted(at, at[starts[-1]] + _ROUND_D, side="right")))
        starts.append(int(n))
    return [slice(a, b) for a, b in pairwise([*starts, len(at)]) if b > a]


def _jump(
    voices: Sequence[Voice], stepped: Floats, doubts: Floats, at: Floats, days_since: Floats
) -> ReferenceJump | None:
    """The jump that these clocks share beyond doubt, if there is one: each `stepped` so far, over so many days."""
    size, doubt = pooled(stepped, doubts)
    if abs(size) < _BEYOND_DOUBT * doubt:
        return None
    share = np.abs(stepped - size) <= _WITHIN * np.hypot(doubts, doubt)
    can_tell = abs(size) >= _TELLS * doubts
    told = share & can_tell
    if told.sum() < max(FEWEST, _NEARLY_ALL * can_tell.sum()) or share.sum() < _NEARLY_ALL * len(voices):
        return None
    telling = [voice for voice, tells in zip(voices, told, strict=True) if tells]
    rails = {voice.rail for voice in telling}  # clocks without a slot are of no rail that may have been bumped
    if len(rails) < 2 and rails != {""} and len({voice.kind for voice in telling}) < 2:
        return None
    room = np.array([voice.per_c for voice in telling]) * _WARMER_C * days_since[told]
    if (abs(size) > room).sum() < _NOT_THE_ROOM:
        return None
    seconds, doubt_s = weighted_mean(stepped[share], doubts[share])
    return ReferenceJump(moment(float(at[share].min())), seconds, doubt_s, int(share.sum()))
