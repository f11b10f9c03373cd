"""What a rule for a lead looks at."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from standwatch.estimate.answers import Power, Swing, Timekeeping
from standwatch.estimate.gathered import Gathered, gathered_of
from standwatch.estimate.going import Going, going_of
from standwatch.estimate.history import History, Visit
from standwatch.estimate.leads.spans import Spans
from standwatch.estimate.reasons import day_words
from standwatch.estimate.running_wrong import Wrong, running_wrong


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A clock beside this one on its rail, whose pendulum is near enough alike to pass swing to it."""

    history: History
    time: Timekeeping


@dataclass(frozen=True)
class Evidence:
    """One clock's facts and what was worked out from them, as of the history's `now`; and its neighbours."""

    history: History
    time: Timekeeping
    power: Power
    swing: Swing
    neighbours: tuple[Neighbour, ...] = ()

    @cached_property
    def going(self) -> Going:
        """When it went and stopped, worked out when a rule asks."""
        return going_of(self.history, self.time.error_at)

    @cached_property
    def spans(self) -> Spans:
        """Its sound readings, to compare the rate of one span with another's."""
        return Spans(self.history, self.time, self.since_opened)

    @cached_property
    def wrong(self) -> tuple[Wrong, ...]:
        """How its strike and chime trains stand by their weights."""
        return running_wrong(self.history)

    @cached_property
    def since_opened(self) -> tuple[Visit, ...]:
        """The visits since the last opening or oiling."""
        return self.history.since_opened

    def day(self, at: datetime) -> str:
        """ "Tue 3 Nov", in the shop's civil time."""
        return day_words(self.history, at)

    @cached_property
    def gathered(self) -> Gathered:
        """Where its unexplained stops gather."""
        return gathered_of(self.history, self.power, lambda: self.going)
