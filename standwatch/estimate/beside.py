"""Who hangs beside a clock, near enough alike to pass swing to it, and how far apart the two go."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.history import History
from standwatch.horology.pendulum import exchange_hours
from standwatch.model.answers import Answer, NotYetKnown, Quantity

NEAR_S_PER_DAY = 2.0
"""Nearer than this what one takes from the other looks like drift (common practice)."""


@dataclass(frozen=True, slots=True)
class Beside:
    """One neighbour: its tag and slot, by how many s/day this clock gains on it, and in how many hours they exchange.

    `hours` goes by the rates as they are; not known where they are not, or are too near to tell which is faster.
    """

    tag: str
    slot: str
    apart_s_per_day: Answer
    hours: Answer

    @property
    def near(self) -> bool:
        """Whether the two keep together within two s/day, as far as can be told."""
        return isinstance(self.apart_s_per_day, Quantity) and abs(self.apart_s_per_day.estimate) < NEAR_S_PER_DAY


def beside_of(
    history: History, time: Timekeeping, neighbours: Iterable[tuple[History, Timekeeping]]
) -> tuple[Beside, ...]:
    """What is known of each of `neighbours`, whose pendulums are made for the same beat."""
    return tuple(_beside(history, time, *each) for each in neighbours)


def _beside(history: History, time: Timekeeping, other: History, theirs: Timekeeping) -> Beside:
    tag, slot = other.clock.tag, other.position
    ours, its = time.rate, theirs.rate
    if isinstance(ours, NotYetKnown) or isinstance(its, NotYetKnown):
        unknown = NotYetKnown("the rates of both are not known yet")
        return Beside(tag, slot, unknown, unknown)
    apart, doubt = ours.estimate - its.estimate, hypot(ours.doubt, its.doubt)
    told = Quantity(apart, apart - doubt, apart + doubt)
    if abs(apart) <= doubt:
        return Beside(tag, slot, told, NotYetKnown("they go too nearly alike to tell which is faster"))
    near, far = sorted((abs(told.low), abs(told.high)))
    beats = history.traits.beats_per_hour
    hours = Quantity(exchange_hours(beats, apart), exchange_hours(beats, far), exchange_hours(beats, near))
    return Beside(tag, slot, told, hours)
