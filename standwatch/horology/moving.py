"""Which clocks change alike on the way from the stand to their owner's: what one kind shows, the others teach."""

from __future__ import annotations

from typing import Literal

from standwatch.horology.kinds import KINDS
from standwatch.model.words import KindName

Manner = Literal["regulator", "pendulum", "balance"]


def manner_of(kind: KindName) -> Manner:
    """Regulators, other pendulums (torsion too), balances (common practice)."""
    if kind is KindName.REGULATOR:
        return "regulator"
    return "balance" if KINDS[kind].oscillator == "balance" else "pendulum"


def moving_alike(kind: KindName) -> frozenset[KindName]:
    """The kinds of its manner."""
    return frozenset(other for other in KINDS if manner_of(other) == manner_of(kind))
