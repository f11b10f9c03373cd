"""How long it takes to weigh every clock's readings from nothing, against a general library on the same readings.

    python -m tests.bench.assess_all [--clocks 300] [--readings 400]

Prints ms per clock for filter, smoother, suspects, rate and the error now; the same with one further reading; the
statsmodels fit of UnobservedComponents('lltrend') on a few of the clocks; and the ratios. The seed is printed.
"""

from __future__ import annotations

import argparse
import gc
import time
import warnings
from collections.abc import Callable, Sequence
from datetime import timedelta

import numpy as np
from statsmodels.tsa.statespace.structural import UnobservedComponents

from standwatch.estimate.history import History, history_of
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.horology.kinds import KINDS
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record, build
from standwatch.model.words import KindName
from tests.stories import ZONE, at

SEED = 3
FEW = 3
_KINDS = (KindName.LONGCASE, KindName.MANTEL, KindName.REGULATOR, KindName.CUCKOO, KindName.CARRIAGE, KindName.BRACKET)


def made(kind: KindName, readings: int, blunders: float, rng: np.random.Generator) -> History:
    """A clock of `kind` that is read once a day; of its readings the share `blunders` is wrong by minutes."""
    noise = KINDS[kind]
    rate = rng.normal(0, (noise.mean_rate_limit or 1) / 2)
    rates = rate + np.cumsum(rng.normal(0, noise.q2_s, readings)) + rng.normal(0, noise.q1_s, readings)
    errors = np.cumsum(rates) + rng.normal(0, 0.5 if kind in {KindName.LONGCASE, KindName.REGULATOR} else 5, readings)
    errors += np.where(rng.random(readings) < blunders, rng.choice([-120, -60, 60, 120], readings), 0)
    start = at("01-05 08:00")
    records = []
    for day, error in enumerate(np.clip(errors, -21600, 21600)):
        when = start + timedelta(days=day)
        row = build(CheckIn, {"at": when, "tag": "T1", "error_s": float(error)})
        records.append(Record(str(day), row, day, day, None, when))
    return history_of(build(Clock, {"tag": "T1", "kind": kind}), records, now=records[-1].body.at, zone=ZONE)


def weigh(histories: Sequence[History]) -> float:
    """Seconds that it takes to tell the rate and the error now of all of `histories`."""
    gc.collect()
    gc.freeze()  # what the reference library holds is no part of the program, and the collector would walk it
    start = time.perf_counter()
    for history in histories:
        keeping = timekeeping_of(history)
        _ = keeping.rate, keeping.error_at(history.now), keeping.suspects
    return time.perf_counter() - start


def fitted(history: History) -> Callable[[], object]:
    """A local linear trend fitted by statsmodels on the same readings."""
    values = np.array([visit.error_s for visit in history.readings])
    return lambda: UnobservedComponents(values, "lltrend").fit(disp=0)


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description="Time the weighing of all clocks.")
    parser.add_argument("--clocks", type=int, default=300)
    parser.add_argument("--readings", type=int, default=400)
    given = parser.parse_args()
    print(f"seed {SEED}; {given.clocks} clocks x {given.readings} readings")
    for title, blunders in (("all readings sound", 0.0), ("3 % of readings wrong", 0.03)):
        rng = np.random.default_rng(SEED)
        clocks = [made(_KINDS[n % len(_KINDS)], given.readings, blunders, rng) for n in range(given.clocks)]
        total = weigh(clocks)
        each = total / len(clocks)
        print(f"{title}: all from nothing {total:.2f} s, {1e3 * each:.2f} ms a clock", end="")
        print(f", {1e6 * each / given.readings:.1f} us a reading; one clock again {1e3 * weigh(clocks[:1]):.2f} ms")
        start = time.perf_counter()
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a fit that does not converge takes its time all the same
            for history in clocks[:FEW]:
                fitted(history)()
        theirs = (time.perf_counter() - start) / FEW
        print(f"  statsmodels lltrend {1e3 * theirs:.0f} ms a clock: {theirs / each:.0f} times as long")


if __name__ == "__main__":
    main()
