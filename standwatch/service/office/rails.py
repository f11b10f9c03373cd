"""Who hangs beside whom: clocks of one rail whose pendulums are near enough alike to pass swing to each other.

A clock in its own case hangs at no rail, until a slot is told again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime

from standwatch.estimate.history import at_owner, rail_of
from standwatch.horology.kinds import traits_of
from standwatch.horology.pendulum import exchange_hours
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.text import natural
from standwatch.model.units import DAY_S
from standwatch.model.words import Work
from standwatch.service.office.shelf import ClockFacts

Mates = tuple[ClockFacts, ...]
"""The facts of the clocks that hang alike beside one on its rail."""
ALIKE_S_PER_DAY = 60.0
"""Pendulums whose trains are made for rates so near are alike: regulating may bring them within reach (common
practice)."""
_EXAMPLE_S_PER_DAY = 10.0
_NAMED = 3


def swings_at(clock: Clock) -> float | None:
    """Beats an hour of a clock's pendulum; None where no pendulum swings that could pull at another."""
    traits = traits_of(clock)
    return traits.beats_per_hour if traits.oscillator == "pendulum" and not traits.reference else None


def alike(beats: float, other: float) -> bool:
    """Whether two pendulums, by their beats an hour, may pass swing to each other."""
    return DAY_S * abs(beats / other - 1) <= ALIKE_S_PER_DAY


def warning_of(clock: Clock, slot: str, others: Iterable[tuple[Clock, str]]) -> str:
    """A sentence for whoever places `clock` in `slot` among `others` and their slots; empty where nothing is near."""
    beats, rail = swings_at(clock), rail_of(slot)
    if beats is None or not rail:
        return ""
    near = [
        (other.tag, at)
        for other, at in sorted(others, key=lambda pair: natural(pair[1]))
        if other.tag != clock.tag
        and rail_of(at) == rail
        and (swings := swings_at(other)) is not None
        and alike(beats, swings)
    ]
    if not near:
        return ""
    told = [f"{tag} in {at}" for tag, at in near]
    if len(told) > _NAMED:
        told[_NAMED - 1 :] = [f"{len(told) - _NAMED + 1} more"]
    names = told[0] if len(told) == 1 else f"{', '.join(told[:-1])} and {told[-1]}"
    hours = exchange_hours(beats, _EXAMPLE_S_PER_DAY)
    apart = f"{_EXAMPLE_S_PER_DAY:g} s/day apart, say, every {hours:.1f} h"
    return (
        f"{names} {'swings' if len(near) == 1 else 'swing'} alike on this rail: they may pass swing to and fro "
        f"({apart}), and within 2 s/day it looks like drift; isolate before judging"
    )


def _went(facts: ClockFacts) -> tuple[tuple[datetime, str], ...]:
    """The slots it was moved to, each from when; an empty one from when it hangs in its own case."""
    rows = [record.body for record in facts.check_ins]
    went = [(r.at, "" if r.work is Work.CASED else r.note or "") for r in rows if r.work is Work.CASED or _moved(r)]
    return tuple(sorted(went, key=lambda each: each[0]))


def _moved(row: CheckIn) -> bool:
    return row.work is Work.MOVED and bool(row.note)


def in_case(facts: ClockFacts, now: datetime) -> bool:
    """Whether a clock hangs in its own case at `now`, and no slot was told since: it has no neighbours on a rail."""
    went = [slot for at, slot in _went(facts) if at <= now]
    return bool(went) and not went[-1]


_Hung = list[tuple[str, float, str]]
"""Tag, beats an hour and slot of each clock that hangs at a rail and whose pendulum swings."""


class Rails:
    """The nearest clock alike on either side of each, by where they hang."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[ClockFacts, float | None, tuple[tuple[datetime, str], ...]]] = {}
        self._hung: _Hung = []
        self._beside: dict[str, tuple[str, ...]] = {}

    def mates(self, clocks: Mapping[str, ClockFacts], now: datetime) -> dict[str, Mates]:
        """Of each of `clocks` by tag that has any, the nearest clock alike to the left and to the right on its rail."""
        hung: _Hung = []
        for tag, facts in clocks.items():
            if at_owner(now, facts.steps(now)):
                continue
            beats, slot = self._swing_and_slot(tag, facts, now)
            if beats is not None and rail_of(slot):
                hung.append((tag, beats, slot))
        if hung != self._hung:
            self._hung, self._beside = hung, _beside(hung)
        return {tag: tuple(clocks[other] for other in beside) for tag, beside in self._beside.items()}

    def _swing_and_slot(self, tag: str, facts: ClockFacts, now: datetime) -> tuple[float | None, str]:
        kept = self._kept.get(tag)
        if kept is None or kept[0] is not facts:
            kept = self._kept[tag] = (facts, swings_at(facts.clock.body), _went(facts))
        went = [slot for at, slot in kept[2] if at <= now]
        return kept[1], went[-1] if went else facts.clock.body.position or ""


def _beside(clocks: _Hung) -> dict[str, tuple[str, ...]]:
    """Of each tag that has any, the tags of the nearest alike to the left and to the right on its rail."""
    rails: dict[str, list[tuple[float, str, str]]] = defaultdict(list)
    for tag, beats, slot in clocks:
        rails[rail_of(slot)].append((beats, slot, tag))
    found: dict[str, tuple[str, ...]] = {}
    for hung in rails.values():
        hung.sort(key=lambda each: natural(each[1]))
        for n, (beats, _, tag) in enumerate(hung):
            left = next((other for b, _, other in reversed(hung[:n]) if alike(beats, b)), None)
            right = next((other for b, _, other in hung[n + 1 :] if alike(beats, b)), None)
            beside = tuple(other for other in (left, right) if other is not None)
            if beside:
                found[tag] = beside
    return found
