"""A Kalman filter of one clock in plain floats: error, rate, and what each wind does.

The state is error x (s), rate y (s/day) and one slow quantity c, the same for the whole run: the wind curve of a
spring (s/day) or the loss of a whole wind without maintaining power (s). Only x is read, so the covariance is kept as
U D U' with U unit upper triangular and D diagonal: then moving on is two additions, a reading needs no subtraction of
like numbers, and no variance can turn negative, however small the doubt of a reading against what was known before.
The reading's update is Bierman's (Factorization Methods for Discrete Sequential Estimation, 1977, ch. V; from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from standwatch.estimate.noise import process_noise

LOG_TWO_PI = math.log(2 * math.pi)


class State(NamedTuple):
    """Means x, y, c and the factors of their covariance: D = diag(d1, d2, d3), U = [[1, u12, u13], [., 1, u23], .]."""

    x: float
    y: float
    c: float
    d1: float
    d2: float
    d3: float
    u12: float
    u13: float
    u23: float

    @property
    def x_var(self) -> float:
        """Variance of the error, s²."""
        return self.d1 + self.u12 * self.u12 * self.d2 + self.u13 * self.u13 * self.d3

    @property
    def y_var(self) -> float:
        """Variance of the rate, (s/day)²."""
        return self.d2 + self.u23 * self.u23 * self.d3


class Start(NamedTuple):
    """What is known of a clock before its first reading: means and variances of x, y and c."""

    x: float
    x_var: float
    y: float
    y_var: float
    c: float
    c_var: float

    def state(self) -> State:
        """The state that says so."""
        return State(self.x, self.y, self.c, self.x_var, self.y_var, self.c_var, 0.0, 0.0, 0.0)


class Gap(NamedTuple):
    """Time between two nodes: `days` of going, what they add to x for each unit of c and besides, the noise gathered.

    The noise is `n2` in y, `r * n2`'s own plus `n1` in x: the factors of process_noise.
    """

    days: float
    gain: float
    n1: float
    r: float
    n2: float
    push: float = 0.0


NO_GAP = Gap(0.0, 0.0, 0.0, 0.0, 0.0)


def gap_of(days: float, gain: float, q1: float, q2: float, *, push: float = 0.0, turn_var: float = 0.0) -> Gap:
    """The gap of `days` with noise variances q1 (s²/day) and q2 ((s/day)²/day); `push` seconds are known to be added.

    `turn_var` is the variance (s/day)² of a step of the rate at any time meanwhile.
    """
    if days <= 0:
        return Gap(0.0, gain, 0.0, 0.0, 0.0, push)
    q11, q12, _, q22, _, _ = process_noise(q1, q2, 0.0, days)
    q11, q12, q22 = q11 + turn_var * days * days / 3, q12 + turn_var * days / 2, q22 + turn_var
    if q22 <= 0:
        return Gap(days, gain, q11, 0.0, 0.0, push)
    return Gap(days, gain, max(q11 - q12 * q12 / q22, 0.0), q12 / q22, q22, push)


class Jump(NamedTuple):
    """What happens at one instant: x steps by `shift` with variance `var` and by `part` of c; what is new starts anew.

    `c_new` goes with the other two.
    """

    shift: float = 0.0
    var: float = 0.0
    part: float = 0.0
    x_new: bool = False
    y_new: bool = False
    c_new: bool = False


@dataclass(frozen=True, slots=True)
class Node:
    """One instant: the gap before it, a jump or none, then a reading `z` of x with variance `r` or none.

    `day` is the time in days since 2000-01-01 UTC.
    """

    day: float
    gap: Gap
    jump: Jump | None = None
    z: float | None = None
    r: float = 0.0


def moved_on(s: State, gap: Gap) -> State:
    """The state after `gap`."""
    days, gain, n1, r, n2, push = gap
    x, y, c, d1, d2, d3, u12, u13, u23 = s
    x += days * y + gain * c + push
    u12 += days
    u13 += days * u23 + gain
    if n2 > 0:
        total = d2 + n2
        d1 += n1 + d2 * n2 / total * (u12 - r) ** 2
        u12 = (u12 * d2 + r * n2) / total
        d2 = total
    else:
        d1 += n1
    return State(x, y, c, d1, d2, d3, u12, u13, u23)


def jumped(s: State, jump: Jump, prior: Start) -> State:
    """The state after `jump`; what starts anew does so at `prior`."""
    x, y, c, d1, d2, d3, u12, u13, u23 = s
    x += jump.shift + jump.part * c
    u13 += jump.part
    d1 += jump.var
    if jump.c_new:
        c, d3, u13, u23 = prior.c, prior.c_var, 0.0, 0.0
    if jump.x_new:
        x, d1, u12, u13 = prior.x, prior.x_var, 0.0, 0.0
    if jump.y_new:
        d1 += u12 * u12 * d2
        y, d2, u12, u23 = prior.y, prior.y_var, 0.0, 0.0
    return State(x, y, c, d1, d2, d3, u12, u13, u23)


class Gain(NamedTuple):
    """One reading's innovation `v`, its variance `f`, how much of it each quantity took, and r/f."""

    v: float
    f: float
    k1: float
    k2: float
    k3: float
    rest: float


