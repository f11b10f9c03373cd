"""What was watched, as facts: the check-ins that a person would have written, and the History they make."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cached_property

from standwatch.estimate.history import History, history_of
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record
from standwatch.model.words import Work
from tests.simulated.stand import Watched
from tests.stories import ZONE

MIDNIGHT = datetime(2026, 1, 5, tzinfo=UTC)
"""A Monday."""
_FOUND = timedelta(minutes=5)


def when(at_d: float) -> datetime:
    """The time of `at_d` days from the first midnight, to the second."""
    return MIDNIGHT + timedelta(seconds=round(86400 * at_d))


class ClockFacts:
    """One clock's facts, made once; a History as of the reading of any day."""

    def __init__(self, stand: Watched, number: int) -> None:
        self.stand = stand
        self.number = number
        self.clock = Clock(tag=f"T{number}", kind=stand.natures.kind, balance=stand.natures.balance)

    @cached_property
    def records(self) -> list[tuple[int, Record[CheckIn]]]:
        """Every record with the day it belongs to, in order."""
        bodies: list[tuple[int, CheckIn]] = []
        for day in range(self.stand.at_d.shape[1]):
            bodies += [(day, body) for body in self._visit(day)]
        return [
            (day, Record(f"{self.number}-{place}", body, place, place, None, body.at))
            for place, (day, body) in enumerate(bodies)
        ]

    def _visit(self, day: int) -> list[CheckIn]:
        stand, number = self.stand, self.number
        at = when(stand.at_d[number, day])
        stopped = any(e.what is Work.STOPPED and e.logged and e.day + 1 == day for e in stand.watch.events)
        error = float(stand.readings[number, day]) if stand.seen[number, day] else None
        warmth = float(stand.warmth_c[number, day]) if stand.watch.thermometer else None
        wound = Work.WOUND if stand.wound[number, day] else None
        if stopped:
            first = CheckIn(at=at, tag=self.clock.tag, temperature_c=warmth, work=Work.STOPPED, explained=True)
            rest = [CheckIn(at=at + _FOUND, tag=self.clock.tag, work=Work.RESTARTED)]
            rest += [CheckIn(at=at + _FOUND, tag=self.clock.tag, work=wound)] if wound else []
            return [first, *rest]
        if error is None and wound is None:
            return []
        visits = [CheckIn(at=at, tag=self.clock.tag, error_s=error, temperature_c=warmth, work=wound)]
        for event in stand.watch.events:
            if event.logged and event.day == day and event.what is not Work.STOPPED:
                amount = round(float(event.amount[number]), 2)
                visits.append(CheckIn(at=at, tag=self.clock.tag, work=event.what, amount=amount))
        return visits

    def history(self, day: int) -> History:
        """What is known when the reading of `day` has been written."""
        records = [record for of_day, record in self.records if of_day <= day]
        warmth = [(r.body.at, r.body.temperature_c) for r in records if r.body.temperature_c is not None]
        now = max(when(self.stand.at_d[self.number, day]), records[-1].body.at)
        return history_of(self.clock, records, now=now, zone=ZONE, temperatures=warmth)


def facts_of(stand: Watched) -> list[ClockFacts]:
    """The facts of every clock of the stand."""
    return [ClockFacts(stand, number) for number in range(stand.natures.clocks)]
