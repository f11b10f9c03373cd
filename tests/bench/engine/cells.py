"""The coverage table cell by cell: clocks of one kind, watched one way, asked after 7, 14 and 28 days."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.learned import DEFAULTS, Learned
from standwatch.model.answers import Answer, Quantity
from standwatch.model.words import KindName
from tests.bench.engine.oracle import Oracle
from tests.bench.engine.straight import (
    Interval,
    interval_score,
    least_squares,
    least_squares_rate,
    local_trend,
    theil_sen,
    theil_sen_reading,
)
from tests.simulated.facts import facts_of, when
from tests.simulated.nature import draw
from tests.simulated.physics import Bools, Floats
from tests.simulated.stand import Watch, Watched, watched

KINDS = (
    KindName.REGULATOR,
    KindName.LONGCASE,
    KindName.FLOOR_CHIMING,
    KindName.MANTEL,
    KindName.CUCKOO,
    KindName.CARRIAGE,
)
DAYS = (7, 14, 28)
BLUNDERS = (0.0, 0.03)
AHEAD = 7
OLS, THEIL_SEN, THEIL_SEN_READING = "OLS", "Theil-Sen", "Theil-Sen, a reading's"


@dataclass(frozen=True)
class Job:
    """One stand to simulate and ask: how many clocks, and of how many of them the other ways are asked too."""

    seed: int
    kind: KindName
    blunders: float
    thermometer: bool
    clocks: int
    straight: int = 0
    trend: int = 0
    scale: float = 1.0
    days: tuple[int, ...] = DAYS
    learned: Learned = DEFAULTS

    def rng(self) -> np.random.Generator:
        """Its own chance, whatever else is run."""
        place = list(KindName).index(self.kind)
        return np.random.default_rng(
            [self.seed, place, round(100 * self.blunders), int(self.thermometer), round(100 * self.scale)]
        )


@dataclass(frozen=True)
class Cell:
    """What came of a job after so many days. One value a clock; of lines and `trend` for the first clocks only.

    `misled` are clocks whose last two readings are both blunders: no one can tell those from hands that were set.
    """

    job: Job
    days: int
    rate_held: Bools
    ahead_held: Bools
    rate_side: Floats
    ahead_side: Floats
    unknown: int
    misled: Bools
    score: Floats
    oracle: Floats
    straight: dict[str, Floats]
    straight_rate_held: Bools
    trend: Floats

    @property
    def name(self) -> str:
        """In a few words."""
        job = self.job
        warmth = "logged" if job.thermometer else "not logged"
        return f"{job.kind} {self.days} d, {job.blunders:.0%} blunders, temperature {warmth}"


def jobs(seed: int, clocks: int, straight: int, trend: int) -> list[Job]:
    """Every stand of the table; the dearer comparisons on both ways of logging."""
    return [
        Job(seed, kind, blunders, thermometer, clocks, straight, trend)
        for kind, blunders, thermometer in product(KINDS, BLUNDERS, (True, False))
    ]


def run(job: Job) -> list[Cell]:
    """Simulate the job's stand and ask every way after each of its days."""
    rng = job.rng()
    natures = draw(job.kind, job.clocks, rng, scale=job.scale)
    watch = Watch(days=max(job.days) + AHEAD, blunders=job.blunders, thermometer=job.thermometer)
    stand = watched(natures, watch, rng)
    clean = watched_clean(stand, rng)
    facts = facts_of(stand)
    cells = []
    for days in job.days:
        keeping = [e.time for e in estimates_of([f.history(days) for f in facts], learned=job.learned)]
        cells.append(_cell(job, stand, clean[:, days + AHEAD], keeping, days))
    return cells


def watched_clean(stand: Watched, rng: np.random.Generator) -> Floats:
    """What sound readings would have shown each morning: what a forecast is held against."""
    noise = stand.natures.reading_s[:, None] * rng.standard_normal(stand.errors.shape)
    return np.asarray(np.where(stand.wrong, stand.errors + noise, stand.readings))


def ends(answers: list[Answer]) -> tuple[Floats, Floats, int]:
    """Low and high of each answer, and how many were not yet known (their interval holds nothing)."""
    low = np.array([a.low if isinstance(a, Quantity) else np.nan for a in answers])
    high = np.array([a.high if isinstance(a, Quantity) else np.nan for a in answers])
    return low, high, int(np.isnan(low).sum())


def scored(intervals: list[Interval], came: Floats) -> Floats:
    """The interval score of the first clocks, as many as there are intervals."""
    low, high = np.array(intervals).reshape(-1, 2).T
    return interval_score(low, high, came[: len(intervals)])


def _cell(job: Job, stand: Watched, came: Floats, keeping: list[Timekeeping], days: int) -> Cell:
    here = np.array(["20" not in k.rate_named for k in keeping])
    truth = np.where(here, stand.mean_rate(days, here=True), stand.mean_rate(days, here=False))
    low, high, unknown = ends([k.rate for k in keeping])
    later = stand.at_d[:, days + AHEAD]
    down, up, blind = ends([k.reading_at(when(at)) for k, at in zip(keeping, later, strict=True)])
    middle, sd = Oracle(stand).ahead(days, AHEAD)
    at, read = stand.at_d[:, : days + 1], stand.readings[:, : days + 1]
    few, fewer = min(job.straight, job.clocks), min(job.trend, job.clocks)
    ways = {OLS: least_squares, THEIL_SEN: theil_sen, THEIL_SEN_READING: theil_sen_reading}
    straight = {name: scored([way(at[c], read[c], later[c]) for c in range(few)], came) for name, way in ways.items()}
    slopes = np.array([least_squares_rate(at[c], read[c]) for c in range(few)]).reshape(-1, 2)
    trend = scored([local_trend(read[c], AHEAD) for c in range(fewer)], came)
    return Cell(
        job=job,
        days=days,
        rate_held=(low <= truth) & (truth <= high),
        ahead_held=(down <= came) & (came <= up),
        rate_side=np.where(truth < low, -1.0, np.where(truth > high, 1.0, 0.0)),
        ahead_side=np.where(came < down, -1.0, np.where(came > up, 1.0, 0.0)),
        unknown=unknown + blind,
        misled=stand.wrong[:, days] & stand.wrong[:, days - 1],
        score=np.nan_to_num(interval_score(down, up, came), nan=1e9),
        oracle=interval_score(middle - 1.959964 * sd, middle + 1.959964 * sd, came),
        straight=straight,
        straight_rate_held=(slopes[:, 0] <= truth[:few]) & (truth[:few] <= slopes[:, 1]),
        trend=trend,
    )
