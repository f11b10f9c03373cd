"""A Gaussian sum of what may have happened at each reading, over a grid of noise, for many clocks at once.

A clock's error is filtered linearly (Kalman) under every hypothesis: at each reading it was sound, a blunder, a far
blunder, or the hands were set or the nut was turned since the reading before and nobody wrote it down. A *row* is one
sequence of such decisions; its *members* are those of the noise grid and share the row's decisions. Rows branch where
a decision has weight, are dropped where it has none, and are merged by their moments where they agree on the latest
decisions (Sorenson and Alspach, Automatica 7 (1971) 465; Blom and Bar-Shalom, IEEE Trans. AC 33 (1988) 780; both from
memory).

State of a member: error x (s), rate y (s/day), then constants that enter x or y linearly, the first of which may decay.
Arrays are [state][row][member], the rows sorted by clock. Nothing here knows a date or a kind.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

_ROUNDING = 1e-15
"""No variance falls further at one reading than its rounding."""
WINDOW = 24
"""Readings whose odds may still change; further back they are settled."""


@dataclass(slots=True)
class Belief:
    """What is believed of some clocks: N rows, G grid members, n states.

    clock (N,) ascending; log_weight (N, G), adding to 1 over each clock; mean (n, N, G); cov (n(n+1)/2, N, G), upper
    triangle by rows; decided (N,), three bits a decision, the latest lowest; odds (N, 3, WINDOW): of a blunder, of
    hands set and of a turned nut at the latest readings, reading k in place k % WINDOW.
    """

    clock: Ints
    log_weight: Floats
    mean: Floats
    cov: Floats
    decided: NDArray[np.uint64]
    odds: Floats
    _segments: tuple[Ints, Ints] | None = field(default=None, init=False)

    @property
    def segments(self) -> tuple[Ints, Ints]:
        """Where each clock's rows start, and each row's running number of clock."""
        if self._segments is None:
            self._segments = segments(self.clock)
        return self._segments

    def take(self, rows: Ints | Flags) -> Belief:
        """The named rows, copied; always laid out alike, so that sums come out alike to the last bit."""
        if rows.dtype == np.bool_:
            rows = rows.nonzero()[0]
        mean, cov = np.take(self.mean, rows, axis=1), np.take(self.cov, rows, axis=1)
        log_weight, odds = np.take(self.log_weight, rows, axis=0), np.take(self.odds, rows, axis=0)
        return Belief(self.clock[rows], log_weight, mean, cov, self.decided[rows], odds)

    @property
    def weight(self) -> Floats:
        """Each row's weight (N,), adding to 1 over each clock."""
        return np.exp(log_sum(self.log_weight))


def joined(parts: list[Belief]) -> Belief:
    """Beliefs of clocks in ascending order, as one."""
    if len(parts) == 1:
        return parts[0]
    return Belief(
        np.concatenate([p.clock for p in parts]),
        np.concatenate([p.log_weight for p in parts]),
        np.concatenate([p.mean for p in parts], axis=1),
        np.concatenate([p.cov for p in parts], axis=1),
        np.concatenate([p.decided for p in parts]),
        np.concatenate([p.odds for p in parts]),
    )


@cache
def place(n: int, i: int, j: int) -> int:
    """Where `cov` keeps the covariance of states i and j."""
    low, high = min(i, j), max(i, j)
    return low * n - low * (low - 1) // 2 + high - low


