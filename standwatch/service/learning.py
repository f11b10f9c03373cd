"""What the shop's own clocks have taught, worked out anew once a week, or when a fact it rests on changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from standwatch.estimate.history import History
from standwatch.estimate.learned import DEFAULTS, Learned
from standwatch.service.shelf import ClockFacts

MOST_TEACHERS = 80
"""So many clocks of a kind are asked, those read last: twice as many as may teach, since not each of them tells."""
Learn = Callable[[Sequence[History]], Learned]
"""What clocks with these Histories teach."""
HistoryOf = Callable[[ClockFacts, datetime], History]
"""A clock's History as of a time."""

_Part = tuple[str, ...]
"""The ids of one clock's facts up to a Monday; empty where nothing was recorded of it by then."""


def last_monday(now: datetime, zone: ZoneInfo) -> datetime:
    """The last Monday 00:00 of `zone` at or before `now`, in UTC."""
    today = now.astimezone(zone).date()
    return datetime.combine(today - timedelta(days=today.weekday()), time(), tzinfo=zone).astimezone(UTC)


@dataclass(frozen=True)
class _Basis:
    """What was learned from: the facts of each clock up to `until`, read in the civil time of `zone`."""

    until: datetime
    zone: ZoneInfo
    parts: dict[str, _Part]


class Learning:
    """What was learned, kept as long as the facts up to the last Monday are the same.

    So a reading of today moves its own clock's answers and no other's.
    """

    def __init__(self, learn: Learn) -> None:
        self._learn = learn
        self._basis: _Basis | None = None
        self._learned = DEFAULTS
        self._parts: dict[str, tuple[ClockFacts, datetime, _Part]] = {}

    def learned(
        self, clocks: Mapping[str, ClockFacts], now: datetime, zone: ZoneInfo, history_of: HistoryOf
    ) -> Learned:
        """What `clocks`, those asked by tag, had taught by the last Monday."""
        until = last_monday(now, zone)
        # by tag, so that a book brought in from a ledger learns the same to the last bit
        parts = {tag: part for tag, facts in sorted(clocks.items()) if (part := self._part(tag, facts, until))}
        basis = _Basis(until, zone, parts)
        if basis != self._basis:
            self._learned = self._learn([history_of(clocks[tag], until) for tag in parts]) if parts else DEFAULTS
            self._basis = basis
        return self._learned

    def _part(self, tag: str, facts: ClockFacts, until: datetime) -> _Part:
        kept = self._parts.get(tag)
        if kept is not None and kept[0] is facts and kept[1] == until:
            return kept[2]
        read = [record.id for record in facts.check_ins if record.body.at <= until]
        steps = [record.id for record in facts.handovers if record.body.at <= until]
        part = (facts.clock.id, *read, *steps) if read else ()
        self._parts[tag] = (facts, until, part)
        return part
