"""Clocks of one make of state run through their steps side by side, to what is believed of each after the last."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standwatch.estimate.decisions import AGREE, WORKS, Chances, Decision, Reading, observe
from standwatch.estimate.gaussian_sum import (
    WINDOW,
    Belief,
    Flags,
    Floats,
    Ints,
    begin,
    decay,
    joined,
    place,
    reopen,
    shear,
)
from standwatch.estimate.grid import Grid
from standwatch.estimate.making import Column
from standwatch.estimate.timeline import Timeline


@dataclass(frozen=True, slots=True)
class Posterior:
    """What is believed of one clock after its last step.

    `odds` (readings, 3): of each reading's being a blunder, or following hands set or a turned nut, where no work is
    held against the very last; `expected` and
    `expected_sd` (readings,) what was expected of it just before; `log_evidence` the log density of all readings.
    """

    line: Timeline
    grid: Grid
    belief: Belief
    odds: Floats
    expected: Floats
    expected_sd: Floats
    log_evidence: float


class Batch:
    """Clocks of one make of state, step by step. A column of theirs is (K, C): step, clock."""

    def __init__(
        self, lines: list[Timeline], grids: list[Grid], earlier: list[Posterior | None], likely: Chances
    ) -> None:
        self.lines, self.grids, self.likely = lines, grids, likely
        self.names = lines[0].prior.names
        skip = [len(one.line.steps) if one else 0 for one in earlier]
        rest = [line.steps[k:] for line, k in zip(lines, skip, strict=True)]
        self.lengths = np.array([len(steps) for steps in rest])
        table = np.zeros((len(Column), int(self.lengths.max(initial=0)), len(lines)))
        table[Column.READING] = np.nan
        for clock, steps in enumerate(rest):
            table[:, : len(steps), clock] = steps.T
        self.table = table
        self.white = np.array([line.prior.q1 * g.white for line, g in zip(lines, grids, strict=True)])
        self.walk = np.array([line.prior.q2 * g.walk for line, g in zip(lines, grids, strict=True)])
        self.factor = np.array([g.reading for g in grids])
        self.enter, self.parts = self._entering()
        self.turn = np.array([line.prior.turn for line in lines])
        self.held = np.array([line.prior.held_sd for line in lines])
        members = np.ones((len(lines), grids[0].members))
        y_var = np.array([line.prior.of("y")[1] for line in lines])[:, None]
        self.y_var = np.maximum(y_var, np.array([g.rate_var for g in grids]))
        self.x_var = members * np.array([line.prior.of("x")[1] for line in lines])[:, None]
        self.c_var = members * np.array([line.prior.of("c")[1] for line in lines])[:, None]
        self.y_mean, self.x_mean, self.c_mean = (np.array([line.prior.of(s)[0] for line in lines]) for s in "yxc")
        self.c_place = np.array([line.prior.place("c") if line.prior.has("c") else -1 for line in lines])
        self._begin(earlier)

    def _begin(self, earlier: list[Posterior | None]) -> None:
        """Each clock's belief so far, or its prior; room for what its readings will tell."""
        mean = np.array([line.prior.mean for line in self.lines]).T
        variance = np.array([line.prior.variance for line in self.lines]).T
        new = begin(mean, variance, np.array([g.log_prior for g in self.grids]))
        new.cov[place(len(self.names), 1, 1)] = self.y_var
        parts = []
        readings = max((sum(s >= 0 for s in line.sources) for line in self.lines), default=0)
        self.odds = np.zeros((len(self.lines), readings, 3))
        self.expected = np.zeros((2, len(self.lines), readings))
        self.evidence = np.zeros(len(self.lines))
        for clock, one in enumerate(earlier):
            part = one.belief if one else new.take(np.array([clock]))
            parts.append(
                Belief(np.full(len(part.clock), clock), part.log_weight, part.mean, part.cov, part.decided, part.odds)
            )
            if one:
                told = len(one.odds)
                self.odds[clock, :told] = one.odds
                self.expected[0, clock, :told], self.expected[1, clock, :told] = one.expected, one.expected_sd
                self.evidence[clock] = one.log_evidence
        whole = joined(parts)
        self.belief = whole.take(np.arange(len(whole.clock)))  # what was kept is not written to

    def _entering(self) -> tuple[Floats, Floats]:
        """What a step adds to x of each state, by going and by its jump: (K, n, C) each."""
        _, steps, clocks = self.table.shape
        enter = np.zeros((steps, len(self.names), clocks))
        parts = np.zeros_like(enter)
        enter[:, 1] = self.table[Column.GOING]
        if "v" in self.names:
            enter[:, 2] = self.table[Column.STRAY_DAYS]
        for clock, line in enumerate(self.lines):
            prior = line.prior
            if prior.has("b"):
                enter[:, prior.place("b"), clock] = -self.table[Column.DEGREE_DAYS, :, clock]
            if prior.has("c"):
                enter[:, prior.place("c"), clock] = self.table[Column.CURVE, :, clock]
                parts[:, prior.place("c"), clock] = self.table[Column.PART, :, clock]
        return enter, parts

    def run(self) -> list[Posterior]:
        """Every clock's posterior."""
        done: dict[int, Belief] = {}
        jumps = (self.table[Column.SHIFT : Column.PART + 1] != 0).any(axis=(0, 2))
        for step in range(self.table.shape[1] + 1):
            self._take_out((self.lengths == step).nonzero()[0], done)
            if not len(self.belief.clock):
                break
            self._go_on(step)
            if jumps[step]:
                self._jump(step)
            self._read(step)
        return [self._posterior(clock, done[clock]) for clock in range(len(self.lines))]

    def _take_out(self, ended: Ints, done: dict[int, Belief]) -> None:
        """Clocks whose steps are over leave the crowd."""
        if not len(ended):
            return
        for clock in ended:
            done[int(clock)] = self.belief.take(self.belief.clock == clock)
        self.belief = self.belief.take(~np.isin(self.belief.clock, ended))

    def _go_on(self, step: int) -> None:
        belief, clock = self.belief, self.belief.clock
        n = len(self.names)
        shear(belief, 0, self.enter[step][:, clock])
        span = self.table[Column.GOING, step][:, None]
        walk = self.walk * span
        # the white and the random-walk frequency noise of CHECKS 9 (see noise.process_noise), by clock and member
        belief.cov[0] += (self.white * span + walk * span * span / 3)[clock]
        belief.cov[1] += (walk * span / 2)[clock]
        belief.cov[place(n, 1, 1)] += walk[clock]
        if "v" in self.names:
            decay(belief, 2, self.table[Column.STRAY_KEEP, step][clock])
            belief.cov[0] += self.table[Column.STRAY_XX, step][clock, None]
            belief.cov[2] += self.table[Column.STRAY_XV, step][clock, None]
            belief.cov[place(n, 2, 2)] += self.table[Column.STRAY_VV, step][clock, None]

    def _jump(self, step: int) -> None:
        belief, clock = self.belief, self.belief.clock
        n = len(self.names)
        told = self.table[:, step][:, clock]
        shear(belief, 0, self.parts[step][:, clock])
        if "s" in self.names and told[Column.TURNS].any():
            turned = np.zeros((n, len(clock)))
            turned[n - 1] = told[Column.TURNS]
            shear(belief, 1, turned)
        belief.mean[0] += told[Column.SHIFT][:, None]
        belief.cov[0] += told[Column.X_VAR][:, None]
        belief.cov[place(n, 1, 1)] += told[Column.Y_VAR][:, None]
        anew = ((Column.Y_NEW, 1, self.y_mean, self.y_var), (Column.X_NEW, 0, self.x_mean, self.x_var))
        for column, state, mean, variance in anew:
            rows: Flags = told[column] > 0
            if rows.any():
                reopen(belief, state, rows, mean[clock], variance[clock])
        for state in range(2, n):
            rows = (told[Column.C_NEW] > 0) & (self.c_place[clock] == state)
            if rows.any():
                reopen(belief, state, rows, self.c_mean[clock], self.c_var[clock])

    def _read(self, step: int) -> None:
        told = self.table[:, step]
        clocks = (~np.isnan(told[Column.READING]) & (self.lengths > step)).nonzero()[0]
        if not len(clocks):
            return
        clock = self.belief.clock
        here = told[:, clock]
        variance = here[Column.TOLD_VAR][:, None] + here[Column.KIND_VAR][:, None] * self.factor[clock]
        by_member = np.exp(self.belief.log_weight)
        weight = by_member.sum(axis=1)
        self._note(clocks, told[Column.NUMBER].astype(np.int64), variance, by_member, weight)
        reading = Reading(
            error=here[Column.READING],
            variance=variance,
            days_since=here[Column.SINCE],
            turn=np.where(here[Column.MAY_TURN] > 0, self.turn[clock], 0.0),
            held=self.held[clock],
            may_set=here[Column.MAY_SET] > 0,
            young=here[Column.YOUNG] > 0,
            number=here[Column.NUMBER].astype(np.int64),
        )
        self.belief, log_density = observe(self.belief, reading, self.likely, weight)
        starts, _ = self.belief.segments
        self.evidence[self.belief.clock[starts]] += log_density

    def _note(self, clocks: Ints, number: Ints, variance: Floats, by_member: Floats, weight: Floats) -> None:
        """What is expected of each clock that is read, and the odds of its reading WINDOW before, now settled.

        `by_member` (N, G) and `weight` (N,) are the rows' weights.
        """
        belief = self.belief
        starts, segment = belief.segments
        settled = _settled(belief)
        known = np.logical_or.reduceat(settled & (weight > 0), starts)
        weight = np.where(settled | ~known[segment], weight, 0.0)
        whole = np.add.reduceat(weight, starts)
        share = np.where(weight > 0, 1.0 / whole[segment], 0.0)
        x = belief.mean[0]
        told_x = by_member * x
        mean = np.add.reduceat(share * told_x.sum(axis=1), starts)
        square = np.add.reduceat(
            share * (by_member * (belief.cov[0] + variance)).sum(axis=1) + share * (told_x * x).sum(axis=1), starts
        )
        where = np.searchsorted(belief.clock[starts], clocks)
        self.expected[0, clocks, number[clocks]] = mean[where]
        spread = np.maximum(square - mean**2, 0.0)
        self.expected[1, clocks, number[clocks]] = np.sqrt(spread[where])
        old = clocks[number[clocks] >= WINDOW]
        if len(old):
            told = belief.odds[np.arange(len(belief.clock)), :, number[belief.clock] % WINDOW]
            if told.any():
                by_clock = np.add.reduceat((share * weight)[:, None] * told, starts)
                self.odds[old, number[old] - WINDOW] = by_clock[np.searchsorted(belief.clock[starts], old)]

    def _posterior(self, clock: int, belief: Belief) -> Posterior:
        line = self.lines[clock]
        readings = sum(source >= 0 for source in line.sources)
        odds = self.odds[clock, :readings].copy()
        latest = range(max(0, readings - WINDOW), readings)
        places = [number % WINDOW for number in latest]
        if places:
            rows = without_work_last(belief)
            weight = belief.weight[rows]
            told = (weight / weight.sum())[:, None, None] * belief.odds[rows][:, :, places]
            odds[latest.start :] = told.sum(axis=0).T
        belief.clock = np.zeros_like(belief.clock)
        expected, expected_sd = self.expected[:, clock, :readings]
        return Posterior(
            line, self.grids[clock], belief, odds, expected.copy(), expected_sd.copy(), float(self.evidence[clock])
        )


def without_work_last(belief: Belief) -> Flags:
    """The rows to answer from: not those in which unlogged work came just before the last reading.

    One reading apart from the rest is never hands set: the next one will tell. A turned nut wants two that agree.
    """
    rows = _settled(belief)
    return rows if rows.any() else np.ones_like(rows)


def _settled(belief: Belief) -> Flags:
    latest, before = belief.decided & np.uint64(7), (belief.decided >> np.uint64(3)) & np.uint64(7)
    return np.asarray((latest < np.uint64(WORKS)) & (before != np.uint64(Decision.NUT)))


def likeliest(belief: Belief, readings: int) -> Ints:
    """What the likeliest row takes each of the last `readings` readings for (at most as many as rows agree on)."""
    rows = without_work_last(belief)
    weight = np.where(rows, belief.weight, 0.0)
    decided = int(belief.decided[int(np.argmax(np.round(weight, 9)))])
    return np.array([(decided >> 3 * back) & 7 for back in range(min(readings, AGREE))][::-1], dtype=np.int64)
