"""The shop's days: which are open, and when the round begins on them, through both clock changes."""

from __future__ import annotations

import sys
from collections.abc import Container, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from itertools import pairwise
from pathlib import Path
from types import ModuleType
from zoneinfo import ZoneInfo

from standwatch.model.errors import BadValue

_SHORT_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_LONG_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_DAY_NAMES = {name.lower(): day for names in (_SHORT_NAMES, _LONG_NAMES) for day, name in enumerate(names)}
_DAYS_MEND = "give days such as Mon-Fri, Mon-Sat or Mon,Wed,Fri"
_LONGEST_CLOSED = 3660
"""Days without one open day after which a calendar is taken to be wrong."""


@dataclass(frozen=True, slots=True)
class Rounds:
    """One round at `at`, civil time in `zone`, on each of `open_days` (Monday = 0) that is no holiday.

    Where the clocks go forward over `at`, that day's round is as long after midnight as on any other day; where they
    go back over it, it is the first of the two. Raises BadValue where no weekday is open.
    """

    zone: ZoneInfo
    at: time
    open_days: frozenset[int]
    holidays: Container[date] = field(default=frozenset(), hash=False)

    def __post_init__(self) -> None:
        """Refuse a shop that never opens: it has no next round."""
        if not self.open_days or not self.open_days <= frozenset(range(7)):
            raise BadValue(f"no day of the week is open; {_DAYS_MEND}")

    def is_open(self, day: date) -> bool:
        """Whether a round is made on `day`, a civil date."""
        return day.weekday() in self.open_days and day not in self.holidays

    def next_after(self, at: datetime) -> datetime:
        """The first round strictly after `at`, in UTC."""
        # a day early: where the clocks go back over midnight, yesterday's round can still be to come
        day = at.astimezone(self.zone).date() - timedelta(days=1)
        for _ in range(_LONGEST_CLOSED):
            if self.is_open(day) and (begins := self._round_of(day)) > at:
                return begins
            day += timedelta(days=1)
        raise BadValue("the shop is closed for ten years on end; change open_days or holidays")

    def before(self, at: datetime, n: int = 1) -> datetime:
        """The `n`-th last round at or before `at`, in UTC; n = 1 is the last one."""
        if n < 1:
            raise ValueError("the last round is number 1")
        day = at.astimezone(self.zone).date() + timedelta(days=1)
        for _ in range(_LONGEST_CLOSED * n):
            if self.is_open(day) and (begins := self._round_of(day)) <= at:
                n -= 1
                if n == 0:
                    return begins
            day -= timedelta(days=1)
        raise BadValue("the shop was closed for ten years on end; change open_days or holidays")

    def _round_of(self, day: date) -> datetime:
        return datetime.combine(day, self.at, tzinfo=self.zone).astimezone(UTC)


def parse_open_days(text: str) -> frozenset[int]:
    """The weekdays (Monday = 0) that "Mon-Fri", "Mon,Wed,Fri" or "Mon-Thu,Sat" names; BadValue where it names none.

    A span may run over the week's end: "Sat-Mon".
    """
    days: set[int] = set()
    for part in text.split(","):
        ends = [_DAY_NAMES.get(name.strip().lower()) for name in part.split("-")]
        start, end = ends[0], ends[-1]
        if start is None or end is None or len(ends) > 2:
            raise BadValue(f"open_days {text!r} names no days; {_DAYS_MEND}", column="open_days")
        length = (end - start) % 7
        days.update((start + step) % 7 for step in range(length + 1))
    return frozenset(days)


def open_days_text(days: frozenset[int]) -> str:
    """The shortest text that `parse_open_days` reads as `days`: three days or more in a row become a span."""
    inside = sorted(days)
    breaks = [0, *(i for i, (a, b) in enumerate(pairwise(inside), start=1) if b - a > 1), len(inside)]
    parts = []
    for start, end in pairwise(breaks):
        names = [_SHORT_NAMES[day] for day in inside[start:end]]
        parts.append(f"{names[0]}-{names[-1]}" if len(names) > 2 else ",".join(names))
    return ",".join(parts)


@dataclass(frozen=True)
class PublicHolidays:
    """The days of `holidays_of(code)`, looked up when the first is asked for: tags are shown before."""

    code: str

    @cached_property
    def _days(self) -> Container[date]:
        return holidays_of(self.code)

    def __contains__(self, day: object) -> bool:
        """Whether `day` is one. Raises BadValue as `holidays_of`."""
        return day in self._days


def holidays_of(code: str) -> Container[date]:
    """The public holidays of a country ("GB") or of a part of it ("GB-SCT", "DE-BY"); of "none", none.

    Raises BadValue for a code that the `holidays` package doesn't know.
    """
    text = code.strip()
    if text.lower() in {"", "none"}:
        return frozenset()
    import holidays  # noqa: PLC0415  # a twentieth of a second, wanted only where a country is set

    country, _, part = text.upper().partition("-")
    try:
        with _without_all("holidays.countries", Path(holidays.__file__).parent / "countries"):
            found: Container[date] = holidays.country_holidays(country, subdiv=part or None)
    except (NotImplementedError, KeyError, ValueError):
        raise BadValue(
            f"holidays {code!r} is no country known here; give none or a code such as GB, GB-SCT or DE-BY",
            column="holidays",
        ) from None
    return found


@contextmanager
def _without_all(package: str, folder: Path) -> Iterator[None]:
    """Let one module of `package` be imported without the package itself, which imports every one it has.

    `holidays` asks for one country's module; the two hundred others would cost more than all the rest of it.
    """
    if package in sys.modules:
        yield
        return
    bare = ModuleType(package)
    bare.__path__ = [str(folder)]
    sys.modules[package] = bare
    try:
        yield
    finally:
        sys.modules.pop(package, None)
