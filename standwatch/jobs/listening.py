"""Listening: every quarter of open hours, two minutes before the first voice that is worth hearing."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from datetime import datetime
from functools import partial

from standwatch.horology.rounds import Rounds
from standwatch.jobs.calendar import Calendar, Tell
from standwatch.service.hearing.quarter import Listening, open_at
from standwatch.service.hearing.voices import QUARTER, REACH, mark_of
from standwatch.service.reminders import NOTICE, listen_words, slept_words, to_come

Hear = Callable[[datetime], Awaitable[Listening | None]]


class ListeningJob:
    """Wakes before the voices of each quarter. `hear` says what is worth hearing at one, by what is known then."""

    def __init__(self, rounds: Callable[[], Rounds], *, hear: Hear, clock: Callable[[], datetime], tell: Tell) -> None:
        self._rounds = rounds
        self._hear = hear
        self._clock = clock
        self._tell = tell
        self._told: datetime | None = None

    async def begin(self, calendar: Calendar) -> None:
        """The quarter whose turn it is, and from it on the next ones."""
        await self._look(calendar, mark_of(self._clock()))

    def slept(self, since: datetime, until: datetime) -> None:
        """Say which quarters passed unheard; what would have been worth hearing nobody can know any more."""
        said = slept_words(self._rounds(), since, until, self._told)
        if said:
            self._tell(said)

    async def _look(self, calendar: Calendar, mark: datetime) -> None:
        following = mark + QUARTER
        calendar.at("listening", following - REACH, partial(self._look, calendar, following))
        if not open_at(self._rounds(), mark) or self._told == mark:
            return
        heard = await self._hear(mark)
        coming = () if heard is None else to_come(heard, self._clock())
        if coming:
            calendar.at("listening told", coming[0].voice.at - NOTICE, partial(self._say, mark))

    async def _say(self, mark: datetime) -> None:
        """Asked anew: something may have been read, wound or stopped since."""
        heard = await self._hear(mark)
        said = "" if heard is None else listen_words(heard, self._clock())
        if said:
            self._told = mark
            self._tell(said, ring=True)
