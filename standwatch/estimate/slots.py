"""In which slot a clock hung when, and so which bumps of which rails concern it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from standwatch.model.facts import CheckIn, Clock
from standwatch.model.words import Work

_EVER = datetime.min.replace(tzinfo=UTC)


def rail_of(position: str) -> str:
    """The rail of a slot: its letters. Empty where there is no slot."""
    return "".join(c for c in position if c.isalpha())


def slots_of(clock: Clock, rows: Sequence[CheckIn]) -> list[tuple[datetime, str]]:
    """Since when it hung in which slot, in order, by its `moved` rows on the stand; in the first for ever before."""
    moves = [(row.at, row.note) for row in rows if row.work is Work.MOVED and row.note]
    return [(_EVER, clock.position or ""), *moves]


def bumps_of(
    rows: Sequence[CheckIn],
    slots: Sequence[tuple[datetime, str]],
    rail_bumps: Sequence[tuple[str, datetime]],
    now: datetime,
) -> tuple[datetime, ...]:
    """When the clock with these rows was bumped itself, or the rail on which it hung then, up to `now`, in order."""
    bumps = {row.at for row in rows if row.work is Work.BUMPED}
    rails = [(since, rail_of(slot)) for since, slot in slots]
    for rail, at in rail_bumps:
        hung_on = next(name for since, name in reversed(rails) if since <= at)
        if rail and rail == hung_on and at <= now:
            bumps.add(at)
    return tuple(sorted(bumps))
