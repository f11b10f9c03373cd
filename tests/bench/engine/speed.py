"""How long it takes: a large stand from nothing, one clock against a general library, one reading more."""

from __future__ import annotations

import gc
import time
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.engine import Memory
from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.history import History
from standwatch.estimate.timekeeping import timekeepings_of
from tests.bench.engine.cells import KINDS
from tests.bench.engine.straight import local_trend
from tests.simulated.facts import ClockFacts, facts_of
from tests.simulated.nature import draw
from tests.simulated.stand import Watch, watched

_WEEK = timedelta(days=7)
_BEST_OF = 3


@dataclass(frozen=True)
class Speed:
    """Seconds: all clocks from nothing, whole and the rate engine alone; then of the engine alone, a clock from nothing
    by ours and by the library at both lengths, and one more reading.
    """

    clocks: int
    readings: int
    whole: float
    alone: float
    ours: dict[int, float]
    theirs: dict[int, float]
    further: dict[int, float]


def weigh(histories: list[History], memory: Memory | None = None, *, alone: bool = False) -> float:
    """Seconds for what the stand shows of all of `histories`, from nothing or from what `memory` keeps.

    With wind-down and swing, or the rate engine `alone`.
    """
    gc.collect()
    start = time.perf_counter()
    if alone:
        keepings: list[Timekeeping] = list(timekeepings_of(histories, memory=memory))
    else:
        keepings = [told.time for told in estimates_of(histories, memory=memory)]
    for history, keeping in zip(histories, keepings, strict=True):
        at = history.now
        limit = history.traits.mean_rate_limit or 1.0
        _ = keeping.rate, keeping.error_at(at), keeping.reading_at(at + _WEEK), keeping.rate_within(limit)
    return time.perf_counter() - start


def run(seed: int, clocks: int = 300, readings: int = 400, few: int = 5) -> Speed:
    """Time it all; ours on the whole stand, theirs on `few` of its clocks."""
    rng = np.random.default_rng([seed, 33])
    facts: list[ClockFacts] = []
    for kind in KINDS:
        stand = watched(draw(kind, -(-clocks // len(KINDS)), rng), Watch(days=readings - 1, blunders=0.03), rng)
        facts += facts_of(stand)
    facts = facts[:clocks]
    spans = (28, readings)
    by_span = {n: [f.history(n - 1) for f in facts] for n in spans}
    weigh(by_span[28][:6])  # what is built once a process
    whole = min(weigh(by_span[readings]) for _ in range(_BEST_OF))
    alone = {n: min(weigh(by_span[n], alone=True) for _ in range(_BEST_OF)) for n in spans}
    theirs = {}
    chosen = facts[:: max(1, len(facts) // few)][:few]
    for n in spans:
        start = time.perf_counter()
        for fact in chosen:
            local_trend(fact.stand.readings[fact.number, :n], 7)
        theirs[n] = (time.perf_counter() - start) / len(chosen)
    return Speed(
        clocks=len(facts),
        readings=readings,
        whole=whole,
        alone=alone[readings],
        ours={n: alone[n] / len(facts) for n in spans},
        theirs=theirs,
        further={n: _further(chosen, n) for n in spans},
    )


def _further(chosen: list[ClockFacts], readings: int) -> float:
    """Seconds for one more reading behind `readings - 1`, with its intervals, the clock's last posterior being kept.

    The median over the chosen clocks of the best of some tries.
    """
    times = []
    for fact in chosen:
        before, after = fact.history(readings - 2), fact.history(readings - 1)
        tries = []
        for _ in range(_BEST_OF):
            memory = Memory()
            weigh([before], memory, alone=True)
            tries.append(weigh([after], memory, alone=True))
        times.append(min(tries))
    return float(np.median(times))
