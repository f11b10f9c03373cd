"""The clock by which each train's weight falls: going by time, strike by blows, chime by notes less the night.

All are told in days: a day's 156 blows (180 with half-hours) or 960 notes count as one, a silent night counts less
(Beckett, A Rudimentary Treatise on Clocks, 8th ed., p. 174: 78 blows in twelve hours; 40 notes of quarters an hour).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from itertools import accumulate

from standwatch.estimate.history import History
from standwatch.horology.hanging import one_weight
from standwatch.horology.kinds import Traits
from standwatch.horology.wheelwork import blows_per_day, is_silent, notes_per_day, parse_silence, quarter_notes
from standwatch.model.units import DAY_S, HOUR_S
from standwatch.model.words import Train, Work

ENDLESS_TIME_SHARE = 0.55
"""Of an endless chain's fall the share that time takes; the strike's blows take the rest."""


@dataclass(frozen=True, slots=True)
class TrainClock:
    """Days as one train counts them. `offsets` are (from when, seconds the dial is ahead of UTC).

    `seconds` are the times of a dial day at which it runs, `shares` the part of a day counted by then; both are
    empty where it runs all the time. `time_share` is the part that goes by time alone.
    """

    time_share: float
    seconds: tuple[float, ...]
    shares: tuple[float, ...]
    offsets: tuple[tuple[float, float], ...]

    @property
    def a_day(self) -> float:
        """What one whole day counts: 1, or less where the night is silent."""
        return self.time_share + (1 - self.time_share) * (self.shares[-1] if self.shares else 1.0)

    def days(self, start: datetime, end: datetime) -> float:
        """Days that the train counts from `start` to `end`; 0 where the dial went back."""
        if self.time_share == 1:
            return max(0.0, (end - start) / timedelta(days=1))
        return max(0.0, self._count(end.timestamp()) - self._count(start.timestamp()))

    def after(self, start: datetime, days: float) -> datetime:
        """When the train has counted `days` more than at `start`, the dial left as it is then."""
        begun = start.timestamp()
        if self.time_share == 1:
            return start + timedelta(days=days)
        wanted = self._count(begun) + days
        if self.time_share == 0:
            day, rest = divmod(wanted, self.shares[-1])
            index = bisect_left(self.shares, rest - 1e-9)
            return datetime.fromtimestamp(day * DAY_S + self.seconds[index] - self._offset(begun), UTC)
        low, high = begun, begun + (days + 2) / self.a_day * DAY_S
        while high - low > 1:
            middle = (low + high) / 2
            low, high = (low, middle) if self._count(middle) >= wanted else (middle, high)
        return datetime.fromtimestamp(round(high), UTC)

    def _offset(self, seconds: float) -> float:
        return self.offsets[max(0, bisect_right(self.offsets, (seconds, float("inf"))) - 1)][1]

    def _count(self, seconds: float) -> float:
        counted = self.time_share * seconds / DAY_S
        if self.shares:
            day, second = divmod(seconds + self._offset(seconds), DAY_S)
            struck = bisect_right(self.seconds, second)
            counted += (1 - self.time_share) * (day * self.shares[-1] + (self.shares[struck - 1] if struck else 0.0))
        return counted


def train_clock(history: History, train: Train) -> TrainClock:
    """The clock by which `train`'s weight falls."""
    traits = history.traits
    offsets = tuple(_dial_offsets(history))
    if one_weight(traits):
        return TrainClock(ENDLESS_TIME_SHARE, *_blows(traits), offsets)
    if train is Train.STRIKE:
        return TrainClock(0.0, *_blows(traits), offsets)
    if train is Train.CHIME:
        seconds, shares = _notes(history.clock.night_silence)
        return TrainClock(0.0, seconds, shares, offsets) if shares else TrainClock(1.0, (), (), offsets)
    return TrainClock(1.0, (), (), offsets)


def _blows(traits: Traits) -> tuple[tuple[float, ...], tuple[float, ...]]:
    struck = [(hour * HOUR_S, (hour - 1) % 12 + 1) for hour in range(24)]
    if traits.half_hour:
        struck += [((hour + 0.5) * HOUR_S, 1) for hour in range(24)]
    struck.sort()
    day = blows_per_day(half_hours=traits.half_hour)
    return tuple(second for second, _ in struck), tuple(accumulate(blows / day for _, blows in struck))


def _notes(silence: str | None) -> tuple[tuple[float, ...], tuple[float, ...]]:
    night = parse_silence(silence) if silence else None
    heard = [q for q in range(96) if night is None or not is_silent(night, time(q // 4, 15 * (q % 4)))]
    day = notes_per_day()
    counted = accumulate(quarter_notes((q - 1) % 4 + 1) / day for q in heard)
    return tuple(15 * 60.0 * q for q in heard), tuple(counted)


def _dial_offsets(history: History) -> list[tuple[float, float]]:
    """From when the dial is how many seconds ahead of UTC: its civil time, changed as the works tell, hours shifted."""

    def civil(at: datetime) -> float:
        return (at.astimezone(history.zone).utcoffset() or timedelta()).total_seconds()

    first = history.visits[0].at if history.visits else history.now
    offset, shifted = civil(first), 0.0
    steps = [(first.timestamp(), offset)]
    for visit in history.works(Work.SUMMER_TIME, Work.HOURS_SHIFTED):
        amount = visit.row.amount
        if visit.work is Work.HOURS_SHIFTED:
            shifted += (amount or 0.0) * HOUR_S
        else:
            offset = civil(visit.at) if amount is None else offset + amount
        steps.append((visit.at.timestamp(), offset + shifted))
    return steps
