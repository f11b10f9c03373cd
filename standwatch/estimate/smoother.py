"""The look back: what all readings, later ones too, say of each instant, and what each reading says against the rest.

The pass backwards keeps what the later readings say on their own, as information (the two-filter smoother of Fraser
and Potter, IEEE Trans. Automatic Control 14 (1969) 387), in the form that mirrors the filter's: Λ = A'WA with A unit
upper triangular and W diagonal. Nothing is ever subtracted from a variance, so a clock of which next to nothing was
known before its first readings is looked back on with as many digits as any other. It costs as much as the filter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.filter import Forward, Gain, Gap, Jump, Node, Start, State, told


class Later(NamedTuple):
    """What the readings after an instant say of its state, as if just three quantities had been read instead.

    x + a12 y + a13 c was read as z1, y + a23 c as z2 and c as z3, with the variances 1/w1, 1/w2, 1/w3; a weight of 0
    is a quantity not read.
    """

    z1: float
    z2: float
    z3: float
    w1: float
    w2: float
    w3: float
    a12: float
    a13: float
    a23: float


NOTHING = Later(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


class Against(NamedTuple):
    """One reading against all the others.

    `miss` is the reading less what the others expect of it, `var` its variance (the reading's own included). `step`
    is the step of the error just before the reading that would fit best, `step_var` its variance (inf: can't tell).
    """

    miss: float
    var: float
    step: float
    step_var: float


@dataclass(frozen=True, slots=True)
class Backward:
    """For each node what comes after it says, and with it too.

    `later` is seen from just after a node, `before` from just before it, at the end of its gap.
    """

    later: list[Later]
    before: list[Later]


def carried_back(n: Later, gap: Gap) -> Later:
    """`n` as seen from the beginning of `gap`."""
    days, gain, n1, r, n2, push = gap
    z1, z2, z3, w1, w2, w3, a12, a13, a23 = n
    if n2 > 0:
        lever = r + a12
        kept = 1 / (1 + n2 * w2)
        share = lever * n2 * w2 * kept
        w1 /= 1 + w1 * (n1 + lever * lever * n2 * kept)
        w2 *= kept
        a12, a13, z1 = a12 - share, a13 - share * a23, z1 - share * z2
    else:
        w1 /= 1 + w1 * n1
    return Later(z1 - push, z2, z3, w1, w2, w3, a12 + days, a13 + gain, a23)


def before_jump(n: Later, jump: Jump, prior: Start) -> Later:
    """`n` as seen from just before `jump`: what starts anew there does so at `prior`, and says nothing of what was."""
    if jump.y_new:
        n = _rate_anew(n, prior)
    if jump.x_new:
        z1, z2, z3, w1, w2, w3, a12, a13, a23 = n
        seen = Later(0.0, z2, z3, 0.0, w2, w3, 0.0, 0.0, a23)
        n = _with_rate(seen, z1 - prior.x, w1 / (1 + w1 * prior.x_var), a12, a13)
    z1, z2, z3, w1, w2, w3, a12, a13, a23 = n
    if jump.c_new:
        return NOTHING
    return Later(z1 - jump.shift, z2, z3, w1 / (1 + w1 * jump.var), w2, w3, a12, a13 + jump.part, a23)


def _rate_anew(n: Later, prior: Start) -> Later:
    """`n` with the rate known only as `prior` has it, and what it says of the rate taken out."""
    z1, z2, z3, w1, w2, w3, a12, a13, a23 = n
    kept = 1 / (1 + prior.y_var * w2)
    share = a12 * prior.y_var * w2 * kept
    z1, z2 = z1 - a12 * prior.y, z2 - prior.y
    w1 /= 1 + w1 * a12 * a12 * prior.y_var * kept
    seen = Later(z1 - share * z2, 0.0, z3, w1, 0.0, w3, 0.0, a13 - share * a23, 0.0)
    return _with_curve(seen, z2, w2 * kept, a23)


def with_reading(n: Later, z: float, r: float) -> Later:
    """`n` and a reading `z` of x with variance `r`, made just before."""
    z1, z2, z3, w1, w2, w3, a12, a13, a23 = n
    w = w1 + 1 / r
    p = w1 / w
    joined = Later(z + p * (z1 - z), z2, z3, w, w2, w3, p * a12, p * a13, a23)
    return _with_rate(joined, z1 - z, p / r, a12, a13)


def _with_rate(n: Later, z: float, w: float, h2: float, h3: float) -> Later:
    """`n` and a reading `z` of h2 y + h3 c with weight `w`."""
    z1, z2, z3, w1, w2, w3, a12, a13, a23 = n
    own = w * h2 * h2
    total = w2 + own
    if not total > 0:
        return _with_curve(n, z, w, h3)
    # as weighted means: readings at one time say nothing of y, but for rounding, and that may be of any size
    mean, by_c = (w2 * z2 + w * h2 * z) / total, (w2 * a23 + w * h2 * h3) / total
    joined = Later(z1, mean, z3, w1, total, w3, a12, a13, by_c)
    return _with_curve(joined, z - h2 * z2, w * w2 / total, h3 - h2 * a23)


def _with_curve(n: Later, z: float, w: float, h3: float) -> Later:
    """`n` and a reading `z` of h3 c with weight `w`."""
    total = n.w3 + w * h3 * h3
    if not total > 0:
        return n
    return n._replace(z3=(n.w3 * n.z3 + w * h3 * z) / total, w3=total)


def _step_between(s: State, n: Later) -> tuple[float, float]:
    """By how much x in `n` exceeds x in `s` where y and c are the same, and its variance (inf: nothing is said)."""
    if not n.w1 > 0:
        return 0.0, math.inf
    known = joined(s, n._replace(w1=0.0))
    # of y and c both say x less its own doubt: this is how much the step takes of each
    by_y, by_c = n.a12 + s.u12, n.a13 + s.u13 - s.u12 * s.u23
    own = s.d1 + 1 / n.w1
    step = n.z1 - s.x - n.a12 * known.y - n.a13 * known.c - s.u12 * (known.y - s.y)
    step -= (s.u13 - s.u12 * s.u23) * (known.c - s.c)
    lever = by_c + by_y * known.u23
    return step, own + by_y * by_y * known.d2 + lever * lever * known.d3


def stepped(s: State, var: float, n: Later) -> tuple[float, float]:
    """How much more than expected a step of x with variance `var` was by all readings, and what doubt is left of it.

    `s` is the state just after the step, its variance included; `n` what comes after.
    """
    step, step_var = _step_between(s, n)
    if not step_var < math.inf:
        return 0.0, var
    return step * var / step_var, var * max(1 - var / step_var, 0.0)


def backward(nodes: Sequence[Node], run: Forward) -> Backward:
    """The backward pass over `run`."""
    later: list[Later] = [NOTHING] * len(nodes)
    before: list[Later] = [NOTHING] * len(nodes)
    n = NOTHING
    for number in range(len(nodes) - 1, -1, -1):
        later[number] = n
        node = nodes[number]
        if node.z is not None:
            n = with_reading(n, node.z, node.r)
        if number in run.shifts:
            n = n._replace(w1=n.w1 / (1 + n.w1 * run.shifts[number]))
        if node.jump is not None:
            n = before_jump(n, node.jump, run.prior)
        before[number] = n
        n = carried_back(n, node.gap)
    return Backward(later, before)


def against(nodes: Sequence[Node], run: Forward, back: Backward, number: int) -> Against:
    """The reading used at a node against all the others."""
    z, r = nodes[number].z, nodes[number].r
    if z is None:
        raise ValueError(f"no reading was used at node {number}")
    s, n = run.expected[number], back.later[number]
    rest = joined(s, n)
    step, step_var = _step_between(s, with_reading(n, z, r))
    return Against(z - rest.x, rest.x_var + r, step, step_var)


class Smoothed(NamedTuple):
    """Means of x, y, c and their covariance, by all readings."""

    x: float
    y: float
    c: float
    xx: float
    xy: float
    xc: float
    yy: float
    yc: float
    cc: float


def joined(s: State, n: Later) -> State:
    """The state `s` of the readings so far, and what the later ones say."""
    if n.w1 > 0:
        s, _ = told(s, (1.0, n.a12, n.a13), n.z1, 1 / n.w1)
    if n.w2 > 0:
        s, _ = told(s, (0.0, 1.0, n.a23), n.z2, 1 / n.w2)
    if n.w3 > 0:
        s, _ = told(s, (0.0, 0.0, 1.0), n.z3, 1 / n.w3)
    return s


def smoothed(s: State, n: Later) -> Smoothed:
    """The state `s` of the readings so far, joined with what the later ones say, written out."""
    x, y, c, d1, d2, d3, u12, u13, u23 = joined(s, n)
    by3 = u23 * d3
    return Smoothed(
        x,
        y,
        c,
        d1 + u12 * u12 * d2 + u13 * u13 * d3,
        u12 * d2 + u13 * by3,
        u13 * d3,
        d2 + u23 * by3,
        by3,
        d3,
    )


Matrix = NDArray[np.float64]


def _root(s: State) -> Matrix:
    """B with BB' the covariance of `s`: U sqrt(D)."""
    u = np.array([[1.0, s.u12, s.u13], [0.0, 1.0, s.u23], [0.0, 0.0, 1.0]])
    return np.asarray(u * np.sqrt([s.d1, s.d2, s.d3]))


def _told_root(n: Later) -> Matrix:
    """sqrt(W) A: the three readings that stand for the later ones, each in units of its own doubt."""
    a = np.array([[1.0, n.a12, n.a13], [0.0, 1.0, n.a23], [0.0, 0.0, 1.0]])
    return np.asarray(a * np.sqrt([[n.w1], [n.w2], [n.w3]]))


def _step(node: Node, gain: Gain | None) -> Matrix:
    """How the filter's error at one node follows from its error at the node before."""
    move = np.array([[1.0, node.gap.days, node.gap.gain], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    if node.jump is not None:
        move[0] += node.jump.part * move[2]
        for row, new in enumerate((node.jump.x_new, node.jump.y_new, node.jump.c_new)):
            if new:
                move[row] = 0.0
    if gain is not None:
        kept = np.array([[gain.rest, 0.0, 0.0], [-gain.k2, 1.0, 0.0], [-gain.k3, 0.0, 1.0]])
        move = kept @ move
    return move


def joint(nodes: Sequence[Node], run: Forward, back: Backward, wanted: Sequence[int]) -> tuple[Matrix, Matrix]:
    """Means (n x 3) and joint covariance (3n x 3n) of the states after the nodes `wanted` (ascending).

    Cov(i, j) = P_i M' (I + Λ_j P_j)^-1, M the filter's transition from i to j (Durbin and Koopman, Time Series
    Analysis by State Space Methods, 2nd ed. 2012, 4.7, from memory, with I - N P in the form of information). With
    P = BB' and S = I + B'ΛB it is P_i M' B^-T S^-1 B', and V_j = B S^-1 B'.
    """
    count = len(wanted)
    means = np.empty((count, 3))
    cov = np.zeros((3 * count, 3 * count))
    open_rows: list[tuple[int, Matrix]] = []  # each earlier node's P_i M' so far
    last = wanted[0]
    for place, number in enumerate(wanted):
        for middle in range(last + 1, number + 1):
            step = _step(nodes[middle], run.gains[middle])
            open_rows = [(row, carried @ step.T) for row, carried in open_rows]
        last = number
        state, n = run.states[number], back.later[number]
        means[place] = smoothed(state, n)[:3]
        root = _root(state)
        triangle = np.linalg.qr(np.vstack((np.eye(3), _told_root(n) @ root))).R
        half = np.linalg.solve(triangle.T, root.T)
        here = slice(3 * place, 3 * place + 3)
        cov[here, here] = half.T @ half
        known = np.diag(root) > 0  # what is known for sure has no part in anything
        inverse = np.zeros((3, 3))
        inverse[np.ix_(known, known)] = np.linalg.inv(root[np.ix_(known, known)])
        rest = inverse.T @ np.linalg.solve(triangle, half)
        for row, carried in open_rows:
            block = carried @ rest
            cov[3 * row : 3 * row + 3, here] = block
            cov[here, 3 * row : 3 * row + 3] = block.T
        open_rows.append((place, root @ root.T))
    return means, cov
