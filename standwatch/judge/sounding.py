"""Which hours a shop hears: when each sounds by its dial, which only in closed hours, and what brings those to ears."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

from standwatch.horology.kinds import Traits
from standwatch.horology.wheelwork import blows_per_day, is_silent, notes_per_day, parse_silence
from standwatch.judge.case import Case
from standwatch.judge.evidence import WORKING_DAY, counted, listed
from standwatch.judge.provoking import dial_ahead_s
from standwatch.model.answers import Quantity
from standwatch.model.units import HOUR_S
from standwatch.model.words import Train

HOURS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")

BLOW_S, NOTE_S, PAUSE_S = 2.0, 0.7, 6.0
"""Seconds a blow and a note of the quarters take, and the hand between two of them (common practice).

Twelve hours of a chimer come to 13 minutes: "12 to 15" in the trade.
"""
WAITS_S = 30.0
"""Whoever listens waits so long for a clock that is a little off, so that its own error needs no telling."""
_QUARTER_S, _QUARTERS_A_DAY = 900.0, 96
_BY_THE_DOOR = timedelta(minutes=5)
"""Somebody is there so long before the round and after closing."""
_MINUTE = 60.0


def next_in_shop(case: Case, after: datetime) -> datetime:
    """`after`, or the next round where the shop is closed by then."""
    begun = case.rounds.before(after)
    return after if after - begun < WORKING_DAY else case.rounds.next_after(after)


@dataclass(frozen=True, slots=True)
class Strokes:
    """The full hours that the clock strikes in what is left of today's and in the next open hours: (shown, when)."""

    coming: tuple[tuple[int, datetime], ...]

    def of(self, hour: int, *, shifted: int = 0) -> datetime | None:
        """When `hour` (1 to 12) sounds first, the hands `shifted` whole hours on; None where the shop is closed."""
        return next((at for shown, at in self.coming if (shown + shifted - 1) % 12 + 1 == hour), None)

    def closed(self, hours: Sequence[int]) -> tuple[int, ...]:
        """Those of `hours` that sound only while the shop is closed."""
        return tuple(hour for hour in hours if self.of(hour) is None)

    def shift_for(self, hours: Sequence[int]) -> int | None:
        """The least whole hours forward by which all of `hours` sound while it is open; None where none does."""
        shifts = range(1, 12)
        return next((n for n in shifts if all(self.of(hour, shifted=n) is not None for hour in hours)), None)


def strokes(case: Case) -> Strokes:
    """When the clock strikes in open hours, by its own dial as expected now."""
    ahead = _ahead_s(case)
    coming = []
    for begins in (case.rounds.before(case.now), case.rounds.next_after(case.now)):
        first, last = (at.timestamp() + ahead for at in (begins - _BY_THE_DOOR, begins + WORKING_DAY + _BY_THE_DOOR))
        for struck in range(math.ceil(first / HOUR_S), math.floor(last / HOUR_S) + 1):
            at = datetime.fromtimestamp(struck * HOUR_S - ahead, UTC)
            if at > case.now:
                coming.append(((struck - 1) % 12 + 1, at))
    return Strokes(tuple(coming))


def next_quarter(case: Case, after: datetime, quarters: Collection[int] = (1, 2, 3, 4)) -> datetime:
    """When the first of `quarters` sounds after `after`, by the clock's own dial and out of its night's silence."""
    ahead = _ahead_s(case)
    silence = case.history.clock.night_silence
    night = parse_silence(silence) if silence else None
    first = math.floor((after.timestamp() + ahead) / _QUARTER_S) + 1
    sounding = (
        n
        for n in range(first, first + 2 * _QUARTERS_A_DAY)
        if (n % 4 or 4) in quarters and not (night and is_silent(night, time(n % _QUARTERS_A_DAY // 4, 15 * (n % 4))))
    )
    return datetime.fromtimestamp(next(sounding, first) * _QUARTER_S - ahead, UTC)


def _ahead_s(case: Case) -> float:
    """Seconds that the dial is ahead of UTC: civil time, hours shifted, and its error where that is worth telling."""
    error = case.estimates.time.error_at(case.now)
    off = error.estimate if isinstance(error, Quantity) and abs(error.estimate) > WAITS_S else 0.0
    return dial_ahead_s(case.history, case.now) + off


def closed_words(heard: Strokes, wanted: Sequence[int], traits: Traits) -> str:
    """What to do about those of the `wanted` hours that no open shop hears, and what it costs.

    Empty where there are none, and as long as no one shift brings all that are wanted: by then some are heard.
    """
    closed = heard.closed(wanted)
    shift = heard.shift_for(wanted)
    if not closed or shift is None:
        return ""
    one, alone = len(closed) == 1, len(closed) == len(wanted)
    names = listed([HOURS[hour - 1] for hour in closed]) if not alone else "it" if one else "they"
    return (
        f"{names} {'sounds' if one else 'sound'} only when the shop is closed: shift the hours once, the hands "
        f"{counted(shift, 'hour')} on, or stage {'it' if one else 'them'} by hand ({staging_words(traits)})"
    )


def staging_words(traits: Traits) -> str:
    """ "about 13 minutes and half a day's fall": what it costs to stage an hour by hand.

    Hands go forward only, so that they go round all twelve hours until they are right again, each blow and quarter
    let out on the way.
    """
    blows, pauses = blows_per_day(half_hours=traits.half_hour) / 2, 24 if traits.half_hour else 12
    seconds = blows * BLOW_S
    if Train.CHIME in traits.trains:
        seconds += notes_per_day() / 2 * NOTE_S
        pauses = 48
    minutes = round((seconds + pauses * PAUSE_S) / _MINUTE)
    lost = "half a day's fall" if traits.weights else "half a day of its wind"
    return f"about {minutes} minutes and {lost}"
