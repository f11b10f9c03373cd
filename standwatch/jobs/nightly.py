"""The nightly backup: a copy of the book beside it, once a day, the last fourteen kept."""

from __future__ import annotations

import logging
import re
from collections.abc import Awaitable, Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from standwatch.model.errors import StandwatchError

if TYPE_CHECKING:
    from apscheduler.schedulers.asyncio import AsyncIOScheduler

KEPT = 14
AT = (3, 30)
"""Civil hour and minute: after the hours that a change of the clocks leaves out or repeats."""
_WAKE_S = 20
"""The scheduler sleeps through a suspend of the computer; so often it looks at the time itself."""

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
    """Copies the book when the last copy is a day old: at start and each night. `clock` tells the time, `tell` trouble.

    `copy` writes the book to a path, whole; what it raises of ours is told, and tried again the next night.
    """

    def __init__(
        self,
        book: Path,
        zone: ZoneInfo,
        *,
        copy: Copy,
        clock: Callable[[], datetime],
        tell: Callable[[str], None],
    ) -> None:
        self._book = book
        self._zone = zone
        self._copy = copy
        self._clock = clock
        self._tell = tell
        self._scheduler: AsyncIOScheduler | None = None

    async def start(self) -> None:
        """Make up for a missed night, then wait for the nights to come. Needs a running loop."""
        from apscheduler.schedulers.asyncio import AsyncIOScheduler  # noqa: PLC0415  # a sixth of a second

        logging.getLogger("apscheduler").addHandler(logging.NullHandler())  # a line of log would tear the screen
        scheduler = AsyncIOScheduler(timezone=self._zone)
        scheduler.add_job(
            self.back_up, "cron", hour=AT[0], minute=AT[1], coalesce=True, misfire_grace_time=None, id="backup"
        )
        scheduler.add_job(scheduler.wakeup, "interval", seconds=_WAKE_S, id="wake")
        scheduler.start()
        self._scheduler = scheduler
        if self.due():
            await self.back_up()

    def stop(self) -> None:
        """Wait for no more nights."""
        if self._scheduler is not None:
            self._scheduler.shutdown(wait=False)
            self._scheduler = None

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
            self._tell(f"No backup was made today: {error}")

    def _today(self) -> date:
        return self._clock().astimezone(self._zone).date()
