"""The one scheduler: what is due while the screens are open, through both changes of the clocks and after a suspend."""

from __future__ import annotations

import logging
from collections.abc import Awaitable, Callable, Sequence
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Protocol
from zoneinfo import ZoneInfo

if TYPE_CHECKING:
    from apscheduler.schedulers.asyncio import AsyncIOScheduler

WAKE = timedelta(seconds=20)
"""The scheduler sleeps through a suspend of the computer; so often it looks at the time itself."""
_SLOW = timedelta(seconds=70)
"""So late may a look come without the computer having slept."""
_GRACE_S = 60

Call = Callable[[], Awaitable[None]]


class Tell(Protocol):
    """Says a sentence to whoever is there; with `ring` by the bell too, if that is wanted."""

    def __call__(self, sentence: str, *, ring: bool = False, trouble: bool = False) -> None:
        """Say it."""


class Job(Protocol):
    """One thing that is due now and then. It knows no screen: what it asks and tells are callables."""

    async def begin(self, calendar: Calendar) -> None:
        """Put its next times into the calendar, and do what is due already; again after the computer slept."""

    def slept(self, since: datetime, until: datetime) -> None:
        """The computer slept: say what was missed, if anybody should know."""


class Calendar:
    """Jobs over one scheduler. `clock` tells the time that the screens show, which need not be the computer's."""

    def __init__(
        self, zone: ZoneInfo, jobs: Sequence[Job], *, clock: Callable[[], datetime], wake: timedelta = WAKE
    ) -> None:
        self.zone = zone
        self.clock = clock
        self._jobs = tuple(jobs)
        self._wake_every = wake
        self._scheduler: AsyncIOScheduler | None = None
        self._awake = clock()

    async def start(self) -> None:
        """Begin every job. Needs a running loop."""
        from apscheduler.schedulers.asyncio import AsyncIOScheduler  # noqa: PLC0415  # a sixth of a second

        logging.getLogger("apscheduler").addHandler(logging.NullHandler())  # a line of log would tear the screen
        scheduler = AsyncIOScheduler(timezone=self.zone)
        scheduler.add_job(
            self._wake, "interval", seconds=self._wake_every.total_seconds(), coalesce=True, misfire_grace_time=None
        )
        scheduler.start()
        self._scheduler = scheduler
        self._awake = self.clock()
        for job in self._jobs:
            await job.begin(self)

    def stop(self) -> None:
        """Nothing is due any more."""
        if self._scheduler is not None:
            self._scheduler.shutdown(wait=False)
            self._scheduler = None

    def at(self, name: str, when: datetime, call: Call) -> None:
        """Have `call` made at `when` by the clock shown, in place of what `name` had waiting; at once if that is past.

        What comes over a minute late is not made: the computer slept, and `begin` is asked anew.
        """
        if self._scheduler is None:
            return
        left = max(when - self.clock(), timedelta())
        self._scheduler.add_job(
            call,
            "date",
            run_date=datetime.now(UTC) + left,
            id=name,
            replace_existing=True,
            coalesce=True,
            misfire_grace_time=_GRACE_S,
        )

    def daily(self, name: str, hour: int, minute: int, call: Call) -> None:
        """Have `call` made every night at this civil time, however late; never between one and three.

        In those hours civil time leaves out or repeats an hour when the clocks change.
        """
        if self._scheduler is None:
            return
        self._scheduler.add_job(
            call,
            "cron",
            hour=hour,
            minute=minute,
            id=name,
            replace_existing=True,
            coalesce=True,
            misfire_grace_time=None,
        )

    async def _wake(self) -> None:
        """Look at the time: where far more has passed than was slept on purpose, the computer was asleep."""
        now, since = self.clock(), self._awake
        self._awake = now
        if now - since > self._wake_every + _SLOW:
            for job in self._jobs:
                job.slept(since, now)
                await job.begin(self)
