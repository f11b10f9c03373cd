"""A reading far from what was expected: the ready answers, in order, and what each does to the facts. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from standwatch.estimate.history import History, Visit
from standwatch.horology.civil import civil_changes
from standwatch.judge.unlogged import CIVIL_SLACK_S, SET_WITHIN
from standwatch.model.units import DIAL_S, HOUR_S, clock_words, dial_seconds, error_words
from standwatch.model.words import ReadBy, Work
from standwatch.service.round.crossing import Reading, other_reading
from standwatch.service.shop import Shop

Code = Literal["look-again", "hands-set", "stopped", "misread", "slipped", "really-so"]

_MINUTE = timedelta(minutes=1)
SLIPPED = "hand slipped on its arbor, or the escapement tripped"


@dataclass(frozen=True, slots=True)
class Step:
    """One fact to write: a new check-in, or where `corrects` is given other cells for that one."""

    cells: Mapping[str, object]
    corrects: str | None = None


@dataclass(frozen=True, slots=True)
class Surprise:
    """The reading that nobody expected, its fact's id, and the look before it, if this is the second.

    `history` is the clock's as it was before either.
    """

    history: History
    reading: Reading
    id: str
    first: Reading | None = None
    first_id: str | None = None

    @property
    def off_s(self) -> float:
        """How much faster than expected, in seconds."""
        return self.reading.off_s or 0.0

    @property
    def again(self) -> bool:
        """It was looked at twice."""
        return self.first is not None

    @property
    def cleared(self) -> bool:
        """The second look shows what was expected: the first was wrong."""
        return self.again and not self.reading.surprise

    @property
    def minutes(self) -> int:
        """By how many whole minutes the hands are out, if the seconds agree; 0 where they don't, or don't show."""
        return whole_minutes(self.first if self.cleared and self.first is not None else self.reading)


def whole_minutes(reading: Reading) -> int:
    """The whole minutes by which a reading lies off, within its doubt; 0 where it is none."""
    off = reading.off_s or 0.0
    whole = round(off / 60)
    doubt = getattr(reading.expected, "doubt", 0.0)
    return whole if whole and abs(off - 60 * whole) <= min(max(doubt, 2.0), 15.0) else 0


@dataclass(frozen=True, slots=True)
class Ready:
    """One ready answer: its key, a title, what it would mean, and what it does. `on`: it can be given now.

    `fits` says that the reading looks like it, or is empty. `wants_time`: when it was set going is asked first.
    """

    key: int
    code: Code
    title: str
    fits: str
    means: str
    does: str
    on: bool
    wants_time: bool = False


def ready_answers(surprise: Surprise, shop: Shop) -> tuple[Ready, ...]:
    """The answers in their order; look again is always the first."""
    return (
        _look_again(surprise),
        _hands_set(surprise),
        _stopped(surprise),
        _misread(surprise),
        _slipped(),
        _so(shop, surprise),
    )


def _look_again(surprise: Surprise) -> Ready:
    reading = surprise.reading
    figure = reading.crossing.figure
    means, does = "press once more, then the whole dial time", "half a minute, and the surest answer"
    other = other_reading(reading)
    if other is not None and not surprise.again:
        does = f"{figure} alone can't tell {other[0]} from {_minute(reading.dial)}"
    return Ready(1, "look-again", "look again", "", means, does, True)


def _hands_set(surprise: Surprise) -> Ready:
    off, does = surprise.off_s, "error steps, rate is kept"
    if _civil(surprise) is not None:
        means = "the dial now shows the new civil time"
        return Ready(2, "hands-set", "summer time", "fits the reading", means, "the error is kept", True)
    if surprise.cleared:
        return Ready(2, "hands-set", "hands set", "", "the second look is as expected", does, False)
    way = "forward" if off > 0 else "back"
    fits = "fits the reading" if _fits_set(surprise) else ""
    return Ready(
        2, "hands-set", "hands set", fits, f"about {clock_words(off)} {way}{since_words(surprise)}", does, True
    )


def _stopped(surprise: Surprise) -> Ready:
    fits = "fits the reading" if not surprise.cleared and surprise.off_s < 0 and not _fits_set(surprise) else ""
    means = "someone set it going; you are asked when"
    return Ready(
        3, "stopped", "stopped, restarted", fits, means, "continuous running starts again", not surprise.cleared, True
    )


def _misread(surprise: Surprise) -> Ready:
    typed = minutes_as_seconds(surprise)
    if typed is not None:
        when = day_of(typed.at, surprise)
        was, meant = typed.error_s or 0.0, 60 * (typed.error_s or 0.0)
        means = f"{when}: {was:g} s typed, {error_words(meant)} meant"
        return Ready(
            4, "misread", "minutes typed as seconds", "fits the reading", means, "that reading is put right", True
        )
    if surprise.cleared and surprise.first is not None:
        minutes = whole_minutes(surprise.first)
        if minutes:
            right = _minute(_put_right(surprise.first, minutes))
            means = f"the first look was {_minute(surprise.first.dial)}, the dial showed {right}"
            does = "put right; two in one job are a lead"
        else:
            means, does = "the first press went wrong", "the first is kept, as a rough one"
        return Ready(4, "misread", "minute misread", "fits both looks", means, does, True)
    means = "the second look says the same" if surprise.again else "only after a second look"
    return Ready(4, "misread", "minute misread", "", means, "two in one job are a lead, not a blunder", False)


def _slipped() -> Ready:
    return Ready(5, "slipped", "hand slipped", "a fault", "on its arbor, or the escapement tripped",
                 "noted; a second one the same way is a lead", True)  # fmt: skip


def _so(shop: Shop, surprise: Surprise) -> Ready:
    following = shop.rounds.next_after(surprise.reading.crossing.at).astimezone(shop.zone)
    means = "both looks are kept" if surprise.cleared else "the cause is not known"
    return Ready(6, "really-so", "really so", "", means, f"kept as suspect, asked again {following:%A}", True)


def steps_of(surprise: Surprise, code: Code, *, restarted_at: datetime | None = None) -> tuple[Step, ...]:
    """The facts that an answer makes, in order. `restarted_at`: when it was set going, None where nobody knows."""
    tag, press = surprise.reading.crossing.tag, surprise.reading.crossing.at
    match code:
        case "hands-set":
            change = _civil(surprise)
            at = set_at(surprise) if change is None else max(change, set_at(surprise))
            work = Work.HANDS_SET if change is None else Work.SUMMER_TIME
            return (Step({"tag": tag, "at": at, "work": work}),)
        case "stopped":
            at = min(restarted_at or press - _MINUTE, press - timedelta(seconds=1))
            if surprise.first is not None and restarted_at is None:
                at = min(at, surprise.first.crossing.at - _MINUTE)
            return (
                Step({"tag": tag, "at": at, "work": Work.STOPPED}),
                Step({"tag": tag, "at": at, "work": Work.RESTARTED}),
            )
        case "misread":
            return _misread_steps(surprise)
        case "slipped":
            return (Step({"note": SLIPPED}, corrects=surprise.id),)
        case _:
            return ()


def _misread_steps(surprise: Surprise) -> tuple[Step, ...]:
    typed = minutes_as_seconds(surprise)
    if typed is not None:
        return (Step({"error_s": f"{60 * (typed.error_s or 0.0):g}"}, corrects=typed.id),)
    first = surprise.first
    if first is None or surprise.first_id is None or not surprise.cleared:
        return ()
    minutes = whole_minutes(first)
    if minutes:
        return (Step({"dial": _put_right(first, minutes)}, corrects=surprise.first_id),)
    return (Step({"error_u_s": f"{abs(first.off_s or 60.0):.1f}"}, corrects=surprise.first_id),)


def _put_right(reading: Reading, minutes: int) -> str:
    """The dial with the whole minutes taken off by which it was misread."""
    shown = round(dial_seconds(reading.dial) - 60 * minutes) % round(DIAL_S)
    return f"{shown // 3600 or 12}:{shown // 60 % 60:02}:{shown % 60:02}"


def set_at(surprise: Surprise) -> datetime:
    """When hands that were found set are taken to have been set: once the clock was read for the last time before.

    As `judge.unlogged` proposes it for work that nobody logged.
    """
    press = (surprise.first or surprise.reading).crossing.at
    last = _last(surprise)
    if last is None:
        return press - _MINUTE
    whole = last.at.replace(second=0, microsecond=0)
    return min(whole + _MINUTE if whole < last.at else whole, press - timedelta(seconds=1))


def _last(surprise: Surprise) -> Visit | None:
    readings = surprise.history.readings
    return readings[-1] if readings else None


def minutes_as_seconds(surprise: Surprise) -> Visit | None:
    """The last reading, if it looks like minutes typed as seconds: sixty times it is what is found now."""
    last = _last(surprise)
    if last is None or last.row.error_s is None or abs(last.row.error_s) < 1 or surprise.cleared:
        return None
    meant = 60 * last.row.error_s
    slack = 30 + max(10 * surprise.reading.doubt_s, 0.1 * abs(meant))
    return last if abs(surprise.reading.error_s - meant) <= slack and abs(surprise.off_s) > slack else None


def _fits_set(surprise: Surprise) -> bool:
    """Setting the hands leaves a seconds hand where it is; where there is none, forward is set and back has stood."""
    if surprise.reading.crossing.way is ReadBy.SECONDS_HAND:
        return bool(surprise.minutes)
    return surprise.off_s > 0


def _civil(surprise: Surprise) -> datetime | None:
    """When civil time moved by the hour by which it lies off, within the last two weeks; None where it didn't."""
    if abs(abs(surprise.off_s) - HOUR_S) > max(CIVIL_SLACK_S, 4 * surprise.reading.doubt_s):
        return None
    at, zone = surprise.reading.crossing.at, surprise.history.zone
    changes = civil_changes(zone, at - SET_WITHIN, at)
    return next((change for change, moved in changes if moved * surprise.off_s > 0), None)


def since_words(surprise: Surprise) -> str:
    """ " since yesterday", from the last reading; empty where there is none."""
    last = _last(surprise)
    return "" if last is None else f" since {day_of(last.at, surprise)}"


def day_of(at: datetime, surprise: Surprise) -> str:
    """ "today", "yesterday", "Mon", "Mon 9 Nov"."""
    zone = surprise.history.zone
    local, press = at.astimezone(zone), surprise.reading.crossing.at.astimezone(zone)
    days = (press.date() - local.date()).days
    if days < 2:
        return "yesterday" if days else "today"
    return f"{local:%a}" if days < 7 else f"{local:%a} {local.day} {local:%b}"


def _minute(dial: str) -> str:
    return dial.rpartition(":")[0] if dial.count(":") == 2 else dial