def begin(mean: Floats, variance: Floats, log_prior: Floats) -> Belief:
    """One row a clock: mean and variance (n, C) of independent states, log_prior (C, G) of the grid."""
    n, clocks = mean.shape
    members = log_prior.shape[1]
    cov = np.zeros((n * (n + 1) // 2, clocks, members))
    for i in range(n):
        cov[place(n, i, i)] = variance[i][:, None]
    return Belief(
        np.arange(clocks),
        log_prior.copy(),
        np.repeat(mean[:, :, None], members, axis=2),
        cov,
        np.zeros(clocks, np.uint64),
        np.zeros((clocks, 3, WINDOW)),
    )


def shear(belief: Belief, target: int, by: Floats) -> None:
    """State `target` gains by[j] of every other state j, in place; by (n, N), its own line unused."""
    mean, cov = belief.mean, belief.cov
    n = len(mean)
    used = [j for j in range(n) if j != target and by[j].any()]
    if not used:
        return
    with_target = {j: cov[place(n, target, j)].copy() for j in used}
    for j in used:
        mean[target] += by[j][:, None] * mean[j]
    for k in range(n):
        if k != target:
            line = cov[place(n, target, k)]
            for j in used:
                line += by[j][:, None] * cov[place(n, j, k)]
    own = cov[place(n, target, target)]
    for j in used:
        own += by[j][:, None] * (with_target[j] + cov[place(n, target, j)])


def decay(belief: Belief, state: int, keep: Floats) -> None:
    """A state falls to `keep` (N,) of what it was, in place."""
    n = len(belief.mean)
    belief.mean[state] *= keep[:, None]
    for k in range(n):
        belief.cov[place(n, state, k)] *= (keep * keep if k == state else keep)[:, None]


def reopen(belief: Belief, state: int, rows: Flags, mean: Floats, variance: Floats) -> None:
    """Forget a state of the named rows, in place: it begins anew at mean (N,) with variance (N, G)."""
    n = len(belief.mean)
    belief.mean[state, rows] = mean[rows, None]
    for k in range(n):
        belief.cov[place(n, state, k), rows] = variance[rows] if k == state else 0.0


def update(belief: Belief, innovation: Floats, variance: Floats, heard: Flags) -> None:
    """The Kalman update by a reading of x, in place: innovation (N, G), variance (N, G) of the reading alone.

    Rows that are not `heard` (N,) stay as they are, to the last bit. The line of x takes no difference of like numbers,
    so a reading may be as fine as it likes against what was known.
    """
    n = len(belief.mean)
    total = belief.cov[0] + variance
    with_x = belief.cov[:n].copy()
    gain = with_x / total
    left = variance / total
    if not heard.all():
        gain[:, ~heard], left[~heard] = 0.0, 1.0
    belief.mean += gain * innovation
    belief.cov[:n] *= left
    for i in range(1, n):
        own = belief.cov[place(n, i, i)]
        least = _ROUNDING * own
        first = place(n, i, i)
        belief.cov[first : first + n - i] -= gain[i] * with_x[i:]
        np.maximum(own, least, out=own)


def segments(clock: Ints) -> tuple[Ints, Ints]:
    """Where each clock's rows start, and each row's running number of clock."""
    first = np.empty(len(clock), bool)
    first[0] = True
    np.not_equal(clock[1:], clock[:-1], out=first[1:])
    return first.nonzero()[0], np.cumsum(first) - 1


def log_sum(values: Floats) -> Floats:
    """log of the sum of exp over the last axis."""
    top = values.max(axis=-1)
    return np.asarray(np.log(np.exp(values - top[..., None]).sum(axis=-1)) + top)


def normalise(belief: Belief, rows: Flags) -> Floats:
    """Make the weights of the named rows add to 1 over each clock, in place; the log of what they added to, by clock.

    0 for the clocks that are left as they are.
    """
    starts, segment = belief.segments
    top = np.maximum.reduceat(belief.log_weight.max(axis=1), starts)
    total = np.add.reduceat(np.exp(belief.log_weight - top[segment][:, None]).sum(axis=1), starts)
    log_total = top + np.log(total)
    log_total = np.where(rows[starts], log_total, 0.0)
    belief.log_weight -= log_total[segment][:, None]
    return log_total


def merged(belief: Belief, agree: int) -> Belief:
    """Rows of one clock that agree on the last `agree` decisions become one, by moments.

    All come in the order of their decisions, so that it doesn't matter which clocks stand beside.
    """
    key = belief.decided & np.uint64((1 << (3 * agree)) - 1)
    order = np.lexsort((key, belief.clock))
    clock, key = belief.clock[order], key[order]
    first = np.empty(len(order), bool)
    first[0] = True
    first[1:] = (clock[1:] != clock[:-1]) | (key[1:] != key[:-1])
    if first.all():
        return belief if (order[1:] > order[:-1]).all() else belief.take(order)
    one = belief.take(order[first])
    count = np.diff(np.append(first.nonzero()[0], len(order)))
    several = (count > 1).nonzero()[0]
    alike = np.repeat(count > 1, count)
    part = _moments(belief.take(order[alike]), first[alike].nonzero()[0])
    one.log_weight[several], one.odds[several] = part.log_weight, part.odds
    one.mean[:, several], one.cov[:, several] = part.mean, part.cov
    return one


def _moments(rows: Belief, starts: Ints) -> Belief:
    """Of each run of rows, beginning at `starts`, the one row that has its weight, mean and covariance."""
    segment = np.zeros(len(rows.clock), np.int64)
    segment[starts[1:]] = 1
    segment = np.cumsum(segment)
    top = np.maximum.reduceat(rows.log_weight, starts, axis=0)
    weight = np.exp(rows.log_weight - top[segment])
    total = np.add.reduceat(weight, starts, axis=0)
    share = weight / total[segment]
    mean = np.add.reduceat(share * rows.mean, starts, axis=1)
    apart = rows.mean - mean[:, segment]
    n = len(rows.mean)
    spread = rows.cov.copy()
    for i in range(n):
        first = place(n, i, i)
        spread[first : first + n - i] += apart[i] * apart[i:]
    spread *= share
    whole = log_sum(rows.log_weight)
    whole = np.exp(whole - np.maximum.reduceat(whole, starts)[segment])
    part = whole / np.add.reduceat(whole, starts)[segment]
    return Belief(
        rows.clock[starts],
        np.log(total) + top,
        mean,
        np.add.reduceat(spread, starts, axis=1),
        rows.decided[starts],
        np.add.reduceat(part[:, None, None] * rows.odds, starts, axis=0),
    )
