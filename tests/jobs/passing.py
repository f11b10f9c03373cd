"""Time as the jobs see it: moved from one due moment to the next, so that a night takes a second."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from datetime import UTC, datetime, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo

import time_machine

from standwatch.jobs.calendar import Calendar, Job

WAKE = timedelta(minutes=15)
"""The calendar looks at the time less often here than in the shop: the tests' nights are long."""


def utc_now() -> datetime:
    """The computer's clock."""
    return datetime.now(UTC)


class Traveller(Protocol):
    """time-machine's handle on the time."""

    def move_to(self, destination: datetime) -> None:
        """Be at `destination`."""


class Said:
    """What the jobs told, each with its time."""

    def __init__(self) -> None:
        self.told: list[tuple[datetime, str]] = []
        self.rung = 0
        self.trouble: list[str] = []

    def __call__(self, sentence: str, *, ring: bool = False, trouble: bool = False) -> None:
        self.told.append((utc_now(), sentence))
        self.rung += ring
        if trouble:
            self.trouble.append(sentence)

    @property
    def sentences(self) -> list[str]:
        return [sentence for _, sentence in self.told]


class Passing:
    """A calendar whose time is moved by hand."""

    def __init__(self, calendar: Calendar, travel: Traveller) -> None:
        self.calendar = calendar
        self.travel = travel

    async def until(self, end: datetime) -> None:
        """Let time pass with the computer awake."""
        scheduler = self.calendar._scheduler
        assert scheduler is not None
        while True:
            following = min(job.next_run_time for job in scheduler.get_jobs())
            if following > end:
                break
            self.travel.move_to(max(following, utc_now()))
            await self._through()
        self.travel.move_to(end)

    async def sleep_until(self, end: datetime) -> None:
        """The computer is suspended until `end`, and wakes."""
        self.travel.move_to(end)
        await self._through()

    async def _through(self) -> None:
        scheduler = self.calendar._scheduler
        assert scheduler is not None
        scheduler.wakeup()
        for _ in range(12):
            await asyncio.sleep(0)


@asynccontextmanager
async def passing(start: datetime, zone: ZoneInfo, jobs: Sequence[Job]) -> AsyncIterator[Passing]:
    """A calendar of `jobs`, begun at `start`."""
    with time_machine.travel(start, tick=False) as travel:
        calendar = Calendar(zone, jobs, clock=utc_now, wake=WAKE)
        await calendar.start()
        try:
            yield Passing(calendar, travel)
        finally:
            calendar.stop()
