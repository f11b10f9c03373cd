"""The round: said when it is due, and when the computer slept through its beginning."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial

from standwatch.horology.rounds import Rounds
from standwatch.jobs.calendar import Calendar, Tell
from standwatch.service.hearing.quarter import open_at
from standwatch.service.reminders import round_words


class RoundJob:
    """Waits for the next round. `clocks` is how many there are to read."""

    def __init__(
        self,
        rounds: Callable[[], Rounds],
        *,
        clocks: Callable[[], int],
        clock: Callable[[], datetime],
        tell: Tell,
    ) -> None:
        self._rounds = rounds
        self._clocks = clocks
        self._clock = clock
        self._tell = tell

    async def begin(self, calendar: Calendar) -> None:
        """Wait for the next round; one that began before the screens were opened is seen there."""
        self._wait(calendar)

    def _wait(self, calendar: Calendar) -> None:
        begins = self._rounds().next_after(self._clock())
        calendar.at("round", begins, partial(self._due, calendar, begins))

    def slept(self, since: datetime, until: datetime) -> None:
        """A round that began meanwhile is due still, as long as the shop is open; an older one was missed."""
        rounds = self._rounds()
        begun = rounds.before(until)
        if since < begun and open_at(rounds, until) and self._clocks():
            self._tell(round_words(begun, rounds, self._clocks(), slept=True), ring=True)

    async def _due(self, calendar: Calendar, begins: datetime) -> None:
        if self._clock() >= begins and self._clocks():
            self._tell(round_words(begins, self._rounds(), self._clocks()), ring=True)
        self._wait(calendar)
