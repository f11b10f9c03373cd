"""What the lines of one seed's run need."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Executor
from dataclasses import dataclass, field
from typing import TypeVar

from tests.bench.engine.bounds import Bound

J = TypeVar("J")
R = TypeVar("R")


@dataclass(frozen=True)
class Sizes:
    """How many clocks: a kind (falls), springs, with a fault, healthy ones; stops and clusters; follow-ups."""

    clocks: int
    springs: int
    faults: int
    healthy: int
    stops: int
    clusters: int
    home: int


FULL = Sizes(clocks=1000, springs=1000, faults=1000, healthy=2000, stops=1000, clusters=12000, home=1000)
QUICK = Sizes(clocks=60, springs=150, faults=100, healthy=120, stops=100, clusters=600, home=300)


@dataclass
class Run:
    """One seed's run. `over` asks on the pool; `kept` holds what several lines share."""

    seed: int
    sizes: Sizes
    bound: Bound
    pool: Executor
    kept: dict[str, object] = field(default_factory=dict)

    def over(self, ask: Callable[[J], R], jobs: Iterable[J]) -> list[R]:
        """`ask` of each job, on the pool, in the jobs' order."""
        return list(self.pool.map(ask, jobs))
