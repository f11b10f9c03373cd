"""The error at home: does the interval hold what the move does, before and after follow-ups have taught it?

Each trial is a shop with so many follow-ups behind it and one more clock that goes home. What a move does to a rate is
drawn with a spread that is the shop's own: shops differ about the usual by a factor e^0.6; or it is twice the usual; or
just the usual (told in the details: before anything is taught, that is held too often). Between two tellings an error
wanders by white and random-walk frequency noise, with a rate known as well as a month on the stand tells it; what an
owner tells is good to a quarter of a minute.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from standwatch.estimate.at_home import S_MOVE, FollowUp, forecast_after, moves_of
from standwatch.horology.moving import Manner
from tests.bench.engine.table import Row
from tests.bench.power.run import Run

OWNER_S = 15.0
SHOPS_DIFFER = 0.6
LEARNED = (0, 5, 30)
GOALS = {0: (0.93, 0.99), 5: (0.92, 0.98), 30: (0.93, 0.97)}
DOUBLE = {0: 0.83, 5: 0.88, 30: 0.92}
_NOISE: dict[Manner, tuple[float, float, float]] = {
    "regulator": (0.12, 0.02, 0.1),
    "pendulum": (2.5, 0.25, 1.0),
    "balance": (3.0, 0.3, 1.5),
}
"""q1 in s per root day, q2 in s/day per root day, and the standard doubt of the rate from the stand in s/day."""


@dataclass(frozen=True)
class Job:
    """Some trials of one cell: the clocks' manner, follow-ups behind them.

    `times` is the true spread over the usual one; None: drawn for each shop.
    """

    seed: int
    manner: Manner
    follow_ups: int
    times: float | None
    trials: int


def held(job: Job) -> int:
    """In how many trials the 95 % interval held the error that was read."""
    rng = np.random.default_rng([job.seed, 83, list(S_MOVE).index(job.manner), job.follow_ups, int(job.times or 0)])
    hits = 0
    for _ in range(job.trials):
        s = S_MOVE[job.manner] * (float(np.exp(rng.normal(0, SHOPS_DIFFER))) if job.times is None else job.times)
        taught = []
        for _ in range(job.follow_ups):
            days = float(rng.choice([2, 9, 14, 14, 14, 21]))
            miss, variance = _miss(rng, job.manner, s, days)
            taught.append(FollowUp(job.manner, miss, days, variance))
        days = float(rng.choice([2, 7, 14, 30, 90]))
        miss, variance = _miss(rng, job.manner, s, days)
        said = forecast_after(moves_of(job.manner, taught), (0.0, days, variance)).quantity
        hits += said.low <= miss <= said.high
    return hits


def _miss(rng: np.random.Generator, manner: Manner, s: float, days: float) -> tuple[float, float]:
    """By how much one clock's forecast misses what is told after `days` at home, and the variance it knows of."""
    q1, q2, rate_sd = _NOISE[manner]
    steps = rng.normal(0, q2, int(days)).cumsum()  # the rate walks a step a day
    wander = float(steps.sum() + rng.normal(0, q1, int(days)).sum())
    told = wander + days * (rng.normal(0, s) + rng.normal(0, rate_sd)) + rng.normal(0, OWNER_S)
    return float(told), q1**2 * days + q2**2 * days**3 / 3 + (rate_sd * days) ** 2 + OWNER_S**2


def coverage(run: Run) -> list[Row]:
    """One row each for the usual spread and for twice that, worst manner first in the figure."""
    manners: tuple[Manner, ...] = tuple(S_MOVE)
    cells = list(product(manners, LEARNED, (None, 1.0, 2.0)))
    jobs = [Job(run.seed, *cell, run.sizes.home) for cell in cells]
    hits = dict(zip(cells, run.over(held, jobs), strict=True))
    n = run.sizes.home
    rows = []
    for learned in LEARNED:
        low, high = GOALS[learned]
        found = {m: hits[m, learned, None] for m in manners}
        usual = ", ".join(f"{m} {hits[m, learned, 1.0] / n:.1%}" for m in manners)
        fine = all(run.bound.at_least(h, n, low) and run.bound.at_most(h, n, high) for h in found.values())
        line, goal = f"at home, {learned} follow-ups", f"{low:.0%} to {high:.0%}"
        rows.append(_row(line, found, n, goal, reached=fine, more=f"just as usual: {usual}"))
    for learned in LEARNED:
        found = {m: hits[m, learned, 2.0] for m in manners}
        # the design's own figures: what it reached is to be reached, in each manner
        fine = all(run.bound.at_least(h, n, DOUBLE[learned]) for h in found.values())
        line = f"at home, moves twice the usual, {learned} follow-ups"
        rows.append(_row(line, found, n, f">= {DOUBLE[learned]:.0%}", reached=fine))
    return rows


def _row(line: str, found: dict[Manner, int], n: int, goal: str, *, reached: bool, more: str = "") -> Row:
    shares = sorted(hit / n for hit in found.values())
    figure = f"{shares[0]:.1%} to {shares[-1]:.1%}"
    told = ", ".join(f"{manner} {hit / n:.1%}" for manner, hit in found.items())
    return Row(line, figure, goal, reached, f"{n} a manner", details=(told, *([more] if more else [])))
