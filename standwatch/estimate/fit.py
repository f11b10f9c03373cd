"""One story of a clock, filtered and smoothed: its state at any time, past or to come."""

from __future__ import annotations

from dataclasses import dataclass

from standwatch.estimate.decisions import Story
from standwatch.estimate.filter import Forward, forward, jumped, moved_on
from standwatch.estimate.smoother import NOTHING, Backward, Smoothed, backward, carried_back, smoothed
from standwatch.estimate.timeline import Timeline


@dataclass(frozen=True, slots=True)
class Fit:
    """A timeline as one story tells it. `sound` are the nodes whose reading counts, in order.

    `runs` gives each node the number of the run it belongs to: a new run begins where the error begins anew.
    """

    line: Timeline
    story: Story
    run: Forward
    back: Backward
    sound: tuple[int, ...]
    runs: tuple[int, ...]

    def at(self, day: float) -> Smoothed:
        """The state at `day` (days since 2000), after all that was done by then; wants a node at or before it."""
        place = self.line.last_node(day)
        state, later = self.run.states[place], self.back.later[place]
        gap = self.line.gap(self.line.days_at[place], day)
        state = moved_on(state, gap)
        if place == len(self.line.nodes) - 1:
            to_come = self.line.winds_to_come(day)
            return smoothed(state if to_come is None else jumped(state, to_come, self.line.prior), NOTHING)
        return smoothed(state, carried_back(later, -gap.days, -gap.gain))

    def after(self, node: int) -> Smoothed:
        """The state just after `node`: its reading is in, work of the same visit is not yet done."""
        return smoothed(self.run.states[node], self.back.later[node])

    def read_in_run(self, day: float) -> bool:
        """Whether a sound reading tells the error of the run that `day` lies in."""
        run = self.runs[self.line.last_node(day)]
        return any(self.runs[number] == run for number in self.sound)

    def spans(self) -> list[tuple[int, int]]:
        """Sound readings since the rate was opened, as first and last node of each run that has two or more."""
        since = self.rate_nodes()
        spans: dict[int, tuple[int, int]] = {}
        for number in since:
            first, _ = spans.get(self.runs[number], (number, number))
            spans[self.runs[number]] = (first, number)
        return [(a, b) for a, b in spans.values() if self.line.days_at[b] > self.line.days_at[a]]

    def rate_nodes(self) -> list[int]:
        """The nodes of sound readings since the rate was opened and settled."""
        visits, nodes, since = self.line.visits, self.line.nodes, self.line.rate_since
        return [n for n in self.sound if since is not None and visits[nodes[n].source].at >= since]


def fit(line: Timeline, story: Story) -> Fit:
    """`line` as `story` tells it; linear in its nodes."""
    run = forward(line.nodes, line.prior, story.dropped, story.shifts)
    runs = []
    count = 0
    for node in line.nodes:
        count += node.jump is not None and node.jump.x_new
        runs.append(count)
    sound = tuple(n for n, gain in enumerate(run.gains) if gain is not None)
    return Fit(line, story, run, backward(line.nodes, run), sound, tuple(runs))
