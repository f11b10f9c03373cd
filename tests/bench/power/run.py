"""How many clocks a run of weights, springs, blows and stops takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from tests.bench.run import AnyRun


@dataclass(frozen=True)
class Sizes:
    """How many clocks: a kind (falls), springs, with a fault, healthy ones; stops and clusters; follow-ups.

    `home_told` is of the follow-ups that go the program's own way, by whole histories.
    """

    clocks: int
    springs: int
    faults: int
    healthy: int
    stops: int
    clusters: int
    home: int
    home_told: int


FULL = Sizes(clocks=1000, springs=1000, faults=1000, healthy=2000, stops=1000, clusters=12000, home=1000, home_told=600)
QUICK = Sizes(clocks=60, springs=150, faults=100, healthy=120, stops=100, clusters=600, home=300, home_told=100)


Run: TypeAlias = AnyRun[Sizes]
