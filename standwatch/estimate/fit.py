"""One story of a clock looked back on: its state at any time past, by the readings before and after.

By the likeliest story and the noise that the posterior expects, where the engine's answers average over all.
"""

from __future__ import annotations

from dataclasses import dataclass

from standwatch.estimate.filter import Forward, Gap, Jump, Node, Start, forward, gap_of, moved_on
from standwatch.estimate.grid import FAR_RATE_SD
from standwatch.estimate.making import Column
from standwatch.estimate.room import stray_walk
from standwatch.estimate.smoother import NOTHING, Backward, Smoothed, backward, carried_back, smoothed
from standwatch.estimate.story import Story
from standwatch.estimate.timeline import Timeline


@dataclass(frozen=True, slots=True)
class Noise:
    """The noise to look back with: variances q1, q2, the factor on a reading's own, and b, s/day lost a deg C."""

    q1: float
    q2: float
    reading: float
    warmth: float


@dataclass(frozen=True, slots=True)
class Fit:
    """The timeline from step `first` on, as a story tells it, filtered and smoothed."""

    line: Timeline
    story: Story
    noise: Noise
    start: Start
    first: int
    nodes: tuple[Node, ...]
    run: Forward
    back: Backward

    def node(self, step: int) -> Node:
        """What happens at a step."""
        return self.nodes[step - self.first]

    def at(self, day: float) -> Smoothed:
        """The state at `day` (days since 2000), after all that was done by then; wants a step at or before it."""
        place = self.line.last_step(day) - self.first
        unread = self._before_any(place)
        if unread is not None:
            return self._back_from(unread, day)
        gap = self.gap(self.nodes[place].day, day)
        state = moved_on(self.run.states[place], gap)
        if place == len(self.nodes) - 1:
            return smoothed(state, NOTHING)
        rest = self.nodes[place + 1].gap
        return smoothed(state, carried_back(self.back.before[place + 1], rest.days - gap.days, rest.gain - gap.gain))

    def after(self, step: int) -> Smoothed:
        """The state just after a step: its reading is in, work of the same visit is not yet done."""
        unread = self._before_any(step - self.first)
        if unread is not None:
            return self._back_from(unread, self.node(step).day)
        return smoothed(self.run.states[step - self.first], self.back.later[step - self.first])

    def _before_any(self, place: int) -> int | None:
        """The node of the first sound reading of all, where `place` lies before it and nothing was done meanwhile."""
        first = next((k for k, gain in enumerate(self.run.gains) if gain is not None), None)
        if first is None or place >= first or any(node.jump is not None for node in self.nodes[: first + 1]):
            return None
        return first

    def _back_from(self, place: int, day: float) -> Smoothed:
        """The state at `day` as the first sound reading's tells it, backwards.

        From what was known before any reading it would be a small difference of great numbers.
        """
        s = smoothed(self.run.states[place], self.back.later[place])
        gap = self.gap(day, self.nodes[place].day)
        d, g = gap.days, gap.gain
        spread = gap.n1 + gap.n2 * (gap.r - d) ** 2
        xx = s.xx + d * d * s.yy + g * g * s.cc - 2 * d * s.xy - 2 * g * s.xc + 2 * d * g * s.yc + spread
        yy = s.yy + gap.n2
        return s._replace(x=s.x - d * s.y - g * s.c - gap.push, xx=max(xx, 0.0), yy=yy)

    def gap(self, start: float, end: float) -> Gap:
        """The going from one day to a later one, in the past."""
        push = -self.noise.warmth * self.line.degree_days(start, end) if self.noise.warmth else 0.0
        q2 = self.noise.q2 + _stray(self.line)
        return gap_of(end - start, self.line.curve_between(start, end), self.noise.q1, q2, push=push)

    def stepped(self, step: int) -> tuple[float, float]:
        """By how much a bump, a hand or a wind stepped the error at a jump, in s by all readings, and its variance."""
        jump, later = self.node(step).jump, self.back.later[step - self.first]
        if jump is None:
            return 0.0, 0.0
        return jump.shift + jump.var * later.r1, max(jump.var - jump.var**2 * later.n11, 0.0)

    def moved(self, step: int) -> float:
        """How far the hands were moved before the reading of `step`, unlogged, in s."""
        against = self.back.against[step - self.first]
        var = self.story.shifts[step]
        return var * against.step / against.step_var if against.step_var < float("inf") else 0.0

    def turned(self, step: int) -> float:
        """How much the rate changed before the reading of `step`, in s/day."""
        return self.after(step).y - self.after(step - 1).y if step > self.first else 0.0


def fit(line: Timeline, story: Story, noise: Noise, *, first: int = 0) -> Fit:
    """`line` from step `first` on as `story` tells it; linear in its steps."""
    prior = line.prior
    (x, x_var), (y, y_var), (c, c_var) = prior.of("x"), prior.of("y"), prior.of("c")
    start = Start(x, x_var, y, max(y_var, FAR_RATE_SD**2), c, c_var)
    dropped = set(story.dropped)
    rows = line.steps[first:].tolist()
    strays = _stray(line)
    turns = {step: (var, prior.held_sd**2) for step, var in story.turns.items() if step > first}
    nodes = tuple(
        _node(row, noise, strays, turns.get(number, (0.0, 0.0)), read=number not in dropped)
        for number, row in enumerate(rows, first)
    )
    shifts = {step - first: var for step, var in story.shifts.items() if step > first}
    run = forward(nodes, start, shifts)
    return Fit(line, story, noise, start, first, nodes, run, backward(nodes, run))


def _stray(line: Timeline) -> float:
    return stray_walk(line.prior.stray_sd) if line.prior.has("v") else 0.0


def _node(row: list[float], noise: Noise, strays: float, turned: tuple[float, float], *, read: bool) -> Node:
    """One step's node; what was read of it unless the story leaves it out."""
    q2 = noise.q2 + (strays if row[Column.STRAY_KEEP] > 0 else 0.0)
    push = -noise.warmth * row[Column.DEGREE_DAYS]
    turn_var, held_var = turned
    gap = gap_of(row[Column.GOING], row[Column.CURVE], noise.q1, q2, push=push, turn_var=turn_var)
    gap = gap._replace(n1=gap.n1 + held_var)
    z = row[Column.READING]
    if z == z:  # noqa: PLR0124  # not nan
        r = row[Column.TOLD_VAR] + noise.reading * row[Column.KIND_VAR]
        return Node(row[Column.DAY], gap, None, z if read else None, r)
    opened = bool(row[Column.Y_NEW] or row[Column.TURNS] or row[Column.Y_VAR])
    jump = Jump(
        row[Column.SHIFT],
        row[Column.X_VAR],
        row[Column.PART],
        x_new=bool(row[Column.X_NEW]),
        y_new=opened,
        c_new=bool(row[Column.C_NEW]),
    )
    return Node(row[Column.DAY], gap, jump)
