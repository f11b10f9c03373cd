"""Which clocks sound at a quarter of civil time, and when: each by its own error, with its doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from standwatch.estimate.trainclock import train_clock
from standwatch.horology.kinds import Traits
from standwatch.horology.wheelwork import is_silent, parse_silence, quarter_notes
from standwatch.judge.case import Case
from standwatch.judge.chiming import positions_left, silent_set, turns_heard
from standwatch.judge.sounding import BLOW_S, HOURS, NOTE_S
from standwatch.judge.stopping import ran_down
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import Train

QUARTER = timedelta(minutes=15)
REACH = QUARTER / 2
"""So far before and after a quarter of civil time its voices sound; a clock further out sounds another quarter then."""
_QUARTER_S = 900.0
_DAY_S = 86400


class Silence(StrEnum):
    """Why a clock says nothing at a quarter."""

    NEVER = "does not strike"
    HOURS_ONLY = "strikes the hour only"
    STOPPED = "stopped"
    RAN_OUT = "ran out"
    NIGHT = "silent by night"
    SELECTOR = "selector on silent"
    UNKNOWN = "when it sounds is not known: read it first"


@dataclass(frozen=True, slots=True)
class Voice:
    """One clock at one quarter: when it sounds (UTC, with its 95 % interval), and what its dial shows then.

    `quarter` is 1 to 4, `hour` 1 to 12; `blows` are the hour's, or one at a half-hour, 0 where it strikes nothing.
    `silent`: it chimes by its train and stands on silent, so that it must say nothing.
    """

    tag: str
    slot: str
    title: str
    short: str
    at: datetime
    low: datetime
    high: datetime
    hour: int
    quarter: int
    chimes: bool
    blows: int
    silent: bool = False

    @property
    def name(self) -> str:
        """How the shop calls it: its slot, or its tag where it hangs nowhere."""
        return self.slot or self.tag

    @property
    def strikes_hour(self) -> bool:
        """It strikes the full hour."""
        return self.quarter == 4 and self.blows > 0

    @property
    def doubt_s(self) -> float:
        """Half the 95 % interval of when it sounds, in seconds."""
        return (self.high - self.low) / timedelta(seconds=2)

    @property
    def lasts_s(self) -> float:
        """How long it sounds, in seconds: its notes and its blows (common practice)."""
        return (quarter_notes(self.quarter) * NOTE_S if self.chimes else 0.0) + self.blows * BLOW_S


@dataclass(frozen=True, slots=True)
class Quiet:
    """One clock that says nothing at a quarter, and why."""

    tag: str
    slot: str
    why: Silence

    @property
    def name(self) -> str:
        """How the shop calls it."""
        return self.slot or self.tag


def mark_of(now: datetime) -> datetime:
    """The quarter of civil time, in UTC, whose voices sound now or next: from 7:30 before it until 7:30 after.

    Every zone's civil time stands off UTC by whole quarters (IANA tz, since 1990), so that a quarter is one anywhere.
    """
    seconds = (now + REACH).timestamp()
    return datetime.fromtimestamp(seconds - seconds % _QUARTER_S, UTC)


def is_hour(mark: datetime, zone: ZoneInfo) -> bool:
    """Whether a quarter is a full hour of civil time."""
    return mark.astimezone(zone).minute == 0


def mark_words(mark: datetime, zone: ZoneInfo) -> str:
    """ "nine o'clock", "a quarter past nine", "half past nine", "a quarter to ten"."""
    local = mark.astimezone(zone)
    hour, following = HOURS[(local.hour - 1) % 12], HOURS[local.hour % 12]
    said = {15: f"a quarter past {hour}", 30: f"half past {hour}", 45: f"a quarter to {following}"}
    return said.get(local.minute, f"{hour} o'clock")


def voices_at(cases: Sequence[Case], mark: datetime) -> tuple[tuple[Voice, ...], tuple[Quiet, ...]]:
    """What sounds around `mark`, soonest first, and what doesn't. Clocks at their owner's are left out."""
    found = [_sounds(case, mark) for case in cases if case.history.home_since is None]
    voices = [each for each in found if isinstance(each, Voice)]
    return (
        tuple(sorted(voices, key=lambda voice: (voice.at, voice.slot, voice.tag))),
        tuple(each for each in found if isinstance(each, Quiet)),
    )


def _sounds(case: Case, mark: datetime) -> Voice | Quiet:
    history = case.history
    tag, slot = history.clock.tag, history.position
    why = _says_nothing(case)
    if why is not None:
        return Quiet(tag, slot, why)
    error = case.estimates.time.error_at(mark)
    if isinstance(error, NotYetKnown):
        return Quiet(tag, slot, Silence.UNKNOWN)
    ahead = train_clock(history, Train.STRIKE).offsets[-1][1]
    number = round((mark.timestamp() + ahead + error.estimate) / _QUARTER_S)
    quarter, hour = number % 4 or 4, (number // 4 - 1) % 12 + 1
    if history.clock.night_silence and is_silent(parse_silence(history.clock.night_silence), _dial_time(number)):
        return Quiet(tag, slot, Silence.NIGHT)
    trains = set(case.traits.trains) - set(case.going.run_down)
    chimes, blows = Train.CHIME in trains, _blows(case.traits, trains, quarter, hour)
    on_silent = silent_set(case)
    if on_silent and not _silence_to_hear(case):
        return Quiet(tag, slot, Silence.SELECTOR)
    if on_silent:
        chimes, blows = False, 0
    elif not chimes and not blows:
        return Quiet(tag, slot, Silence.RAN_OUT if _would(case.traits, quarter) else Silence.HOURS_ONLY)
    at, low, high = (_when(number, ahead, e) for e in (error.estimate, error.high, error.low))
    kind = case.traits.kind
    return Voice(tag, slot, kind.title, kind.short, at, low, high, hour, quarter, chimes, blows, on_silent)


def _says_nothing(case: Case) -> Silence | None:
    """Why the clock sounds at no quarter at all; None where it does."""
    if case.traits.reference or not {Train.STRIKE, Train.CHIME} & set(case.traits.trains):
        return Silence.NEVER
    if case.going.hangs is not None:
        return Silence.RAN_OUT if ran_down(case.history, case.going.hangs) else Silence.STOPPED
    return None


def _silence_to_hear(case: Case) -> bool:
    """Whether it still has to be heard that the clock keeps quiet on silent."""
    return 0 in positions_left(case) and not turns_heard(case)[-1].silent


def _blows(traits: Traits, trains: set[Train], quarter: int, hour: int) -> int:
    if Train.STRIKE not in trains:
        return 0
    return hour if quarter == 4 else 1 if quarter == 2 and traits.half_hour else 0


def _would(traits: Traits, quarter: int) -> bool:
    """Whether it would sound at `quarter` if its trains had power."""
    return Train.CHIME in traits.trains or bool(_blows(traits, set(traits.trains), quarter, 12))


def _dial_time(number: int) -> time:
    """The time of day that the dial shows at quarter `number` since 1970."""
    second = round(number * _QUARTER_S) % _DAY_S
    return time(second // 3600, second // 60 % 60)


def _when(number: int, ahead: float, error_s: float) -> datetime:
    return datetime.fromtimestamp(number * _QUARTER_S - ahead - error_s, UTC)
