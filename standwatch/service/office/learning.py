"""What the shop's own clocks have taught, worked out anew once a week, or when a fact it rests on changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

from standwatch.estimate.history import History
from standwatch.estimate.learned import DEFAULTS, Learned
from standwatch.service.office.lessons import Lessons, key_of

MOST_TEACHERS = 80
"""So many clocks of a kind are asked, those read last: twice as many as may teach, since not each of them tells."""
Learn = Callable[[Sequence[History]], Learned]
"""What clocks with these Histories teach."""


def last_monday(now: datetime, zone: ZoneInfo) -> datetime:
    """The last Monday 00:00 of `zone` at or before `now`, in UTC."""
    today = now.astimezone(zone).date()
    return datetime.combine(today - timedelta(days=today.weekday()), time(), tzinfo=zone).astimezone(UTC)


@dataclass(frozen=True)
class Basis:
    """What was learned from: the ids of each clock's facts up to `until`, read in the civil time of `zone`."""

    until: datetime
    zone: ZoneInfo
    parts: Mapping[str, tuple[str, ...]]


class Learning:
    """What was learned, kept as long as the facts up to the last Monday are the same.

    So a reading of today moves its own clock's answers and no other's. `lessons` keeps it beyond this process.
    """

    def __init__(self, learn: Learn, lessons: Lessons | None = None) -> None:
        self._learn = learn
        self._lessons = lessons
        self._basis: Basis | None = None
        self._learned = DEFAULTS

    def learned(
        self, basis: Basis, around: Callable[[], object], histories: Callable[[], Sequence[History]]
    ) -> Learned:
        """What the clocks of `basis` had taught by the last Monday.

        Only where that is not known are `around`, what was told of the room and the rails by then, and the `histories`
        of the clocks asked for; those in order of tag, so that a book brought in from a ledger learns the same to the
        last bit.
        """
        if basis != self._basis:
            self._learned = self._anew(basis, around, histories) if basis.parts else DEFAULTS
            self._basis = basis
        return self._learned

    def _anew(self, basis: Basis, around: Callable[[], object], histories: Callable[[], Sequence[History]]) -> Learned:
        if self._lessons is None:
            return self._learn(histories())
        key = key_of(basis.until, basis.zone.key, basis.parts, around())
        known = self._lessons.recall(key)
        if known is None:
            known = self._learn(histories())
            self._lessons.keep(key, known)
        return known
