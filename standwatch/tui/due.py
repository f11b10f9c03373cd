"""What is due while the screens are open: the jobs, with what they ask and how they tell it."""

from __future__ import annotations

import asyncio
from datetime import datetime
from pathlib import Path

from standwatch.horology.rounds import Rounds
from standwatch.jobs.calendar import Calendar, Job
from standwatch.jobs.listening import ListeningJob
from standwatch.jobs.nightly import Nightly
from standwatch.jobs.round import RoundJob
from standwatch.jobs.winding import WindingJob
from standwatch.service.hearing.quarter import Listening, listening_at
from standwatch.service.reminders import RunsOut, running_out
from standwatch.tui.desk import Desk

_SHOWN_S = 20
"""How long a notice stays."""


class Due:
    """The calendar of one app. `book` is what is backed up at night, None where nothing is."""

    def __init__(self, app: Desk, book: Path | None) -> None:
        self._app = app
        jobs: list[Job] = [
            ListeningJob(self._rounds, hear=self._hear, clock=app.now, tell=self._call),
            WindingJob(self._rounds, running=self._running, clock=app.now, tell=self._tell),
            RoundJob(self._rounds, clocks=self._clocks, clock=app.now, tell=self._tell),
        ]
        if book is not None:
            jobs.append(Nightly(book, app.shop.zone, copy=self._copy, clock=app.now, tell=self._tell))
        self._calendar = Calendar(app.shop.zone, jobs, clock=app.now)

    async def start(self) -> None:
        """Begin every job."""
        await self._calendar.start()

    def stop(self) -> None:
        """Nothing is due any more."""
        self._calendar.stop()

    def _rounds(self) -> Rounds:
        return (self._app.shop if self._app.view is None else self._app.view.shop).rounds

    async def _hear(self, mark: datetime) -> Listening | None:
        view = self._app.view
        if view is None or not view.assessments:
            return None
        return await asyncio.to_thread(listening_at, view.assessments, view.shop.rounds, mark, brief=True)

    async def _running(self) -> tuple[RunsOut, ...]:
        return () if self._app.view is None else await asyncio.to_thread(running_out, self._app.view)

    def _clocks(self) -> int:
        return 0 if self._app.view is None else len(self._app.view.assessments)

    async def _copy(self, to: Path) -> None:
        await self._app.backroom.apart(lambda stand: stand.backup(to))

    def _call(self, sentence: str, *, ring: bool = False, trouble: bool = False) -> None:
        """Of the listening: who has it before him is told by the bell alone."""
        if getattr(self._app.screen, "PLACE", "") != "listening":
            self._tell(sentence, ring=ring, trouble=trouble)
        elif ring and self._app.settings.bell:
            self._app.bell()

    def _tell(self, sentence: str, *, ring: bool = False, trouble: bool = False) -> None:
        self._app.notify(sentence, severity="error" if trouble else "information", timeout=_SHOWN_S, markup=False)
        if ring and self._app.settings.bell:
            self._app.bell()
