"""Clocks and readings that are not as the engine assumes: how true its doubt is there. There are no goals for these."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from standwatch.estimate.estimates import estimates_of
from standwatch.model.answers import Quantity
from standwatch.model.words import KindName
from tests.bench.engine.cells import AHEAD, DAYS, ends, watched_clean
from tests.simulated.facts import facts_of, when
from tests.simulated.nature import Natures, draw
from tests.simulated.stand import Watch, watched

Draw = Callable[[int, np.random.Generator], Natures]
LAST_D, MISREAD_S = 14, 60.0


def _restless(times: float) -> Draw:
    def drawn(clocks: int, rng: np.random.Generator) -> Natures:
        natures = draw(KindName.LONGCASE, clocks, rng)
        return replace(natures, q1_s=times * natures.q1_s, q2_s=times * natures.q2_s)

    return drawn


def _plain(clocks: int, rng: np.random.Generator) -> Natures:
    return draw(KindName.CARRIAGE, clocks, rng, balance="plain")


def _unnamed(clocks: int, rng: np.random.Generator) -> Natures:
    return replace(_plain(clocks, rng), balance=None)


CASES: dict[str, tuple[Draw, Watch]] = {
    "longcases that wander 3 x as much as their kind": (_restless(3), Watch()),
    "longcases that wander 8 x as much as their kind": (_restless(8), Watch()),
    "15 % blunders, longcase": (_restless(1), Watch(blunders=0.15)),
    "plain balances, named, temperature logged each morning": (_plain, Watch()),
    "plain balances, named, not logged": (_plain, Watch(thermometer=False)),
    "plain balances, not named, temperature logged each morning": (_unnamed, Watch()),
    "plain balances, not named, not logged": (_unnamed, Watch(thermometer=False)),
}


@dataclass(frozen=True)
class Job:
    """One of `CASES`, with so many clocks."""

    seed: int
    what: str
    clocks: int


@dataclass(frozen=True)
class Held:
    """The shares of clocks whose interval held the mean rate, and a sound reading a week ahead, after each of DAYS."""

    what: str
    rate: tuple[float, ...]
    ahead: tuple[float, ...]


def run(job: Job) -> Held:
    """Simulate and ask."""
    drawn, watch = CASES[job.what]
    rng = np.random.default_rng([job.seed, 44, list(CASES).index(job.what)])
    stand = watched(drawn(job.clocks, rng), watch, rng)
    clean, facts = watched_clean(stand, rng), facts_of(stand)
    rate, ahead = [], []
    for days in DAYS:
        times = [told.time for told in estimates_of([fact.history(days) for fact in facts])]
        here = np.array(["20" not in time.rate_named for time in times])
        truth = np.where(here, stand.mean_rate(days, here=True), stand.mean_rate(days, here=False))
        low, high, _ = ends([time.rate for time in times])
        rate.append(float(np.mean((low <= truth) & (truth <= high))))
        later = [when(at) for at in stand.at_d[:, days + AHEAD]]
        low, high, _ = ends([time.reading_at(at) for time, at in zip(times, later, strict=True)])
        came = clean[:, days + AHEAD]
        ahead.append(float(np.mean((low <= came) & (came <= high))))
    return Held(job.what, tuple(rate), tuple(ahead))


@dataclass(frozen=True)
class Misled:
    """Of clocks whose last `blunders` readings are off by the same minute, the share that is believed to be off by it.

    Asked at once, and after one and two clean readings more; then the share for which hands set are called.
    """

    blunders: int
    off: tuple[float, ...]
    called: float


def misled(job: tuple[int, int, int]) -> Misled:
    """`job`: seed, blunders, clocks."""
    seed, blunders, clocks = job
    rng = np.random.default_rng([seed, 45, blunders])
    stand = watched(draw(KindName.LONGCASE, clocks, rng), Watch(days=LAST_D + 2), rng)
    last = slice(LAST_D + 1 - blunders, LAST_D + 1)
    readings, wrong = stand.readings.copy(), stand.wrong.copy()
    readings[:, last] += MISREAD_S
    wrong[:, last] = True
    stand = replace(stand, readings=readings, wrong=wrong)
    facts = facts_of(stand)
    off, called = [], 0.0
    for day in (LAST_D, LAST_D + 1, LAST_D + 2):
        times = [told.time for told in estimates_of([fact.history(day) for fact in facts])]
        told = [time.error_at(when(at)) for time, at in zip(times, stand.at_d[:, day], strict=True)]
        middle = np.array([each.estimate if isinstance(each, Quantity) else np.nan for each in told])
        off.append(float(np.mean(np.abs(middle - stand.errors[:, day]) > MISREAD_S / 2)))
        called = float(np.mean([bool(time.suspected_work) for time in times]))
    return Misled(blunders, tuple(off), called)