def read(s: State, z: float, r: float) -> tuple[State, Gain]:
    """The state after the reading `z` of x with variance `r` > 0, and what the reading did."""
    return told(s, (1.0, 0.0, 0.0), z, r)


def told(s: State, h: tuple[float, float, float], z: float, r: float) -> tuple[State, Gain]:
    """The state once h1 x + h2 y + h3 c was read as `z` with variance `r` > 0, and what that did."""
    h1, h2, h3 = h
    x, y, c, d1, d2, d3, u12, u13, u23 = s
    v = z - h1 * x - h2 * y - h3 * c
    g2, g3 = h1 * u12 + h2, h1 * u13 + h2 * u23 + h3
    v1, v2, v3 = d1 * h1, d2 * g2, d3 * g3
    a1 = r + v1 * h1
    a2 = a1 + v2 * g2
    f = a2 + v3 * g3
    w1 = v1 + v2 * u12
    k1, k2, k3 = (w1 + v3 * u13) / f, (v2 + v3 * u23) / f, v3 / f
    after = State(
        x + k1 * v,
        y + k2 * v,
        c + k3 * v,
        d1 * (r / a1),
        d2 * (a1 / a2),
        d3 * (a2 / f),
        (u12 * r - h2 * v1) / a1,
        (u13 * (r + v2 * h2) - (h2 * u23 + h3) * w1) / a2,
        (u23 * (a1 + h1 * v2 * u12) - (h1 * u13 + h3) * v2) / a2,
    )
    return after, Gain(v, f, k1, k2, k3, r / f)


@dataclass(frozen=True, slots=True)
class Forward:
    """A run through all nodes from `prior`, with `shifts`: the state after each and what each reading did.

    `gains` has None where no reading was used, `expected` what was expected at each node just before its reading.
    """

    prior: Start
    shifts: dict[int, float]
    states: list[State]
    expected: list[State]
    gains: list[Gain | None]
    log_likelihood: float


def forward(nodes: Sequence[Node], prior: Start, shifts: dict[int, float]) -> Forward:
    """Filter `nodes` from `prior`. `shifts` adds a variance to x just before a node's reading: a step nobody logged."""
    state = prior.state()
    states: list[State] = []
    expected: list[State] = []
    gains: list[Gain | None] = []
    log_l = 0.0
    for number, node in enumerate(nodes):
        state = moved_on(state, node.gap)
        if node.jump is not None:
            state = jumped(state, node.jump, prior)
        if number in shifts:
            state = state._replace(d1=state.d1 + shifts[number])
        expected.append(state)
        gain = None
        if node.z is not None:
            state, gain = read(state, node.z, node.r)
            log_l -= 0.5 * (LOG_TWO_PI + math.log(gain.f) + gain.v * gain.v / gain.f)
        states.append(state)
        gains.append(gain)
    return Forward(prior, shifts, states, expected, gains, log_l)
