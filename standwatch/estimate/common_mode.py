"""What all clocks of a stand do at once: a jump of the reference, and what the room's warmth does to the steel.

To one clock a jump of the reference looks like a slip of the reader or like hands that somebody set; only all clocks
together tell. So each round is asked: by how much did each clock's error step since its reading before? What nearly
all of them share, in sign and size, each within its own doubt, is the reference's. Nothing is called that is not
beyond doubt: a clock is never cleared by a guess about its neighbours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.heating import WarmthVoice, heating_of, warmth_voice
from standwatch.estimate.history import History
from standwatch.estimate.pooling import FEWEST, pooled, weighted_mean
from standwatch.estimate.steps import Step, steps_of
from standwatch.estimate.together import NOTHING_SHARED, Common, ReferenceJump
from standwatch.horology.warmth import warmth_of
from standwatch.model.words import KindName

_NEARLY_ALL = 0.8
_TELLS = 3.0
"""A clock can tell a jump of so many of its own standard doubts."""
_WITHIN = 2.5
"""It shares the jump if it steps by it within so many."""
_BEYOND_DOUBT = 8.0
"""Standard errors of what is shared, from which it is named."""
_APART = timedelta(hours=2)
"""Readings closer than this belong to one round."""
_ROUND = timedelta(hours=5)
_WARMER_C = 15.0
"""What steps by no more than so much warmth would do to it might be the room's doing, not the reference's."""
_NOT_THE_ROOM = 2


@dataclass(frozen=True, slots=True)
class Voice:
    """What one clock, weighed by itself, has to say of what all share.

    `per_c` is how much warmth may do to it, s/day a deg C; `steps` go from reading to reading, oldest first.
    """

    rail: str
    kind: KindName
    per_c: float
    steps: tuple[Step, ...]
    warmth: WarmthVoice


def voice_of(history: History, time: Timekeeping) -> Voice:
    """The voice of a clock, from the estimates of it by itself (its History without a `common`)."""
    mean, sd = warmth_of(history.clock, history.traits)
    steps = steps_of(history, time)
    return Voice(history.rail, history.traits.kind.name, abs(mean) + sd, steps, warmth_voice(history, time))


def shared_by(voices: Sequence[Voice]) -> Common:
    """What the clocks of one stand share."""
    if len(voices) < FEWEST:
        return NOTHING_SHARED
    jumps = _jumps(voices)
    heating = heating_of([voice.warmth for voice in voices], [jump.at for jump in jumps])
    return Common(tuple(jumps), heating) if jumps or heating else NOTHING_SHARED


def common_mode(times: Sequence[tuple[History, Timekeeping]]) -> Common:
    """What the clocks of one stand share, from the estimates of each by itself."""
    return shared_by([voice_of(history, time) for history, time in times])


@dataclass(frozen=True, slots=True)
class _Vote:
    """By how much a clock stepped in one round, after the jumps named before were taken off."""

    clock: Voice
    at: datetime
    since: datetime
    step_s: float
    sd_s: float

    @property
    def days(self) -> float:
        return (self.at - self.since) / timedelta(days=1)


def _jumps(clocks: Sequence[Voice]) -> list[ReferenceJump]:
    found: list[ReferenceJump] = []
    for steps in _rounds(clocks):
        jump = _jump([_vote(clock, own, found) for clock, own in steps])
        if jump is not None:
            found.append(jump)
    return found


def _rounds(clocks: Sequence[Voice]) -> list[list[tuple[Voice, list[Step]]]]:
    """Each round's steps, clock by clock; only rounds in which enough clocks were read."""
    every = sorted(((step.at, n, step) for n, clock in enumerate(clocks) for step in clock.steps), key=lambda e: e[:2])
    rounds: list[dict[int, list[Step]]] = []
    begun = last = None
    for at, n, step in every:
        if begun is None or last is None or at - last > _APART or at - begun > _ROUND:
            rounds.append({})
            begun = at
        last = at
        rounds[-1].setdefault(n, []).append(step)
    return [[(clocks[n], steps) for n, steps in each.items()] for each in rounds if len(each) >= FEWEST]


def _vote(clock: Voice, steps: Sequence[Step], named: Sequence[ReferenceJump]) -> _Vote:
    """A clock that was read twice in a round says where it came to; a jump that it had yet to show is no new one."""
    known = sum(jump.seconds for jump in named for step in steps if step.since < jump.at <= step.at)
    total = sum(step.seconds for step in steps) - known
    return _Vote(clock, steps[0].at, steps[0].since, total, max(step.sd_s for step in steps))


def _jump(votes: Sequence[_Vote]) -> ReferenceJump | None:
    """The jump that these votes share beyond doubt, if there is one."""
    size, doubt = pooled([v.step_s for v in votes], [v.sd_s for v in votes])
    if abs(size) < _BEYOND_DOUBT * doubt:
        return None
    share = [v for v in votes if abs(v.step_s - size) <= _WITHIN * math.hypot(v.sd_s, doubt)]
    can_tell = sum(abs(size) >= _TELLS * v.sd_s for v in votes)
    told = [v for v in share if abs(size) >= _TELLS * v.sd_s]
    if len(told) < FEWEST or len(told) < _NEARLY_ALL * can_tell or len(share) < _NEARLY_ALL * len(votes):
        return None
    if len({v.clock.rail for v in told}) < 2 and len({v.clock.kind for v in told}) < 2:
        return None
    if sum(abs(size) > _WARMER_C * v.clock.per_c * v.days for v in told) < _NOT_THE_ROOM:
        return None
    seconds, doubt_s = weighted_mean([v.step_s for v in share], [v.sd_s for v in share])
    return ReferenceJump(min(v.at for v in share), float(seconds), float(doubt_s), len(share))
