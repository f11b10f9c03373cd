"""From a press and a figure to what the dial showed: the reading of the morning round. Pure.

A hand crosses a mark and the press stamps it; the last figure of the dial's minute then settles the minute within
ten, so that nobody need be told what is expected. Where one figure can't tell, the whole dial time is asked.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Literal

from standwatch.estimate.history import History
from standwatch.estimate.trainclock import train_clock
from standwatch.horology.kinds import OTHER_HAND_DOUBT_S
from standwatch.judge.assessment import Assessment
from standwatch.model.answers import Z95, Answer, NotYetKnown, Quantity
from standwatch.model.units import DIAL_S, HOUR_S, clock_words, dial_seconds, wrap_dial
from standwatch.model.words import ReadBy, Train
from standwatch.service.recording import WELL_OUTSIDE

PRESS_SD_S = 0.07
"""One anticipated press on a seen event, in seconds (Am. J. Phys. 87, 110, 2019)."""
SURE_S = 5.0
"""What is expected tells which mark a seconds hand crossed, if it is sure to so much (half its 95 % interval)."""
WHOLE_DIAL_S = 240.0
"""From this doubt on one figure can't tell five minutes fast from five slow."""
OTHER_MARK_S = 15.0
"""Standard doubt of a minute hand read at another mark than last time: marks differ by depthing and an off-centre
dial (common practice)."""
MARKS = (0, 15, 30, 45)
_SPACING_S = 15.0
_TEN_MINUTES_S = 600.0

Still = Literal["figure", "dial", "mark"]
"""What a crossing still wants: the minute's last figure, the whole dial time, or which mark it was."""


@dataclass(frozen=True, slots=True)
class Crossing:
    """One press: the moment at which the hand of a clock crossed a mark, and what was expected of it then.

    `ahead_s` is how far the dial would be ahead of UTC if it were right: civil time, and whole hours shifted.
    `whole`: the whole dial time is asked; `again`: so is the mark, in any case. `figure` is the last figure of the
    minute (of a first blow: of its hour), `dial` the dial's time in whole minutes as seconds past twelve, `mark` the
    second that was crossed, as told.
    """

    tag: str
    at: datetime
    way: ReadBy
    ahead_s: float
    expected: Answer
    whole: bool
    again: bool = False
    figure: int | None = None
    dial: int | None = None
    mark: int | None = None

    @property
    def right_s(self) -> float:
        """Seconds past twelve that the dial would show at the press, were it right."""
        return (self.at.timestamp() + self.ahead_s) % DIAL_S

    @property
    def wants(self) -> Still | None:
        """What is still to be told; None once the reading is in."""
        if self.whole and self.dial is None:
            return "dial"
        if not self.whole and self.figure is None:
            return "figure"
        if self.way is ReadBy.SECONDS_HAND and self.mark is None and self._assumed is None:
            return "mark"
        return None

    @property
    def _assumed(self) -> int | None:
        """The mark by what is expected, if that is sure and what was told agrees with it."""
        if self.again or not isinstance(self.expected, Quantity) or self.expected.doubt > SURE_S:
            return None
        due = self.right_s + self.expected.estimate
        mark = round(due / _SPACING_S) * 15 % 60
        off = abs(self._error(mark) - self.expected.estimate)
        return mark if off <= _SPACING_S / 2 else None

    def _error(self, mark: int) -> float:
        """The error in seconds, had the hand crossed `mark`."""
        if self.dial is not None:
            return wrap_dial(self.dial + mark - self.right_s)
        near = self.expected.estimate if isinstance(self.expected, Quantity) else 0.0
        figure = self.figure or 0
        if self.way is ReadBy.FIRST_BLOW:
            hours = [hour for hour in range(1, 13) if hour % 10 == figure]
            off = min((wrap_dial(hour * HOUR_S - self.right_s - near) for hour in hours), key=abs)
        else:
            shown = figure * 60.0 + mark
            half = _TEN_MINUTES_S / 2
            off = half - (half - (shown - self.right_s - near)) % _TEN_MINUTES_S
        return wrap_dial(near + off)


@dataclass(frozen=True, slots=True)
class Reading:
    """A crossing with everything told. `error_s` is + fast; `off_s` how much more than expected, if anything was.

    `expected` is for a reading of this doubt. `mark_assumed`: which mark it was follows from what was expected.
    `surprise`: it lies well outside.
    """

    crossing: Crossing
    dial: str
    error_s: float
    doubt_s: float
    told_doubt_s: float | None
    expected: Answer
    mark: int
    mark_assumed: bool

    @property
    def off_s(self) -> float | None:
        """How much faster than expected, in seconds."""
        return self.error_s - self.expected.estimate if isinstance(self.expected, Quantity) else None

    @property
    def surprise(self) -> bool:
        """It lies well outside what was expected."""
        off = self.off_s
        return off is not None and isinstance(self.expected, Quantity) and abs(off) > WELL_OUTSIDE * self.expected.doubt

    @property
    def cells(self) -> dict[str, object]:
        """The reading as a row of the ledger."""
        crossing = self.crossing
        told: dict[str, object] = {"tag": crossing.tag, "at": crossing.at, "dial": self.dial}
        told["read_by"] = crossing.way.value
        if self.told_doubt_s is not None:
            told["error_u_s"] = self.told_doubt_s
        return told


def way_of(history: History) -> ReadBy:
    """How a clock is read: its usual way; by the minute hand where its small hand doesn't show seconds."""
    usual = history.usual_read_by
    jumps = history.clock.seconds_turn_s not in {None, 60}
    return ReadBy.MINUTE_HAND if usual is ReadBy.SECONDS_HAND and jumps else usual


