"""How much the true rate differs from day to day: mean rates between readings, and the spread of the last five."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from standwatch.estimate.fit import Fit
from standwatch.estimate.smoother import Matrix, joint
from standwatch.model.answers import Answer, NotYetKnown, Quantity

_DRAWS = 4000
_SEED = 20260  # any; fixed, so that the same facts give the same answer
_STEPS = 5
_WINDOW_DAYS = 9.0
_SLACK_DAYS = 1 / 24
_LONGEST_STEP_DAYS = 4.0
_SPECK = 1e-10  # of the greatest variance, added to each: rates that are known to be the same stay drawable


@dataclass(frozen=True, slots=True)
class Step:
    """From one sound reading's node to a later one's: `days` apart, the error meanwhile stepped by `shift` seconds.

    `shift_var` is its variance; `curve` what winding added to the error for each unit of c.
    """

    first: int
    last: int
    start: datetime
    end: datetime
    days: float
    shift: float
    shift_var: float
    curve: float


def step_between(fit: Fit, first: int, last: int) -> Step | None:
    """The step between two nodes; None where error or rate began anew in between, or before `fit` looks back."""
    if first < fit.first:
        return None
    shift, shift_var, curve = 0.0, 0.0, 0.0
    line = fit.line
    for number in range(first + 1, last + 1):
        node = fit.node(number)
        curve += node.gap.gain
        if node.jump is not None:
            if node.jump.x_new or node.jump.y_new:
                return None
            stepped, var = fit.stepped(number)
            shift, shift_var = shift + stepped, shift_var + var
            curve += node.jump.part
        if number in fit.story.shifts:
            return None
    start, end = (line.visits[line.sources[n]].at for n in (first, last))
    return Step(first, last, start, end, line.days_at[last] - line.days_at[first], shift, shift_var, curve)


def spaced(fit: Fit, nodes: list[int], least_days: float) -> list[int]:
    """The latest of `nodes` and going back from it those at least `least_days` apart (an hour less will do)."""
    chosen: list[int] = []
    for number in reversed(nodes):
        if not chosen or fit.line.days_at[chosen[-1]] - fit.line.days_at[number] >= least_days - _SLACK_DAYS:
            chosen.append(number)
    return chosen[::-1]


def mean_rates(fit: Fit, steps: list[Step]) -> tuple[Matrix, Matrix]:
    """Means and joint covariance of the true mean rates over `steps`, in s/day, the winding taken off."""
    wanted = sorted({n for step in steps for n in (step.first, step.last)})
    means, cov = joint(fit.nodes, fit.run, fit.back, [number - fit.first for number in wanted])
    place = {number: k for k, number in enumerate(wanted)}
    weights = np.zeros((len(steps), 3 * len(wanted)))
    shifts, doubts = np.zeros(len(steps)), np.zeros(len(steps))
    for row, step in enumerate(steps):
        weights[row, 3 * place[step.last]] += 1 / step.days
        weights[row, 3 * place[step.first]] -= 1 / step.days
        weights[row, 3 * place[step.last] + 2] -= step.curve / step.days
        shifts[row] = step.shift / step.days
        doubts[row] = step.shift_var / step.days**2
    return weights @ means.ravel() - shifts, weights @ cov @ weights.T + np.diag(doubts)


def daily_rates(fit: Fit) -> tuple[tuple[datetime, Answer], ...]:
    """The mean rate of each interval of about a day between sound readings, at the interval's end."""
    rates: list[tuple[datetime, Answer]] = []
    chosen = spaced(fit, list(fit.story.sound), 0.6)
    for first, last in pairwise(chosen):
        step = step_between(fit, first, last)
        if step is not None and step.days <= _LONGEST_STEP_DAYS:
            mean, cov = mean_rates(fit, [step])
            rates.append((step.end, Quantity.normal(float(mean[0]), math.sqrt(max(float(cov[0, 0]), 0.0)))))
    return tuple(rates)


def step_days(limit: float | None, doubt_s: float) -> int | None:
    """How long a step readings of standard doubt `doubt_s` want, in days; None where three days would not do.

    1.41 x the doubt of one reading, over the step, is to stay within half the limit.
    """
    if limit is None:
        return 1
    return next((n for n in (1, 2, 3) if 1.41 * doubt_s / n <= limit / 2), None)


def last_steps(fit: Fit, now: datetime, days: int) -> list[Step] | NotYetKnown:
    """The last five steps of `days` days up to a reading (or four, of the first five days read), or why not yet.

    The days read lie within the last nine, or nine steps. Longer steps want all five.
    """
    earliest = now - timedelta(days=_WINDOW_DAYS * days + _SLACK_DAYS)
    chosen = spaced(fit, fit.story.rate_steps(), 0.6 if days == 1 else float(days))[-_STEPS - 1 :]
    at = {n: fit.line.visits[fit.line.sources[n]].at for n in chosen}
    recent = [n for n in chosen if at[n] >= earliest]
    wanted = _STEPS if days == 1 else _STEPS + 1
    if len(recent) < wanted:
        within = f"the last {_WINDOW_DAYS * days:.0f} days"
        told = "each day" if days == 1 else f"every {days} days"
        return NotYetKnown(f"wants {wanted} readings, {told}, within {within}; {len(recent)} so far")
    steps = []
    for first, last in pairwise(chosen):
        step = step_between(fit, first, last)
        if step is not None and step.days <= _LONGEST_STEP_DAYS * days and at[last] >= earliest:
            steps.append(step)
    if len(steps) < wanted - 1:
        return NotYetKnown("the hands moved by an unknown amount, or days were left out, among the last five days read")
    return steps[-_STEPS:]


@dataclass(frozen=True, slots=True)
class Spread:
    """The range of the true rates of some steps, as draws from their joint posterior (s/day)."""

    steps: tuple[Step, ...]
    ranges: Matrix

    @property
    def quantity(self) -> Quantity:
        """Median and 95 % interval."""
        low, middle, high = (float(q) for q in np.quantile(self.ranges, (0.025, 0.5, 0.975)))
        return Quantity(middle, low, high)

    def within(self, limit: float) -> float:
        """Probability that the range is at most `limit` s/day."""
        return float(np.mean(self.ranges <= limit))


def _root(cov: Matrix) -> Matrix:
    """A root of a covariance that rounding hardly moves, where eigenvectors of like size would turn as it pleases."""
    return np.asarray(np.linalg.cholesky(cov + _SPECK * np.max(np.diag(cov)) * np.eye(len(cov))))


def spread_of(fits: Sequence[tuple[float, Fit]], now: datetime, days: int) -> Spread | NotYetKnown:
    """The spread of the last five rates by steps of `days` days, or why it is not yet known.

    `fits` look back with different noises, each with its weight: how much is the clock's and how much was misread is
    not known for sure.
    """
    steps = last_steps(fits[0][1], now, days)
    if isinstance(steps, NotYetKnown):
        return steps
    normal = np.random.default_rng(_SEED).standard_normal((_DRAWS, len(steps)))
    ends = np.rint(np.cumsum([weight for weight, _ in fits]) * _DRAWS).astype(int)
    rates = []
    for (_, fit), start, end in zip(fits, [0, *ends[:-1]], ends, strict=True):
        mean, cov = mean_rates(fit, steps)
        rates.append(mean + normal[start:end] @ _root(cov).T)
    drawn = np.concatenate(rates)
    return Spread(tuple(steps), drawn.max(axis=1) - drawn.min(axis=1))
