"""What the lines of one seed's run need, and what they share."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import Executor
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from tests.bench.engine.bounds import Bound

S = TypeVar("S")
J = TypeVar("J")
R = TypeVar("R")


@dataclass
class AnyRun(Generic[S]):
    """One seed's run, of so many clocks as its bench's own sizes say. `kept` holds what is simulated once."""

    seed: int
    sizes: S
    bound: Bound
    pool: Executor
    kept: dict[str, object] = field(default_factory=dict)

    def over(self, ask: Callable[[J], R], jobs: Iterable[J]) -> list[R]:
        """`ask` of each job, on the pool, in the jobs' order."""
        return list(self.pool.map(ask, jobs))
