"""What a reading may be: sound, a blunder, or the first after work that nobody wrote down; one reading's step.

At each reading every row branches into its decisions, is weighed by what it expected, and goes on where that has
weight. In the first readings of a run rows are kept broadly, since an early slip can't be mended later.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from standwatch.estimate.gaussian_sum import (
    WINDOW,
    Belief,
    Flags,
    Floats,
    Ints,
    log_sum,
    merged,
    normalise,
    place,
    segments,
    update,
)


class Decision(IntEnum):
    """What a row takes a reading to be."""

    SOUND = 0
    BLUNDER = 1
    FAR_BLUNDER = 2
    HANDS_SET = 3
    HANDS_SET_FAR = 4
    NUT = 5


WORKS = 3
"""The first decision that is work."""
_COUNT = len(Decision)
_READ_WIDTH = np.array([0.0, 100.0, 4000.0, 0.0, 0.0, 0.0])
"""s; a misread minute; an hour, or seconds as minutes: wider than any step, or a far one would pass for work."""
_STEP_WIDTH = np.array([0.0, 0.0, 0.0, 300.0, 3600.0, 0.0])
"""s; hands set by some minutes, or by an hour (a summer time that nobody logged)."""
HANDS_SET_SD = {Decision.HANDS_SET: 300.0, Decision.HANDS_SET_FAR: 3600.0}
_HALF_LOG_TWO_PI = 0.5 * np.log(2 * np.pi)
_NEVER = -1e300
AGREE = 8
_KEEP_YOUNG, _DROP_YOUNG = 16, 1e-6
_KEEP_OLD, _DROP_OLD = 8, 5e-4
_BRANCH_OLD = 5e-3
"""The share under which an older row doesn't branch."""
_ODDS = np.array([-1, 0, 0, 1, 1, 2])
"""Which of a reading's three odds a decision adds to."""


@dataclass(frozen=True, slots=True)
class Chances:
    """The prior log probability of each decision (6,) at a reading."""

    log: Floats
    may_branch: bool = True


def chances(blunder: float = 0.03, far_share: float = 0.1, work: float = 0.004, hour_share: float = 0.005) -> Chances:
    """One reading in thirty is wrong, of those one in ten by far; each work goes unlogged before one in 250.

    Of hands set very few go by an hour: two readings far off alike are likelier seconds taken for minutes twice.
    """
    each = np.array(
        [
            1 - blunder - 2 * work,
            blunder * (1 - far_share),
            blunder * far_share,
            work * (1 - hour_share),
            work * hour_share,
            work,
        ]
    )
    return Chances(np.log(each))


NEVER_WRONG = Chances(np.array([0.0, _NEVER, _NEVER, _NEVER, _NEVER, _NEVER]), may_branch=False)
"""Every reading is sound and all work was written down: one plain Kalman filter a member."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of each row's clock: `error` (N,) in s, nan where there is none; `variance` (N, G) of the reading.

    `days_since` (N,) the reading before; `turn` (N,) s/day that one turn of the nut makes, 0 where the nut can't have
    been turned, `held` (N,) s that the error steps meanwhile; `may_set` (N,) whether hands may have been set; `young`
    (N,) whether rows are kept broadly; `number` (N,) counts the clock's readings.
    """

    error: Floats
    variance: Floats
    days_since: Floats
    turn: Floats
    held: Floats
    may_set: Flags
    young: Flags
    number: Ints


def observe(belief: Belief, reading: Reading, likely: Chances) -> tuple[Belief, Floats]:
    """The belief after one reading, and the log density of it (clocks,), 0 for clocks that were not read."""
    read = ~np.isnan(reading.error)
    innovation = np.where(read, reading.error, 0.0)[:, None] - belief.mean[0]
    total = belief.cov[0] + reading.variance
    half = 0.5 * (np.log(total) + innovation * innovation / total)
    sound = belief.log_weight - np.where(read, _HALF_LOG_TWO_PI - likely.log[0], 0.0)[:, None]
    sound -= np.where(read[:, None], half, 0.0)
    odd = read & likely.may_branch & (reading.young | (half.max(axis=1) > _PLAIN))
    starts, _ = segments(belief.clock)
    several = np.diff(np.append(starts, len(read))) > 1
    weighed = (np.logical_or.reduceat(odd, starts) | several) & read[starts]
    row, decision = np.arange(len(read)), np.zeros(len(read), np.int64)
    if weighed.any():
        others = _others(belief, reading, likely, odd=np.flatnonzero(odd), innovation=innovation)
        row, decision, sound = _branched(belief.clock, reading.young, sound, others, weighed)
        if len(row) != len(read) or decision.any():
            belief = belief.take(row)
            _work_done(belief, decision, reading, row)
    belief.log_weight = sound
    heard = read[row]
    width = (_READ_WIDTH[decision] ** 2)[:, None]
    variance = np.where(heard[:, None], reading.variance[row] + width, np.inf)
    _update(belief, innovation[row], variance, heard)
    _marked(belief, decision, heard, reading.number[row])
    if len(row) > len(starts):
        belief = merged(belief, AGREE)
        heard = read[starts][segments(belief.clock)[1]]
    return belief, normalise(belief, heard)


