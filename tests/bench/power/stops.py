"""When a clock found hanging stopped: is the right time first, and are the odds said true?

A clock is wound, read for some days, then nobody comes for one to four days and it stops at any time of them. It is
found with its dial and its weight as they hang. A dial tells its time to the minute but for the half-day.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import chain
from typing import Any

import numpy as np

from standwatch.estimate.stops import stop_candidates
from standwatch.model.words import KindName, Train
from tests.bench.engine.table import Row
from tests.bench.power.nature import A_DAY, Weight, draw_eye, draw_weight, time_of, usual
from tests.bench.power.run import Run
from tests.bench.power.watch import ROUND, Plan, rounds
from tests.estimate.weights_on_test import Ledger

_K = KindName
CHUNK = 100
SAME = timedelta(hours=6)
"""The candidates lie half a day apart: one this near is the right one."""


@dataclass(frozen=True)
class Case:
    """What is known before it stops: readings daily for so many days after a wind.

    Nobody comes for one to four days, evenly, or `by_rounds`, as a shop of five days a week leaves it alone.
    """

    name: str
    kinds: tuple[KindName, ...]
    read_days: int
    goal: float | None
    speed: float | None = None
    duration_h: float | None = None
    by_rounds: bool = False


_EIGHT_DAYS = (_K.REGULATOR, _K.WEIGHT_WALL, _K.LONGCASE, _K.FLOOR_CHIMING)
CASES = (
    Case("a week learned, 1-4 days unseen", _EIGHT_DAYS, 7, 0.985),
    Case("day two", _EIGHT_DAYS, 2, 0.94),
    Case("the kind's speed alone", _EIGHT_DAYS, 0, 0.85, by_rounds=True),
    Case("31-day", (_K.REGULATOR,), 7, 0.85, speed=35.0, duration_h=744.0),
    Case("the kind's speed alone, 1-4 days unseen", _EIGHT_DAYS, 0, None),
)
BINS = ((0.5, 0.7, 0.06), (0.7, 0.9, 0.06), (0.9, 0.97, 0.03))
SURE, SURE_RIGHT = 0.97, 0.97


@dataclass(frozen=True)
class Job:
    """Some stops of one case."""

    seed: int
    case: int
    stops: int


@dataclass(frozen=True)
class Told:
    """What was said of one stop: the case, the odds of the first candidate, and whether it is the right one."""

    case: int
    odds: float
    right: bool


def ask(job: Job) -> list[Told]:
    """What was said of these stops."""
    rng = np.random.default_rng([job.seed, 41, job.case])
    return list(chain.from_iterable(one(job.case, rng) for _ in range(job.stops)))


def one(number: int, rng: np.random.Generator) -> list[Told]:
    """One stop; nothing where no candidate fits."""
    case = CASES[number]
    kind = case.kinds[int(rng.integers(len(case.kinds)))]
    speed, days = usual(kind)
    days = case.duration_h / 24 if case.duration_h else days
    weight = draw_weight(rng, kind, "going", "going", speed=case.speed or speed, days=days)
    # rounded as a paper scale of 5 mm is read
    eye = replace(draw_eye(rng, ("going",), careless=False), to=5.0)
    columns: dict[str, Any] = {"going_usable_mm": weight.told_floor, "duration_h": case.duration_h}
    ledger = Ledger(kind=kind.value, trains="going", **columns)
    rate, error = float(rng.normal(0, 5)), float(rng.normal(0, 30))
    # an 8-day clock is wound again when a week is over
    winds_at = {0, 7} if days < 10 else {0}
    day = 0
    for day in range(case.read_days + 1):
        at = day * A_DAY + ROUND
        weight.until(at)
        cells = {"going_mm": eye.read(weight, rng)} if day else {}
        ledger.row(time_of(at), error_s=round(error + rate * day + float(rng.normal(0, 0.5)), 1), **cells)
        if day in winds_at:
            weight.wind(rng)
            ledger.row(time_of(at) + timedelta(minutes=2), work="wound")
    unseen = _gap(rng) if case.by_rounds else int(rng.integers(1, 5))
    seen = day * A_DAY + ROUND
    stops = seen + float(rng.uniform(0.1, unseen * A_DAY - 0.1))
    hung = _fall_at(weight, stops)
    found_at = time_of(seen + unseen * A_DAY)
    shown = time_of(stops) + timedelta(seconds=error + rate * (stops - ROUND) / A_DAY)
    found = stop_candidates(
        ledger.history(found_at),
        shown.strftime("%H:%M"),
        found_at=found_at,
        falls={Train.GOING: eye.read(hung, rng)},
    )
    return [Told(number, found[0][1], abs(found[0][0] - time_of(stops)) < SAME)] if found else [Told(number, 0, False)]


def _gap(rng: np.random.Generator) -> int:
    """The days between two rounds in which a stop falls: long gaps hold more of them."""
    days = [day for day, _ in rounds(Plan(_K.LONGCASE, 60, "rounds"), rng)]
    gaps = np.diff(days)
    return int(rng.choice(gaps, p=gaps / gaps.sum()))


def _fall_at(weight: Weight, quarter: float) -> Weight:
    """The weight as it hangs at a part of a quarter."""
    before = replace(weight)
    before.until(int(quarter))
    after = replace(before)
    after.until(int(quarter) + 1)
    return replace(before, fall=before.fall + (quarter - int(quarter)) * (after.fall - before.fall))


def _told(run: Run) -> list[Told]:
    if "stops" not in run.kept:
        of = run.sizes.stops
        jobs = [Job(run.seed * 1000 + n, case, CHUNK) for case in range(len(CASES)) for n in range(-(-of // CHUNK))]
        run.kept["stops"] = list(chain.from_iterable(run.over(ask, jobs)))
    kept = run.kept["stops"]
    assert isinstance(kept, list)
    return kept


def right_first(run: Run) -> list[Row]:
    """How often the likeliest candidate is the right one."""
    rows = []
    for number, case in enumerate(CASES):
        told = [one for one in _told(run) if one.case == number]
        right, goal = sum(one.right for one in told), case.goal
        rows.append(
            Row(
                line=f"right stop first, going weight to 5 mm: {case.name}",
                figure=f"{right / len(told):.1%}",
                goal="none" if goal is None else f">= {goal:.1%}",
                reached=None if goal is None else run.bound.at_least(right, len(told), goal),
                size=f"{len(told)} stops",
                missed_by="" if goal is None else f"{goal - right / len(told):.1%}",
                details=(f"said {sum(one.odds for one in told) / len(told):.1%}",),
            )
        )
    return rows


def odds(run: Run) -> list[Row]:
    """Whether the odds said are true, over all cases."""
    told = _told(run)
    rows = []
    for low, high, within in BINS:
        those = [one for one in told if low <= one.odds < high]
        said, right = sum(one.odds for one in those) / max(len(those), 1), sum(one.right for one in those)
        fits = run.bound.at_least(right, len(those), max(said - within, 0.0))
        fits = fits and run.bound.at_most(right, len(those), min(said + within, 1.0))
        rows.append(
            Row(
                line=f"odds said {low:g} to {high:g}",
                figure=f"{right / max(len(those), 1):.1%} right, {said:.1%} said",
                goal=f"within {within:g}",
                reached=fits if those else None,
                size=f"{len(those)} stops",
                missed_by=f"{abs(right / max(len(those), 1) - said) - within:.1%}",
            )
        )
    sure = [one for one in told if one.odds >= SURE]
    right = sum(one.right for one in sure)
    rows.append(
        Row(
            line=f"odds said over {SURE:g}",
            figure=f"{right / max(len(sure), 1):.1%} right",
            goal=f">= {SURE_RIGHT:.0%}",
            reached=run.bound.at_least(right, len(sure), SURE_RIGHT) if sure else None,
            size=f"{len(sure)} stops",
            missed_by=f"{SURE_RIGHT - right / max(len(sure), 1):.1%}",
        )
    )
    return rows
