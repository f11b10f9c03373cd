"""The stand by place: what hangs on each rail, how warm it is there, and who swings alike beside whom."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby, pairwise
from zoneinfo import ZoneInfo

from standwatch.estimate.history import rail_of
from standwatch.judge.assessment import Assessment
from standwatch.model.answers import Quantity
from standwatch.model.text import natural
from standwatch.model.words import Work
from standwatch.service.office.rails import alike, swings_at

_NEAR_S_PER_DAY = 2.0
"""Rates so near look like drift where two pendulums pull at each other (common practice)."""
_WARMTH_LASTS = timedelta(days=1.5)


@dataclass(frozen=True, slots=True)
class Pair:
    """Two clocks next to each other on a rail whose pendulums are alike, by their slots.

    `apart` is how far their rates are from each other in s/day; None where one is not known.
    """

    left: str
    right: str
    apart: float | None

    @property
    def near(self) -> bool:
        """So near that coupling looks like drift."""
        return self.apart is not None and self.apart < _NEAR_S_PER_DAY


@dataclass(frozen=True, slots=True)
class RailView:
    """One rail: its clocks from left to right, its temperature where told within a day and a half, its pairs."""

    name: str
    clocks: tuple[Assessment, ...]
    warmth_c: float | None
    told_at: datetime | None
    pairs: tuple[Pair, ...]


def by_place(assessments: Iterable[Assessment], now: datetime) -> tuple[RailView, ...]:
    """The rails of the stand in order; clocks without a slot come last, as a rail without a name."""
    hung = sorted(assessments, key=_place)
    return tuple(
        _rail(name, list(clocks), now)
        for name, clocks in groupby(hung, lambda a: rail_of(a.estimates.history.position))
    )


def _place(found: Assessment) -> tuple[bool, str, object, object]:
    slot = found.estimates.history.position
    return not rail_of(slot), rail_of(slot), natural(slot), natural(found.tag)


def _rail(name: str, clocks: list[Assessment], now: datetime) -> RailView:
    told = [
        (visit.at, visit.row.temperature_c)
        for found in clocks
        for visit in found.estimates.history.visits
        if visit.row.temperature_c is not None and now - visit.at <= _WARMTH_LASTS
    ]
    at, warmth = max(told, default=(None, None))
    pendulums = [
        (found, beats)
        for found in clocks
        if (beats := swings_at(found.estimates.history.clock)) is not None and not _in_case(found)
    ]
    pairs = [
        Pair(a.estimates.history.position, b.estimates.history.position, _apart(a, b))
        for (a, beats), (b, other) in pairwise(pendulums)
        if name and alike(beats, other)
    ]
    return RailView(name, tuple(clocks), warmth, at, tuple(pairs))


def _in_case(found: Assessment) -> bool:
    """It hangs in its own case, and no slot was told since."""
    went = [
        v.work for v in found.estimates.history.visits if v.work is Work.CASED or (v.work is Work.MOVED and v.row.note)
    ]
    return bool(went) and went[-1] is Work.CASED


def _apart(one: Assessment, other: Assessment) -> float | None:
    rates = [found.estimates.time.rate for found in (one, other)]
    known = [rate.estimate for rate in rates if isinstance(rate, Quantity)]
    return abs(known[0] - known[1]) if len(known) == len(rates) else None


def rail_words(rail: RailView, zone: ZoneInfo) -> str:
    """One line on a rail: its temperature, and the neighbours to isolate before they are judged."""
    if not rail.name:
        return "no slot"
    parts = [f"rail {rail.name}"]
    if rail.warmth_c is not None and rail.told_at is not None:
        parts.append(f"{rail.warmth_c:g} °C at {rail.told_at.astimezone(zone):%a %H:%M}")
    near = [
        f"{pair.left} and {pair.right} within {max(pair.apart or 0.0, 0.1):.1f} s/day"
        for pair in rail.pairs
        if pair.near
    ]
    if near:
        parts.append(f"{', '.join(near)}: isolate before judging")
    elif rail.pairs:
        parts.append(f"{', '.join(f'{pair.left} {pair.right}' for pair in rail.pairs)} swing alike")
    return "   ".join(parts)
