"""The look back: what all readings, later ones too, say of each instant, and what each reading says against the rest.

The backward pass carries r and N of de Jong (Biometrika 76 (1989) 663) and Durbin and Koopman (Time Series Analysis
by State Space Methods, 2nd ed. 2012, 4.4-4.7; both from memory): the gradient of the later readings' log likelihood
by the state, and what they take off its covariance. It costs as much as the filter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.filter import Forward, Gain, Jump, Node, State


class Later(NamedTuple):
    """What the readings after an instant say of its state: gradient r, and N (symmetric): V = P - PNP."""

    r1: float
    r2: float
    r3: float
    n11: float
    n12: float
    n13: float
    n22: float
    n23: float
    n33: float


_ROUNDING = 4e-16
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
    """For each node what comes after it says, and with it too; and how each reading used stands against the rest.

    `later` is seen from just after a node, `before` from just before it, at the end of its gap.
    """

    later: list[Later]
    before: list[Later]
    against: dict[int, Against]


def carried_back(n: Later, days: float, gain: float) -> Later:
    """`n` as seen from `days` (and a `gain` of c) earlier."""
    r1, r2, r3, n11, n12, n13, n22, n23, n33 = n
    return Later(
        r1,
        r2 + days * r1,
        r3 + gain * r1,
        n11,
        n12 + days * n11,
        n13 + gain * n11,
        n22 + days * (2 * n12 + days * n11),
        n23 + days * n13 + gain * (n12 + days * n11),
        n33 + gain * (2 * n13 + gain * n11),
    )


def before_jump(n: Later, jump: Jump) -> Later:
    """`n` as seen from just before `jump`: what starts anew after it says nothing of what was."""
    r1, r2, r3, n11, n12, n13, n22, n23, n33 = n
    if jump.y_new:
        r2 = n12 = n22 = n23 = 0.0
    if jump.x_new:
        r1 = n11 = n12 = n13 = 0.0
    if jump.c_new:
        r3 = n13 = n23 = n33 = 0.0
    seen = Later(r1, r2, r3, n11, n12, n13, n22, n23, n33)
    return carried_back(seen, 0.0, jump.part) if jump.part else seen


def before_reading(n: Later, gain: Gain) -> tuple[Later, float, float]:
    """`n` as seen from just before a reading; its smoothing error u = miss D and D as well, 1/D the miss's variance."""
    r1, r2, r3, n11, n12, n13, n22, n23, n33 = n
    v, f, k1, k2, k3, rest = gain
    u = v / f - (k1 * r1 + k2 * r2 + k3 * r3)
    # N (1 - k1, -k2, -k3): the share of x that the reading leaves to what was known before
    w1 = rest * n11 - k2 * n12 - k3 * n13
    w2 = rest * n12 - k2 * n22 - k3 * n23
    w3 = rest * n13 - k2 * n23 - k3 * n33
    m1 = k1 * n11 + k2 * n12 + k3 * n13
    m2 = k1 * n12 + k2 * n22 + k3 * n23
    m3 = k1 * n13 + k2 * n23 + k3 * n33
    d = 1 / f + k1 * m1 + k2 * m2 + k3 * m3
    n11 = 1 / f + rest * w1 - k2 * w2 - k3 * w3
    return Later(r1 + u, r2, r3, n11, w2, w3, n22, n23, n33), u, d


def backward(nodes: Sequence[Node], run: Forward) -> Backward:
    """The backward pass over `run`."""
    later: list[Later] = [NOTHING] * len(nodes)
    before: list[Later] = [NOTHING] * len(nodes)
    against: dict[int, Against] = {}
    n = NOTHING
    for number in range(len(nodes) - 1, -1, -1):
        later[number] = n
        gain = run.gains[number]
        if gain is not None:
            n, u, d = before_reading(n, gain)
            step_var = 1 / n.n11 if n.n11 > 0 else math.inf
            against[number] = Against(u / d, 1 / d, n.r1 * step_var if n.n11 > 0 else 0.0, step_var)
        node = nodes[number]
        if node.jump is not None:
            n = before_jump(n, node.jump)
        before[number] = n
        if node.gap.days or node.gap.gain:
            n = carried_back(n, node.gap.days, node.gap.gain)
    return Backward(later, before, against)


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


