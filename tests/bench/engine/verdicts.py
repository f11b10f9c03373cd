"""What the judge says of clocks whose true rate is known: met where it should not be, missed likewise, and how soon."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import time
from itertools import product

import numpy as np

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.going import going_of
from standwatch.horology.rounds import Rounds
from standwatch.judge.case import Case
from standwatch.judge.rate import mean_rate
from standwatch.model.words import KindName, Outcome
from tests.bench.engine.cells import BLUNDERS, KINDS
from tests.simulated.facts import facts_of
from tests.simulated.nature import Natures, draw
from tests.simulated.physics import Bools
from tests.simulated.stand import Watch, Watched, watched
from tests.stories import ZONE

OUTSIDE, INSIDE = 1.3, 0.5
"""True mean rates, in limits, at which nothing may be met, and nothing missed."""
FIRST_DAY, LAST_DAY = 4, 28
SOON = {True: 5, False: 8}
"""By the reading of which day a clock inside is to be met: weights, springs (the second after one whole wind)."""
EVERY_DAY = Rounds(ZONE, time(8), frozenset(range(7)))


@dataclass(frozen=True)
class Job:
    """Clocks of one kind at `share` of their limit, judged each morning."""

    seed: int
    kind: KindName
    share: float
    blunders: float
    clocks: int


@dataclass(frozen=True)
class Judged:
    """What came of a job: clocks ever called wrongly, and by when each was met (99: never)."""

    job: Job
    wrong: int
    met_on: tuple[int, ...]

    @property
    def soon(self) -> int:
        """How many were met as soon as they should be."""
        weights = draw(self.job.kind, 1, np.random.default_rng(0)).weights
        return sum(day <= SOON[weights] for day in self.met_on)


def jobs(seed: int, clocks: int) -> list[Job]:
    """Every kind, outside and inside its limit, without and with blunders; temperature logged for every other clock."""
    return [
        Job(seed, kind, share, blunders, clocks)
        for kind, share, blunders in product(KINDS, (OUTSIDE, INSIDE), BLUNDERS)
    ]


def at_share(natures: Natures, share: float, rng: np.random.Generator) -> Natures:
    """The clocks with a rate of `share` limits, gaining or losing, with what winding costs counted in or not.

    Of the two mean rates, with and without the winding, the one nearer to the limit from its own side has the share.
    """
    sign = np.where(rng.random(natures.clocks) < 0.5, -1.0, 1.0)
    cost = sign * natures.loss_s / natures.wound_every_d
    room = np.maximum(0, -cost) if share > 1 else -np.maximum(0, cost)
    return replace(natures, rate=sign * (share * natures.limit + room))


def run(job: Job) -> Judged:
    """Judge each clock on every morning from its fifth reading to the 28th day."""
    place = list(KindName).index(job.kind)
    rng = np.random.default_rng([job.seed, 77, place, round(10 * job.share), round(100 * job.blunders)])
    wrong, met_on = 0, []
    for thermometer in (True, False):
        natures = at_share(draw(job.kind, job.clocks // 2, rng), job.share, rng)
        stand = watched(natures, Watch(days=LAST_DAY, blunders=job.blunders, thermometer=thermometer), rng)
        outcome = _outcomes(stand)
        truly = np.stack([_within(stand, day) for day in range(FIRST_DAY, LAST_DAY + 1)], axis=1)
        met, missed = outcome == Outcome.MET, outcome == Outcome.MISSED
        # a clock that has wandered over its limit by then is called rightly
        bad = (met & ~truly) if job.share > 1 else (missed & truly)
        wrong += int(bad.any(axis=1).sum())
        met_on += [int(FIRST_DAY + np.argmax(row)) if row.any() else 99 for row in met]
    return Judged(job, wrong, tuple(met_on))


def _within(stand: Watched, day: int) -> Bools:
    """Whether the mean rate is truly within the limit, at 20 deg C as well as at the present temperature, or one."""
    limit = stand.natures.limit
    both = [np.abs(stand.mean_rate(day, here=here)) <= limit for here in (True, False)]
    return np.asarray(both[0] if not stand.watch.thermometer else both[1])


def _outcomes(stand: Watched) -> np.ndarray:
    """The judge's outcome of `mean-rate`, clocks x days."""
    facts = facts_of(stand)
    days = []
    for day in range(FIRST_DAY, LAST_DAY + 1):
        told = estimates_of([f.history(day) for f in facts])
        days.append([mean_rate(Case(e, going_of(e.history), EVERY_DAY)).outcome for e in told])
    return np.array(days, dtype=object).T
