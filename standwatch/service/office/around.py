"""What every assessment of the stand rests on, beside the clock's own facts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from standwatch.estimate.together import NOTHING_SHARED, Common
from standwatch.service.office.rails import Mates
from standwatch.service.office.shelf import ClockFacts, Log
from standwatch.service.shop import Shop

Bumps = tuple[tuple[str, datetime], ...]
"""Rail and time of each bump of the stand."""


@dataclass(frozen=True, slots=True)
class Around:
    """The shop, the rails' bumps, the thermometer, what all share, and of each clock by tag who hangs alike beside."""

    shop: Shop
    bumps: Bumps
    temperatures: Log
    common: Common = NOTHING_SHARED
    mates: Mapping[str, Mates] = field(default_factory=dict)

    def of_clock(self, tag: str, rails: frozenset[str]) -> Around:
        """The same for one clock that has hung on `rails`: others' bumps and mates are no matter there."""
        bumps = tuple(bump for bump in self.bumps if bump[0] and bump[0] in rails)
        return replace(self, bumps=bumps, mates={tag: self.mates.get(tag, ())})


def time_of(
    here: Mapping[str, ClockFacts], asked: Mapping[str, ClockFacts], now: datetime
) -> tuple[datetime, datetime | None]:
    """From when until when it matters what all shared: since the oldest clock of the stand and of those `asked` came.

    Where only clocks long gone are asked for, it is their own time; else it goes on (None).
    """
    gone = bool(asked) and not asked.keys() & here.keys()
    spans = [span for facts in (asked if gone else {**here, **asked}).values() for span in facts.span]
    begun = min((first for first, _ in spans), default=now)
    return begun, min(now, max((last for _, last in spans), default=now)) if gone else None
