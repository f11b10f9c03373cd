"""One story of a clock looked back on: its state at any time past, by the readings before and after.

By the likeliest story and the noise that the posterior expects, where the engine's answers average over all.
"""

from __future__ import annotations

from dataclasses import dataclass

from standwatch.estimate.filter import Forward, Gap, Jump, Node, Start, forward, gap_of, moved_on
from standwatch.estimate.grid import FAR_RATE_SD
from standwatch.estimate.making import Column
from standwatch.estimate.room import stray_walk
from standwatch.estimate.smoother import NOTHING, Backward, Smoothed, against, backward, carried_back, smoothed, stepped
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
class _Noises:
    """The noise of every gap: the clock's own, the stray where no thermometer was read, turns that nobody logged.

    A turn of a step's variance, at any time in the gap before the step, holds to within `held_var` s² of x.
    """

    noise: Noise
    stray: float
    turns: dict[int, float]
    held_var: float

    def gap(self, step: int, days: float, gain: float, push: float, *, strays: bool) -> Gap:
        """`days` of going up to `step`."""
        turn_var = self.turns.get(step, 0.0)
        q2 = self.noise.q2 + (self.stray if strays else 0.0)
        gap = gap_of(days, gain, self.noise.q1, q2, push=push, turn_var=turn_var)
        return gap._replace(n1=gap.n1 + self.held_var) if step in self.turns else gap


@dataclass(frozen=True, slots=True)
class Fit:
    """The timeline from step `first` on, as a story tells it, filtered and smoothed."""

    line: Timeline
    story: Story
    noises: _Noises
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
        gap = self.gap(self.nodes[place].day, day)
        state = moved_on(self.run.states[place], gap)
        if place == len(self.nodes) - 1:
            return smoothed(state, NOTHING)
        return smoothed(state, carried_back(self.back.before[place + 1], self._rest(place + 1, gap)))

    def after(self, step: int) -> Smoothed:
        """The state just after a step: its reading is in, work of the same visit is not yet done."""
        return smoothed(self.run.states[step - self.first], self.back.later[step - self.first])

    def gap(self, start: float, end: float) -> Gap:
        """The going from one day to a later one, in the past."""
        noise = self.noises.noise
        push = -noise.warmth * self.line.degree_days(start, end) if noise.warmth else 0.0
        q2 = noise.q2 + self.noises.stray
        return gap_of(end - start, self.line.curve_between(start, end), noise.q1, q2, push=push)

    def _rest(self, place: int, begun: Gap) -> Gap:
        """The rest of a node's gap after `begun`; a turn that nobody logged lies in it."""
        whole = self.nodes[place].gap
        days, gain, push = whole.days - begun.days, whole.gain - begun.gain, whole.push - begun.push
        step = place + self.first
        return self.noises.gap(step, days, gain, push, strays=self.line.steps[step, Column.STRAY_KEEP] > 0)

    def stepped(self, step: int) -> tuple[float, float]:
        """By how much a bump, a hand or a wind stepped the error at a jump, in s by all readings, and its variance."""
        jump, place = self.node(step).jump, step - self.first
        if jump is None:
            return 0.0, 0.0
        more, var = stepped(self.run.states[place], jump.var, self.back.later[place])
        return jump.shift + more, var

    def moved(self, step: int) -> float:
        """How far the hands were moved before the reading of `step`, unlogged, in s."""
        seen = against(self.nodes, self.run, self.back, step - self.first)
        return seen.step * self.story.shifts[step] / seen.step_var

    def turned(self, step: int) -> float:
        """How much the rate changed before the reading of `step`, in s/day."""
        return self.after(step).y - self.after(step - 1).y if step > self.first else 0.0


def fit(line: Timeline, story: Story, noise: Noise, *, first: int = 0) -> Fit:
    """`line` from step `first` on as `story` tells it; linear in its steps."""
    prior = line.prior
    (x, x_var), (y, y_var), (c, c_var) = prior.of("x"), prior.of("y"), prior.of("c")
    start = Start(x, x_var, y, max(y_var, FAR_RATE_SD**2), c, c_var)
    rows = line.steps[first:].tolist()
    turns = {step: turn for step, turn in story.turns.items() if step > first}
    noises = _Noises(noise, _stray(line), turns, prior.held_sd**2)
    dropped = set(story.dropped)
    nodes = tuple(_node(row, number, noises, read=number not in dropped) for number, row in enumerate(rows, first))
    shifts = {step - first: var for step, var in story.shifts.items() if step > first}
    run = forward(nodes, start, shifts)
    return Fit(line, story, noises, start, first, nodes, run, backward(nodes, run))


def _stray(line: Timeline) -> float:
    return stray_walk(line.prior.stray_sd) if line.prior.has("v") else 0.0


def _node(row: list[float], number: int, noises: _Noises, *, read: bool) -> Node:
    """One step's node; what was read of it unless the story leaves it out."""
    noise = noises.noise
    push = -noise.warmth * row[Column.DEGREE_DAYS]
    gap = noises.gap(number, row[Column.GOING], row[Column.CURVE], push, strays=row[Column.STRAY_KEEP] > 0)
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