_PLAIN = np.log(_BRANCH_OLD / 0.031) + np.log(100.0)
"""Half the squared innovation and log variance under which no other decision reaches a share worth a row."""


@dataclass(frozen=True, slots=True)
class _Others:
    """The log weights (5, M, G) of every decision but sound, of the rows `odd` (M,)."""

    odd: Ints
    score: Floats


def _others(belief: Belief, reading: Reading, likely: Chances, *, odd: Ints, innovation: Floats) -> _Others:
    widths = np.zeros((_COUNT, len(odd), 1))
    widths += (_READ_WIDTH**2 + _STEP_WIDTH**2)[:, None, None]
    widths[Decision.NUT, :, 0] = (reading.turn[odd] * reading.days_since[odd]) ** 2 / 3 + reading.held[odd] ** 2
    total = (belief.cov[0, odd] + reading.variance[odd]) + widths[1:]
    score = belief.log_weight[odd] + likely.log[1:, None, None] - _HALF_LOG_TWO_PI
    score = score - 0.5 * (np.log(total) + innovation[odd] ** 2 / total)
    score[2:4, ~reading.may_set[odd]] = _NEVER
    score[4, reading.turn[odd] == 0] = _NEVER
    return _Others(odd, score)


def _branched(clock: Ints, young: Flags, sound: Floats, others: _Others, weighed: Flags) -> tuple[Ints, Ints, Floats]:
    """The rows and decisions to go on with, and their log weights (N', G).

    Clocks that are not `weighed` keep their one row as it is.
    """
    by_row = np.full((_COUNT, len(clock)), _NEVER)
    by_row[0] = log_sum(sound)
    by_row[1:, others.odd] = log_sum(others.score)
    row, decision = _worth_keeping(clock, by_row, young, weighed)
    if len(row) == len(clock) and not decision.any():
        return row, decision, sound
    of_odd = np.zeros(len(clock), np.int64)
    of_odd[others.odd] = np.arange(len(others.odd))
    log_weight = sound[row]
    other = np.flatnonzero(decision)
    log_weight[other] = others.score[decision[other] - 1, of_odd[row[other]]]
    return row, decision, log_weight


def _worth_keeping(clock: Ints, by_row: Floats, young: Flags, weighed: Flags) -> tuple[Ints, Ints]:
    """Rows and decisions with over the least share of their clock's weight, by log weight (6, N); at most so many."""
    starts, segment = segments(clock)
    weight = np.exp(by_row - np.maximum.reduceat(by_row.max(axis=0), starts)[segment])
    share = weight / np.add.reduceat(weight.sum(axis=0), starts)[segment]
    keep = share >= np.where(young, _DROP_YOUNG, _DROP_OLD)
    keep[0] |= ~weighed[segment]
    most = np.where(young, _KEEP_YOUNG, _KEEP_OLD)[starts]
    ends = np.append(starts[1:], len(clock))
    for crowded in np.flatnonzero((np.add.reduceat(keep.sum(axis=0), starts) > most) & weighed):
        part = slice(starts[crowded], ends[crowded])
        least = np.sort(share[:, part], axis=None)[-most[crowded]]
        keep[:, part] &= share[:, part] >= least
    rows, decisions = np.nonzero(keep.T)
    return rows, decisions


def _work_done(belief: Belief, decision: Ints, reading: Reading, row: Ints) -> None:
    """What unlogged work did to error and rate before the reading, in place.

    The nut was turned at any time since the reading before: of a turn s, x has s^2 d^2/3 and the two s^2 d/2.
    """
    n = len(belief.mean)
    belief.cov[0] += (_STEP_WIDTH[decision] ** 2)[:, None]
    nut = np.flatnonzero(decision == Decision.NUT)
    if len(nut):
        turned = row[nut]
        variance, days = (reading.turn[turned] ** 2)[:, None], reading.days_since[turned][:, None]
        belief.cov[0, nut] += variance * days**2 / 3 + reading.held[turned][:, None] ** 2
        belief.cov[1, nut] += variance * days / 2
        belief.cov[place(n, 1, 1), nut] += variance


def _update(belief: Belief, innovation: Floats, variance: Floats, heard: Flags) -> None:
    """The update of the rows that were read."""
    if heard.all():
        update(belief, innovation, variance)
        return
    some = np.flatnonzero(heard)
    if len(some):
        part = belief.take(some)
        update(part, innovation[some], variance[some])
        belief.mean[:, some], belief.cov[:, some] = part.mean, part.cov


def _marked(belief: Belief, decision: Ints, heard: Flags, number: Ints) -> None:
    """Keep what each row took the reading for, in place."""
    shifted = (belief.decided << np.uint64(3)) | decision.astype(np.uint64)
    belief.decided = np.where(heard, shifted, belief.decided)
    some = np.flatnonzero(heard)
    belief.odds[some, :, number[some] % WINDOW] = 0.0
    told = np.flatnonzero(heard & (decision > 0))
    belief.odds[told, _ODDS[decision[told]], number[told] % WINDOW] = 1.0
