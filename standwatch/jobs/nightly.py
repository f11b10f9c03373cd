"""The nightly backup: a copy of the book beside it, once a day, the last fourteen kept."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from standwatch.jobs.calendar import Calendar, Tell
from standwatch.model.errors import StandwatchError

KEPT = 14
AT = (3, 30)
"""Civil hour and minute: after the hours that a change of the clocks leaves out or repeats."""

Copy = Callable[[Path], Awaitable[None]]


def folder_of(book: Path) -> Path:
    """Where a book's backups lie."""
    return book.parent / "backups"


def file_of(book: Path, day: date) -> Path:
    """A day's backup."""
    return folder_of(book) / f"{book.stem} {day.isoformat()}.sqlite"


def backups_of(book: Path) -> list[tuple[date, Path]]:
    """The backups there are, oldest first; other files in the folder are none of ours."""
    named = re.compile(rf"{re.escape(book.stem)} (\d{{4}}-\d\d-\d\d)\.sqlite")
    folder = folder_of(book)
    found = [(match[1], path) for path in folder.glob("*.sqlite") if (match := named.fullmatch(path.name))]
    return sorted((date.fromisoformat(day), path) for day, path in found)


class Nightly:
    """Copies the book when the last copy is a day old: at start, each night, and after a night slept through.

    `copy` writes the book to a path, whole; what it raises of ours is told, and tried again the next night.
    """

    def __init__(self, book: Path, zone: ZoneInfo, *, copy: Copy, clock: Callable[[], datetime], tell: Tell) -> None:
        self._book = book
        self._zone = zone
        self._copy = copy
        self._clock = clock
        self._tell = tell

    async def begin(self, calendar: Calendar) -> None:
        """Make up for a missed night, then wait for the nights to come."""
        calendar.daily("backup", *AT, self.back_up)
        if self.due():
            await self.back_up()

    def slept(self, since: datetime, until: datetime) -> None:
        """A night slept through is made up for: nobody need know."""

    def due(self) -> bool:
        """The last backup is of yesterday morning or older, or there is none."""
        made = backups_of(self._book)
        return not made or self._today() - made[-1][0] >= timedelta(days=1)

    async def back_up(self) -> None:
        """Copy the book for today, then let go of the oldest copies over fourteen."""
        to = file_of(self._book, self._today())
        try:
            to.parent.mkdir(parents=True, exist_ok=True)
            await self._copy(to)
            for _, old in backups_of(self._book)[:-KEPT]:
                old.unlink(missing_ok=True)
        except (OSError, StandwatchError) as error:
            self._tell(f"No backup was made today: {error}", trouble=True)

    def _today(self) -> date:
        return self._clock().astimezone(self._zone).date()