def crossed(assessment: Assessment, at: datetime, *, again: bool = False) -> Crossing:
    """The press at `at`. `again`: a second look after a surprise, for which nothing is taken from what is expected."""
    history = assessment.estimates.history
    way = way_of(history)
    hangs = assessment.going.hangs is not None
    expected = NotYetKnown("it was standing still") if hangs else assessment.estimates.time.reading_at(at, way)
    vague = isinstance(expected, NotYetKnown) or expected.doubt > WHOLE_DIAL_S
    ahead = train_clock(history, Train.GOING).offsets[-1][1] if history.visits else _civil_s(history, at)
    whole = again or vague or way is ReadBy.ESTIMATE
    return Crossing(history.clock.tag, at, way, ahead, expected, whole, again)


def _civil_s(history: History, at: datetime) -> float:
    return (at.astimezone(history.zone).utcoffset() or timedelta()).total_seconds()


def read(crossing: Crossing, history: History, *, reference_doubt_s: float = 0.0) -> Reading:
    """The reading of a crossing that wants nothing more, against a reference whose own standard doubt is given."""
    mark = 0 if crossing.way is not ReadBy.SECONDS_HAND else crossing.mark
    assumed = mark is None
    mark = crossing._assumed if mark is None else mark  # noqa: SLF001  # its own module's
    error = crossing._error(mark or 0)  # noqa: SLF001  # the same
    shown = round(crossing.right_s + error) % round(DIAL_S)
    dial = f"{shown // 3600 or 12}:{shown // 60 % 60:02}:{shown % 60:02}"
    usual, doubt = _doubts(crossing, history, shown, reference_doubt_s)
    told = round(doubt, 2) if doubt > 1.05 * usual or history.traits.reference else None
    expected = _for_doubt(crossing.expected, usual, doubt)
    return Reading(crossing, dial, error, doubt, told, expected, mark or 0, assumed)


def _doubts(crossing: Crossing, history: History, shown: int, reference_doubt_s: float) -> tuple[float, float]:
    """Standard doubt of a reading taken this way, as a row by itself would carry it, and of this one."""
    way = crossing.way
    own = history.traits.reading_doubt_s(way)
    other = 0.0 if way is history.usual_read_by else OTHER_HAND_DOUBT_S
    usual = math.hypot(own, other)
    if way is ReadBy.MINUTE_HAND and shown // 60 % 60 != _last_mark(history):
        own = max(own, OTHER_MARK_S)
    return usual, math.hypot(own, other, PRESS_SD_S, reference_doubt_s)


def _last_mark(history: History) -> int | None:
    """The minute at which the minute hand was read last, where its row tells."""
    told = [v.row.dial for v in history.readings if v.read_by is ReadBy.MINUTE_HAND and v.row.dial]
    return round(dial_seconds(told[-1])) // 60 % 60 if told else None


def _for_doubt(expected: Answer, usual: float, doubt: float) -> Answer:
    """What is expected of a reading with a doubt of its own, from what is expected of a usual one."""
    if isinstance(expected, NotYetKnown) or doubt <= usual:
        return expected
    wider = Z95 * math.sqrt((expected.doubt / Z95) ** 2 + doubt**2 - usual**2)
    return Quantity(expected.estimate, expected.estimate - wider, expected.estimate + wider)


def with_figure(crossing: Crossing, figure: int) -> Crossing:
    """The last figure of the minute is told."""
    return replace(crossing, figure=figure)


def with_dial(crossing: Crossing, digits: str) -> Crossing | None:
    """The whole dial time is told in figures, "827" or "1227"; None where no dial shows that."""
    seconds = dial_of_digits(digits)
    return None if seconds is None else replace(crossing, dial=seconds)


def with_mark(crossing: Crossing, mark: int) -> Crossing:
    """Which second the hand crossed is told."""
    return replace(crossing, mark=mark % 60)


def dial_of_digits(digits: str) -> int | None:
    """Figures without a colon as seconds past twelve: "827" is 8:27, "1227" 12:27; None where no dial shows that."""
    if not digits.isascii() or not digits.isdigit() or not 3 <= len(digits) <= 4:
        return None
    hours, minutes = int(digits[:-2]), int(digits[-2:])
    return round((hours % 12) * HOUR_S) + minutes * 60 if hours <= 12 and minutes < 60 else None


def dial_complete(digits: str) -> bool:
    """Whether they show a dial, and no further figure could follow."""
    return dial_of_digits(digits) is not None and not any(dial_of_digits(f"{digits}{n}") is not None for n in range(10))


def other_reading(reading: Reading) -> tuple[str, float] | None:
    """The dial ten minutes off that one figure leaves open too, and its error; None where it was told whole."""
    if reading.crossing.figure is None or reading.crossing.way is ReadBy.FIRST_BLOW:
        return None
    off = reading.off_s or 0.0
    shift = -_TEN_MINUTES_S if off > 0 else _TEN_MINUTES_S
    shown = round(dial_seconds(reading.dial) + shift) % round(DIAL_S)
    return f"{shown // 3600 or 12}:{shown // 60 % 60:02}", wrap_dial(reading.error_s + shift)


def mark_words(marks: Iterable[int] = MARKS) -> str:
    """ "60, 15, 30 or 45"."""
    names = [str(mark or 60) for mark in marks]
    return f"{', '.join(names[:-1])} or {names[-1]}"


def more_words(off_s: float) -> str:
    """ "5:00 more", "0:02 less"; "2.1 s" where it is little."""
    size = f"{abs(off_s):.1f} s" if abs(off_s) < 9.95 else clock_words(off_s)
    return f"{size} {'more' if off_s >= 0 else 'less'}"
