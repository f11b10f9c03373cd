"""Run-down of weights: does the interval hold the truth, and how near is its middle?"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain
from statistics import median

import numpy as np

from standwatch.estimate.power import power_of
from standwatch.model.answers import Moment
from standwatch.model.words import KindName
from tests.bench.engine.bounds import Bound
from tests.bench.engine.table import Row
from tests.bench.power.nature import ORIGIN, QUARTER, time_of
from tests.bench.power.run import Run
from tests.bench.power.watch import Plan, held, told_by

_K = KindName
DAYS = 6
CHUNK = 100
COVERED = {
    "regulator": Plan(_K.REGULATOR, 21, "rounds"),
    "weight-wall": Plan(_K.WEIGHT_WALL, 21, "rounds"),
    "longcase": Plan(_K.LONGCASE, 21, "rounds"),
    "floor-chiming": Plan(_K.FLOOR_CHIMING, 21, "rounds"),
    "floor-chiming, night silent": Plan(_K.FLOOR_CHIMING, 21, "rounds", silent=True),
    "8-day cuckoo": Plan(_K.CUCKOO, 21, "rounds", duration_h=192, speed=200),
    "31-day regulator": Plan(_K.REGULATOR, 42, "rounds", duration_h=744, speed=35),
    "longcase-30h": Plan(_K.LONGCASE_30H, 14, "rounds"),
    "cuckoo": Plan(_K.CUCKOO, 14, "rounds"),
}
NEAR = {
    "regulator": Plan(_K.REGULATOR, 13),
    "longcase": Plan(_K.LONGCASE, 13),
    "floor-chiming": Plan(_K.FLOOR_CHIMING, 13),
    "weight-wall": Plan(_K.WEIGHT_WALL, 13),
    "weight-wall read after winding": Plan(_K.WEIGHT_WALL, 6, after_wind=True),
    "two a week": Plan(_K.LONGCASE, 24, "twice"),
    "31-day regulator": Plan(_K.REGULATOR, 40, duration_h=744, speed=35),
    "longcase-30h": Plan(_K.LONGCASE_30H, 2),
    "cuckoo": Plan(_K.CUCKOO, 2),
}


@dataclass(frozen=True)
class Job:
    """Some clocks of one plan."""

    seed: int
    name: str
    plan: Plan
    clocks: int


@dataclass(frozen=True)
class Said:
    """What was said after one reading: which train, wind and day; by how many hours it missed; whether it held."""

    name: str
    train: str
    later: bool
    day: int
    miss_h: float
    held: bool


def ask(job: Job) -> list[Said]:
    """Everything that was said of these clocks."""
    rng = np.random.default_rng([job.seed, *job.name.encode()])
    return list(chain.from_iterable(_of_one(job, rng) for _ in range(job.clocks)))


def _of_one(job: Job, rng: np.random.Generator) -> list[Said]:
    story = told_by(job.plan, rng)
    told = []
    for seen in story.seen:
        daily = job.plan.every == 1
        later, day = (False, seen.wind - 1) if daily else (seen.wind > 1, seen.day)
        if not 1 <= day <= DAYS:
            continue
        now = time_of(seen.quarter) + (QUARTER if daily or job.plan.after_wind else QUARTER / 15)
        for run in power_of(story.ledger.history(now)).trains:
            truth = seen.runs_out.get(run.train.value)
            if truth is None or not isinstance(run.runs_out, Moment):
                continue
            at, low, high = ((t - ORIGIN) / QUARTER for t in (run.runs_out.at, run.runs_out.low, run.runs_out.high))
            said = Said(job.name, run.train.value, later, day, abs(at - truth) / 4, held(truth, low, high))
            told.append(said)
    return told


def jobs(seed: int, plans: dict[str, Plan], clocks: int) -> list[Job]:
    """The plans' clocks in portions of their own random numbers."""
    return [
        Job(seed + 1000 * part, name, plan, min(CHUNK, clocks - part * CHUNK))
        for name, plan in plans.items()
        for part in range(-(-clocks // CHUNK))
    ]


def told_of(run: Run, key: str, plans: dict[str, Plan], clocks: int) -> list[Said]:
    """Asked once a run."""
    if key not in run.kept:
        run.kept[key] = list(chain.from_iterable(run.over(ask, jobs(run.seed, plans, clocks))))
    kept = run.kept[key]
    assert isinstance(kept, list)
    return kept


def _within(bound: Bound, cell: list[Said], low: float, high: float) -> bool:
    hits = sum(s.held for s in cell)
    return bound.at_least(hits, len(cell), low) and bound.at_most(hits, len(cell), high)


def coverage(run: Run) -> list[Row]:
    """The interval of each kind and train; every day of the first wind and of later ones is a cell."""
    told = told_of(run, "covered", COVERED, run.sizes.clocks * 3 // 2)
    rows = []
    for train, goals in (("going", (0.92, 0.98)), ("strike", (0.92, 0.99)), ("chime", (0.92, 0.99))):
        for name in COVERED:
            those = [s for s in told if (s.name, s.train) == (name, train)]
            low, high = (0.92, 1.0) if train == "strike" and name == "cuckoo" else goals
            if those:
                rows.append(_coverage_row(run.bound, f"run-down, {train}, {name}", those, low, high))
    return rows


def _coverage_row(bound: Bound, line: str, told: list[Said], low: float, high: float) -> Row:
    cells: dict[tuple[bool, int], list[Said]] = {}
    for said in told:
        cells.setdefault((said.later, said.day), []).append(said)
    shares = {key: sum(s.held for s in cell) / len(cell) for key, cell in sorted(cells.items())}
    out = [key for key, cell in sorted(cells.items()) if not _within(bound, cell, low, high)]
    sizes = [len(cell) for cell in cells.values()]
    return Row(
        line=line,
        figure=f"{min(shares.values()):.1%}-{max(shares.values()):.1%}, all {np.mean([s.held for s in told]):.1%}",
        goal=f"{low:.0%}-{high:.0%} in every cell",
        reached=not out,
        size=f"{len(cells)} cells x {min(sizes)}-{max(sizes)}",
        missed_by=", ".join(f"{'later' if k[0] else 'first'} day {k[1]} {shares[k]:.1%}" for k in out),
    )


def near(run: Run) -> list[Row]:
    """Median misses, in per cent of the rated time."""
    told = told_of(run, "near", NEAR, run.sizes.clocks // 2)
    rows = [
        _median_row(run, told, name, line, goal, later=later, day=day)
        for name, line, goal, later, day in (
            ("regulator", "regulator, day two of the first wind", 2.3, False, 2),
            ("longcase", "longcase, day two of the first wind", 2.3, False, 2),
            ("floor-chiming", "floor-chiming (135 mm a day), day two of the first wind", 2.3, False, 2),
            ("weight-wall", "weight-wall (115 mm a day), day two of the first wind", 2.8, False, 2),
            ("weight-wall read after winding", "the same, read after winding too", 2.1, False, 2),
            ("longcase", "longcase, second wind, read daily", 0.8, True, None),
            ("two a week", "longcase, second wind on, two readings a week", 1.2, True, None),
            ("31-day regulator", "31-day weight, day two", 7.5, False, 2),
            ("31-day regulator", "31-day weight, day six", 2.5, False, 6),
            ("31-day regulator", "31-day weight, next wind", 1.0, True, None),
            ("longcase-30h", "longcase-30h, one wind read", 1.0, False, 1),
            ("cuckoo", "cuckoo, one wind read", 1.0, False, 1),
        )
    ]
    strikes = [s for s in told if (s.name, s.train) == ("cuckoo", "strike")]
    within = sum(s.miss_h <= 1 for s in strikes)
    rows.append(
        Row(
            line="30 h, one wind read: strike within the hour",
            figure=f"{within / max(1, len(strikes)):.1%}",
            goal=">= 95 %",
            reached=run.bound.at_least(within, len(strikes), 0.95),
            size=f"{len(strikes)} cuckoos",
            missed_by=f"{0.95 - within / max(1, len(strikes)):.1%}",
        )
    )
    return rows


def _median_row(run: Run, told: list[Said], name: str, line: str, goal: float, *, later: bool, day: int | None) -> Row:
    those = [s for s in told if (s.name, s.train, s.later) == (name, "going", later) and (day is None or s.day == day)]
    plan, clocks = NEAR[name], run.sizes.clocks // 2
    miss = 100 * median(s.miss_h for s in those) / (plan.wind_days * 24)
    near = sum(100 * s.miss_h <= goal * plan.wind_days * 24 for s in those) / len(those)
    return Row(
        line=f"median error, {line}",
        figure=f"{miss:.2f} % of the rated time",
        goal=f"<= {goal:g} %",
        reached=run.bound.at_least(round(near * clocks), clocks, 0.5),
        size=f"{len(those)} readings of {clocks} clocks",
        missed_by=f"{miss - goal:.2f} %",
    )
