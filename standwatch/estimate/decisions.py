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
_ALIKE = 1 - 1e-6
"""Rows alike but for rounding go on or go together."""
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


def observe(belief: Belief, reading: Reading, likely: Chances, weight: Floats) -> tuple[Belief, Floats]:
    """The belief after one reading, and the log density of it (clocks,), 0 for clocks that were not read.

    `weight` (N,) is each row's before it.
    """
    read = ~np.isnan(reading.error)
    innovation = np.where(read, reading.error, 0.0)[:, None] - belief.mean[0]
    total = belief.cov[0] + reading.variance
    half = np.log(total)
    half += innovation * innovation / total
    half *= 0.5
    sound = belief.log_weight - np.where(read, _HALF_LOG_TWO_PI - likely.log[0], 0.0)[:, None]
    sound -= half if read.all() else np.where(read[:, None], half, 0.0)
    rows = _Rows(*belief.segments, reading.young)
    odd = read & likely.may_branch & (reading.young | (half.max(axis=1) > _PLAIN))
    several = np.diff(np.append(rows.starts, len(read))) > 1
    weighed = (np.logical_or.reduceat(odd, rows.starts) | several) & read[rows.starts]
    row, decision, row_changed = np.arange(len(read)), np.zeros(len(read), np.int64), False
    if weighed.any():
        by_row = log_sum(sound)
        odd &= reading.young | _may_matter(rows, by_row, reading, likely, weight)
        others = _others(belief, reading, likely, odd=odd.nonzero()[0], innovation=innovation)
        row, decision, sound = _branched(rows, sound, by_row, others, weighed)
        row_changed = len(row) != len(read) or bool(decision.any())
        if row_changed:
            belief = belief.take(row)
            _work_done(belief, decision, reading, row)
            innovation = innovation[row]
    belief.log_weight = sound
    heard = read[row]
    variance = reading.variance
    if row_changed:
        variance = variance[row] + (_READ_WIDTH[decision] ** 2)[:, None]
    update(belief, innovation, variance, heard)
    _marked(belief, decision, heard, reading.number[row])
    if len(row) > len(rows.starts):
        belief = merged(belief, AGREE)
        heard = read[rows.starts][belief.segments[1]]
    return belief, normalise(belief, heard)


@dataclass(frozen=True, slots=True)
class _Rows:
    """Where each clock's rows start, each row's running number of clock, and whether its rows are kept broadly."""

    starts: Ints
    segment: Ints
    young: Flags


def _may_matter(rows: _Rows, by_row: Floats, reading: Reading, likely: Chances, weight: Floats) -> Flags:
    """The older rows in which a decision but sound may come to a share worth a row, at its greatest density."""
    density = np.full(len(weight), (np.exp(likely.log[1:5]) / np.maximum(_READ_WIDTH, _STEP_WIDTH)[1:5]).max())
    nut = np.sqrt((reading.turn * reading.days_since) ** 2 / 3 + reading.held**2)
    turned = (reading.turn != 0) & (nut > 0)
    density = np.where(turned, np.maximum(density, np.exp(likely.log[5]) / np.where(turned, nut, 1.0)), density)
    density = np.where((reading.turn != 0) & ~turned, np.inf, density)
    top = np.maximum.reduceat(by_row, rows.starts)
    whole = np.log(np.add.reduceat(np.exp(by_row - top[rows.segment]), rows.starts)) + top
    least = 0.5 * _DROP_OLD * np.exp(np.minimum(whole + _HALF_LOG_TWO_PI, 0.0))
    return np.asarray(weight * density >= least[rows.segment])


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


def _branched(rows: _Rows, sound: Floats, by_row: Floats, others: _Others, weighed: Flags) -> tuple[Ints, Ints, Floats]:
    """The rows and decisions to go on with, and their log weights (N', G); `by_row` are `sound`'s sums.

    Clocks that are not `weighed` keep their one row as it is.
    """
    row, decision = _worth_keeping(rows, by_row, others.odd, log_sum(others.score), weighed)
    if len(row) == len(by_row) and not decision.any():
        return row, decision, sound
    of_odd = np.zeros(len(by_row), np.int64)
    of_odd[others.odd] = np.arange(len(others.odd))
    log_weight = sound[row]
    other = decision.nonzero()[0]
    log_weight[other] = others.score[decision[other] - 1, of_odd[row[other]]]
    return row, decision, log_weight


def _worth_keeping(rows: _Rows, by_row: Floats, odd: Ints, by_other: Floats, weighed: Flags) -> tuple[Ints, Ints]:
    """Rows and decisions with over the least share of their clock's weight; at most so many.

    Log weights: `by_row` (N,) of sound, `by_other` (5, M) of every other decision of the rows `odd` (M,).
    """
    starts, segment = rows.starts, rows.segment
    best = by_row.copy()
    best[odd] = np.maximum(best[odd], by_other.max(axis=0))
    top = np.maximum.reduceat(best, starts)[segment]
    share = np.zeros((len(by_row), _COUNT))
    share[:, 0] = np.exp(by_row - top)
    share[odd, 1:] = np.exp(by_other - top[odd]).T
    share /= np.add.reduceat(share.sum(axis=1), starts)[segment][:, None]
    keep = share >= np.where(rows.young, _DROP_YOUNG, _DROP_OLD)[:, None]
    keep[:, 0] |= ~weighed[segment]
    most = np.where(rows.young, _KEEP_YOUNG, _KEEP_OLD)[starts]
    ends = np.append(starts[1:], len(by_row))
    for crowded in ((np.add.reduceat(keep.sum(axis=1), starts) > most) & weighed).nonzero()[0]:
        part = slice(starts[crowded], ends[crowded])
        least = np.sort(share[part], axis=None)[-most[crowded]]
        keep[part] &= share[part] >= least * _ALIKE
    row, decision = keep.nonzero()
    return row, decision


def _work_done(belief: Belief, decision: Ints, reading: Reading, row: Ints) -> None:
    """What unlogged work did to error and rate before the reading, in place.

    The nut was turned at any time since the reading before: of a turn s, x has s^2 d^2/3 and the two s^2 d/2.
    """
    n = len(belief.mean)
    belief.cov[0] += (_STEP_WIDTH[decision] ** 2)[:, None]
    nut = (decision == Decision.NUT).nonzero()[0]
    if len(nut):
        turned = row[nut]
        variance, days = (reading.turn[turned] ** 2)[:, None], reading.days_since[turned][:, None]
        belief.cov[0, nut] += variance * days**2 / 3 + reading.held[turned][:, None] ** 2
        belief.cov[1, nut] += variance * days / 2
        belief.cov[place(n, 1, 1), nut] += variance


def _marked(belief: Belief, decision: Ints, heard: Flags, number: Ints) -> None:
    """Keep what each row took the reading for, in place."""
    shifted = (belief.decided << np.uint64(3)) | decision.astype(np.uint64)
    belief.decided = np.where(heard, shifted, belief.decided)
    some = heard.nonzero()[0]
    belief.odds[some, :, number[some] % WINDOW] = 0.0
    told = (heard & (decision > 0)).nonzero()[0]
    belief.odds[told, _ODDS[decision[told]], number[told] % WINDOW] = 1.0
