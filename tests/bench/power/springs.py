"""Run-down of springs: a day and its range, from turns told at winding, or without.

The truth: how long a spring really drives its train against what it is rated for is a fifth more, give or take a
seventh, one in ten anything; one run differs from the next by 3 %. The key tells the turns that the days have used, to
a quarter of a turn or so (.27, and .3 of the whole), rounding to halves included. A common belief of the trade, not a
measured law.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from itertools import chain
from statistics import median

import numpy as np

from standwatch.estimate.power import power_of
from standwatch.model.answers import Moment
from standwatch.model.words import Train
from tests.bench.engine.table import Row
from tests.bench.power.nature import ORIGIN
from tests.bench.power.run import Run
from tests.estimate.weights_on_test import Ledger

DAY = timedelta(days=1)
CHUNK = 100
GOALS = {8: (0.5, 1.1), 14: (1.0, 1.9), 31: (1.7, 4.0)}
"""Median errors in days, by the rated days: a wind told in turns, and none told."""
WINDS = {8: 7, 14: 13, 31: 28}
"""Days from one wind to the next."""
KIND = {8: "mantel", 14: "mantel", 31: "spring-wall-31d"}


@dataclass(frozen=True)
class Job:
    """Some clocks of one duration. `ratio`: real over rated days, where it is not left to chance."""

    seed: int
    rated: int
    told: bool
    clocks: int
    ratio: float | None = None


@dataclass(frozen=True)
class Said:
    """After the second wind: days missed by, and whether the interval held; `first` right after winding."""

    first: bool
    miss: float
    held: bool


def ask(job: Job) -> list[Said]:
    """What was said of these clocks."""
    rng = np.random.default_rng([job.seed, job.rated, job.told, int(100 * (job.ratio or 0))])
    return list(chain.from_iterable(_of_one(job, rng) for _ in range(job.clocks)))


def _real(job: Job, rng: np.random.Generator) -> float:
    """Days that this spring drives its train, a run with another."""
    if job.ratio is not None:
        return job.rated * job.ratio
    usual = rng.random() < 0.9
    return job.rated * float(np.exp(rng.normal(0.2, 0.14) if usual else rng.normal(0, 0.25)))


def _of_one(job: Job, rng: np.random.Generator) -> list[Said]:
    real = _real(job, rng)
    full = float(rng.uniform(8, 16))
    columns = {"going_turns": round(2 * (full + rng.normal(0, 0.26))) / 2} if job.told else {}
    ledger = Ledger(kind=KIND[job.rated], duration_h=24.0 * job.rated, **columns)
    start = ORIGIN + DAY / 3
    ledger.row(start, work="wound")
    run = real * rng.normal(1, 0.03)
    every = WINDS[job.rated]
    for day in range(1, every + 1):
        if day < run:
            ledger.row(start + day * DAY, error_s=1.0)
    after = start + every * DAY
    lasted = min(run, every)
    turns = full * lasted / real
    turns += rng.normal(0, np.hypot(0.23, 0.02 * turns))
    amount = {"amount": max(0.5, round(2 * turns) / 2)} if job.told else {}
    if run <= every:
        ledger.row(after, work="ran-out")
    ledger.row(after + DAY / 500, work="wound", train="going", **amount)
    if run <= every:
        ledger.row(after + DAY / 400, work="restarted")
    return _second(ledger, real * rng.normal(1, 0.03))


def _second(ledger: Ledger, run: float) -> list[Said]:
    """What is said just after the wind, and as days go by."""
    start = ledger.rows[-1].body.at
    told = []
    for day in range(int(min(run, 30))):
        now = start + day * DAY
        if day:
            ledger.row(now, error_s=1.0)
        runs_out = next(r.runs_out for r in power_of(ledger.history(now)).trains if r.train is Train.GOING)
        if isinstance(runs_out, Moment):
            at, low, high = ((t - start) / DAY for t in (runs_out.at, runs_out.low, runs_out.high))
            told.append(Said(day == 0, abs(at - run), low <= run <= high))
    return told


def _asked(run: Run, rated: int, *, told: bool, ratio: float | None = None, clocks: int = 0) -> list[Said]:
    clocks = clocks or run.sizes.springs
    parts = range(-(-clocks // CHUNK))
    jobs = [Job(run.seed + 1000 * n, rated, told, min(CHUNK, clocks - n * CHUNK), ratio) for n in parts]
    return list(chain.from_iterable(run.over(ask, jobs)))


def springs(run: Run) -> list[Row]:
    """Intervals and median errors by duration, with turns told and without."""
    rows = []
    for told, what in ((True, "a wind told in turns"), (False, "no turns told")):
        for rated, goals in GOALS.items():
            said = _asked(run, rated, told=told)
            first = [s for s in said if s.first]
            miss, goal = median(s.miss for s in first), goals[0 if told else 1]
            near = sum(s.miss <= goal for s in first)
            line = f"{rated}-day springs, {what}"
            rows += [
                _interval(run, line, first, "just after winding"),
                Row(
                    line=f"{line}: median error",
                    figure=f"{miss:.2f} d",
                    goal=f"<= {goal:g} d",
                    reached=run.bound.at_least(near, len(first), 0.5),
                    size=f"{len(first)} clocks",
                    missed_by=f"{miss - goal:.2f} d",
                    details=(f"held on every day of that wind: {np.mean([s.held for s in said]):.1%}",),
                ),
            ]
    half = {
        told: _asked(run, 8, told=told, ratio=1.5, clocks=max(50, run.sizes.springs // 5)) for told in (False, True)
    }
    shares = {told: np.mean([s.held for s in said if s.first]) for told, said in half.items()}
    rows.append(
        Row(
            line="springs that run half as long again as rated: interval",
            figure=f"without turns {shares[False]:.0%}, with {shares[True]:.0%}",
            goal="none (76 and 93 % in the design's trial)",
            reached=None,
            size=f"{sum(s.first for s in half[True])} clocks each",
        )
    )
    return rows


def _interval(run: Run, line: str, said: list[Said], size: str) -> Row:
    hits = sum(s.held for s in said)
    share = hits / len(said)
    return Row(
        line=f"{line}: interval",
        figure=f"{share:.1%}",
        goal="92%-98%",
        reached=run.bound.at_least(hits, len(said), 0.92) and run.bound.at_most(hits, len(said), 0.98),
        size=f"{len(said)} clocks, {size}",
        missed_by=f"{max(0.92 - share, share - 0.98):.1%}",
    )