def smoothed(s: State, n: Later) -> Smoothed:
    """The state `s` of the readings so far, joined with what the later ones say: V = P - PNP = B (I - B'NB) B'.

    P = BB'. No variance is told smaller than the rounding of what it is left of.
    """
    x, y, c, d1, d2, d3, u12, u13, u23 = s
    r1, r2, r3, n11, n12, n13, n22, n23, n33 = n
    b1, b2, b3 = math.sqrt(d1), math.sqrt(d2), math.sqrt(d3)
    b12, b13, b23 = u12 * b2, u13 * b3, u23 * b3  # the rest of B = U sqrt(D), row by row
    # N times the second and third column of B
    p1, p2 = n11 * b12 + n12 * b2, n12 * b12 + n22 * b2
    s1, s2 = n11 * b13 + n12 * b23 + n13 * b3, n12 * b13 + n22 * b23 + n23 * b3
    s3 = n13 * b13 + n23 * b23 + n33 * b3
    # M = I - B'NB
    m11, m12, m13 = 1 - b1 * b1 * n11, -b1 * p1, -b1 * s1
    m22, m23, m33 = 1 - b12 * p1 - b2 * p2, -b12 * s1 - b2 * s2, 1 - b13 * s1 - b23 * s2 - b3 * s3
    # M times the rows of B
    e1, e2, e3 = m11 * b1 + m12 * b12 + m13 * b13, m12 * b1 + m22 * b12 + m23 * b13, m13 * b1 + m23 * b12 + m33 * b13
    g2, g3 = m22 * b2 + m23 * b23, m23 * b2 + m33 * b23
    t1, t2, t3 = b1 * r1, b12 * r1 + b2 * r2, b13 * r1 + b23 * r2 + b3 * r3
    return Smoothed(
        x + b1 * t1 + b12 * t2 + b13 * t3,
        y + b2 * t2 + b23 * t3,
        c + b3 * t3,
        max(b1 * e1 + b12 * e2 + b13 * e3, _ROUNDING * s.x_var),
        b2 * e2 + b23 * e3,
        b3 * e3,
        max(b2 * g2 + b23 * g3, _ROUNDING * s.y_var),
        b3 * g3,
        max(b3 * m33 * b3, 0.0),
    )


Matrix = NDArray[np.float64]


def covariance(s: State) -> Matrix:
    """U D U' as a 3 x 3 matrix."""
    u = np.array([[1.0, s.u12, s.u13], [0.0, 1.0, s.u23], [0.0, 0.0, 1.0]])
    return np.asarray(u @ np.diag([s.d1, s.d2, s.d3]) @ u.T)


def _information(n: Later) -> Matrix:
    return np.array([[n.n11, n.n12, n.n13], [n.n12, n.n22, n.n23], [n.n13, n.n23, n.n33]])


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

    Cov(i, j) = P_i M'(I - N_j P_j), M the filter's transition from i to j (Durbin and Koopman, 4.7, at the
    filtered states).
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
        at = smoothed(run.states[number], back.later[number])
        means[place] = at[:3]
        own = np.array([[at.xx, at.xy, at.xc], [at.xy, at.yy, at.yc], [at.xc, at.yc, at.cc]])
        filtered = covariance(run.states[number])
        rest = np.eye(3) - _information(back.later[number]) @ filtered
        here = slice(3 * place, 3 * place + 3)
        cov[here, here] = own
        for row, carried in open_rows:
            block = carried @ rest
            cov[3 * row : 3 * row + 3, here] = block
            cov[here, 3 * row : 3 * row + 3] = block.T
        open_rows.append((place, filtered))
    return means, cov
