"""Clusters of stops on simulated stands: how often one is named without a cause, and how often with one.

The stand of this module is its own: a longcase wound on Mondays, looked at at 8:20 on working days, found hanging and
set going again then. Its weight falls by its own speed; what stops it is chance, one minute, or one height.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

import numpy as np

from standwatch.estimate.gathered import Gathered, gathered_of
from standwatch.estimate.going import going_of
from standwatch.estimate.history import History
from standwatch.estimate.power import power_of
from tests.bench.engine.table import Row
from tests.bench.power.run import Run
from tests.estimate.weights_on_test import Ledger
from tests.stories import ZONE

START = datetime(2025, 11, 3, 8, 20, tzinfo=ZONE)
"""A Monday; the shop's time is UTC until the end of March."""
DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
Cause = Literal["none", "minute", "height"]

FALSE_MOST = 0.012
COUNTS = (3, 4, 5, 8)
ALL_COUNTS = (3, 4, 5, 6, 7, 8)
CHUNK = 50


@dataclass(frozen=True)
class Why:
    """What stops the clock, how widely that scatters (minutes or mm), and what share of stops is by chance instead."""

    cause: Cause
    sd: float = 0.0
    by_chance: float = 0.0


MINUTE_CAUSE = Why("minute", 1.5)
HEIGHT_CAUSE = Why("height", 12.0)
BOB_CAUSE = Why("height", 40.0)
NAMED: tuple[tuple[str, Why, tuple[float, ...]], ...] = (
    ("same minute, sd 1.5", MINUTE_CAUSE, (0.26, 0.76, 0.99, 1.0)),
    ("same minute, a quarter otherwise", Why("minute", 1.5, 0.25), (0.12, 0.28, 0.36, 0.70)),
    ("same height, sd 12 mm", HEIGHT_CAUSE, (0.91, 1.0, 1.0, 1.0)),
    ("same height, a quarter otherwise", Why("height", 12.0, 0.25), (0.40, 0.42, 0.65, 0.91)),
    ("the bob's window, sd 40 mm", BOB_CAUSE, (0.18, 0.60, 0.94, 1.0)),
)
"""By 3, 4, 5 and 8 stops, the shares that the design reached."""


class _Clock:
    """One clock on its way: what it truly does, and the rows that are written of it."""

    def __init__(self, why: Why, rng: np.random.Generator) -> None:
        self.why, self.rng = why, rng
        self.speed = 165 * float(np.clip(rng.normal(1, 0.05), 0.8, 1.2))
        self.minute, self.height = rng.uniform(0, 60), rng.uniform(200, 950)
        self.mean_days = float(rng.uniform(1.5, 6))
        self.ledger = Ledger(kind="longcase")
        self.at, self.fall = START, 0.0

    def fallen(self, at: datetime) -> float:
        """Where the weight is at `at`, going on."""
        return self.fall + self.speed * ((at - self.at) / DAY)

    def read(self, fall: float) -> float:
        """A paper scale, to 5 mm."""
        return max(0.0, round((fall + self.rng.normal(0, 3)) / 5) * 5)

    def next_stop(self) -> datetime | None:
        """When it stops next; None where the weight has passed the height in this wind."""
        wait = self.at + DAY * float(self.rng.exponential(self.mean_days)) + 20 * MINUTE
        cause = "none" if self.rng.random() < self.why.by_chance else self.why.cause
        scatter = float(self.rng.normal(0, self.why.sd)) if self.why.sd else 0.0
        if cause == "minute":
            past = wait.minute + wait.second / 60
            return wait + MINUTE * ((self.minute + scatter - past) % 60)
        if cause == "height":
            days = (self.height + scatter - self.fall) / self.speed
            return self.at + DAY * days if days > 0.02 else None
        return wait


def stand(why: Why, stops: int, rng: np.random.Generator) -> History:
    """The ledger of a clock found hanging `stops` times."""
    clock = _Clock(why, rng)
    ledger = clock.ledger
    ledger.row(clock.at, error_s=0.0, going_mm=0.0, work="wound")
    planned = clock.next_stop()
    found, round_at = 0, clock.at
    while found < stops:
        round_at += DAY
        if round_at.weekday() > 4:
            continue
        if planned is not None and planned <= round_at:
            hung = clock.fallen(planned)
            dial = (planned + MINUTE / 2).strftime("%H:%M")
            ledger.row(round_at, dial=dial, going_mm=clock.read(hung), work="stopped")
            clock.at, clock.fall = round_at, hung
            found += 1
            wind = round_at.weekday() == 0
            if wind:
                clock.fall = 0.0
                ledger.row(round_at, work="wound")
            ledger.row(round_at, work="restarted")
            ledger.row(round_at + 5 * MINUTE, error_s=0.0)
            planned = clock.next_stop()
            continue
        cells = {"error_s": 0.0, "going_mm": clock.read(clock.fallen(round_at))}
        clock.fall, clock.at = clock.fallen(round_at), round_at
        if round_at.weekday() == 0:
            ledger.row(round_at, work="wound", **cells)
            clock.fall = 0.0
            planned = clock.next_stop() if planned is None or clock.why.cause == "height" else planned
        else:
            ledger.row(round_at, **cells)
    return ledger.history(ledger.rows[-1].body.at + timedelta(hours=1))


def gathered(history: History) -> Gathered:
    """What the program finds."""
    return gathered_of(history, power_of(history), lambda: going_of(history))


@dataclass(frozen=True)
class Job:
    """Some stands of one cause and so many stops."""

    seed: int
    why: Why
    stops: int
    clocks: int


def ask(job: Job) -> int:
    """How many of these stands have any cluster named."""
    rng = np.random.default_rng([job.seed, job.stops, round(job.why.sd * 10), round(job.why.by_chance * 100)])
    return sum(bool(gathered(stand(job.why, job.stops, rng)).clusters) for _ in range(job.clocks))


def without_cause(run: Run) -> list[Row]:
    """Named where every stop came by chance."""
    each = -(-run.sizes.clusters // len(ALL_COUNTS) // CHUNK)
    jobs = [Job(run.seed * 1000 + n, Why("none"), stops, CHUNK) for stops in ALL_COUNTS for n in range(each)]
    wrong, of = sum(run.over(ask, jobs)), len(jobs) * CHUNK
    return [
        Row(
            line="clusters named without a cause, 3 to 8 stops",
            figure=f"{wrong / of:.2%} ({wrong} of {of})",
            goal=f"<= {FALSE_MOST:.1%}",
            reached=run.bound.at_most(wrong, of, FALSE_MOST),
            size=f"{of} stands",
            missed_by=f"{wrong / of - FALSE_MOST:.2%}",
        )
    ]


def with_cause(run: Run) -> list[Row]:
    """Named where the stops have a cause in common: no goal, what the design reached beside it."""
    clocks = max(run.sizes.clusters // 60, 20)
    jobs = [Job(run.seed, why, stops, clocks) for _, why, _ in NAMED for stops in COUNTS]
    told = iter(run.over(ask, jobs))
    rows = []
    for name, _, design in NAMED:
        shares = [next(told) / clocks for _ in COUNTS]
        rows.append(
            Row(
                line=f"clusters named, {', '.join(map(str, COUNTS))} stops: {name}",
                figure=", ".join(f"{share:.0%}" for share in shares),
                goal="none; the design " + ", ".join(f"{share:.0%}" for share in design),
                reached=None,
                size=f"{clocks} stands each",
            )
        )
    return rows
