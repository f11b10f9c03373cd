"""Winding: an hour before a train may run out, and before the shop is left what runs out before the next round."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from datetime import date, datetime, timedelta
from functools import partial

from standwatch.horology.rounds import Rounds
from standwatch.jobs.calendar import Calendar, Tell
from standwatch.service.hearing.quarter import open_at
from standwatch.service.hearing.voices import REACH, mark_of
from standwatch.service.reminders import CLOSING, RunsOut, closes_at, closing_words, soon_words

_SOON = timedelta(hours=1)


class WindingJob:
    """Looks every quarter of open hours; says each clock once a day. `running` are those to wind, by what is known."""

    def __init__(
        self,
        rounds: Callable[[], Rounds],
        *,
        running: Callable[[], Awaitable[Sequence[RunsOut]]],
        clock: Callable[[], datetime],
        tell: Tell,
    ) -> None:
        self._rounds = rounds
        self._running = running
        self._clock = clock
        self._tell = tell
        self._soon: set[tuple[str, date]] = set()
        self._closed: date | None = None

    async def begin(self, calendar: Calendar) -> None:
        """Look now, and at every quarter."""
        await self._look(calendar)

    def slept(self, since: datetime, until: datetime) -> None:
        """What runs out is looked at anew; nothing is missed but time."""

    async def _look(self, calendar: Calendar) -> None:
        now, rounds = self._clock(), self._rounds()
        next_quarter = mark_of(now + REACH)
        calendar.at("winding", next_quarter, partial(self._look, calendar))
        if not open_at(rounds, now):
            return
        running, today = await self._running(), now.astimezone(rounds.zone).date()
        if now >= closes_at(rounds, now) - CLOSING and self._closed != today and running:
            self._closed = today
            self._tell(closing_words(running, rounds, now), ring=True)
            self._soon |= {(each.tag, today) for each in running}
            return
        soon = [each for each in running if each.low <= now + _SOON and (each.tag, today) not in self._soon]
        if soon:
            self._soon |= {(each.tag, today) for each in soon}
            self._tell(soon_words(soon, rounds, now), ring=True)
