"""The kinds of clock and what follows from them, until the clock's own columns say otherwise.

The table is common practice; every number is a default that a column of the clock replaces.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from standwatch.model.facts import Clock
from standwatch.model.words import Drive, KindName, ReadBy, Train

Oscillator = Literal["pendulum", "balance", "torsion"]

_ALL = {
    "going": (Train.GOING,),
    "going+strike": (Train.GOING, Train.STRIKE),
    "going+strike+chime": (Train.GOING, Train.STRIKE, Train.CHIME),
}

# The standard doubt of a reading in seconds, by how it was read (common practice).
READING_DOUBT_S = {ReadBy.SECONDS_HAND: 0.5, ReadBy.MINUTE_HAND: 5.0, ReadBy.ESTIMATE: 15.0, ReadBy.FIRST_BLOW: 2.5}
FIRST_BLOW_SHORT_S = 7.0
SHORT_PENDULUM_BEATS = 6000
"""Beats an hour from which a pendulum is short: its first blow and its swing are read less well."""
OTHER_HAND_DOUBT_S = 30.0
"""Further doubt of a reading taken another way than the clock's usual: its hands and its blow disagree."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One row of the table of kinds.

    Speeds in mm/day, limits in s/day, `q1_s` in s per root day, `q2_s` in s/day per root day (standard deviations).
    `half_swing_deg` is the usual half-swing of a pendulum, the usual amplitude of a balance, the total of a torsion
    pendulum.
    """

    name: KindName
    title: str
    short: str
    trains: str
    drive: Drive
    duration_h: float
    beats_per_hour: float
    oscillator: Oscillator
    half_swing_deg: float
    fall_mm_per_day: float
    mean_rate_limit: float | None
    day_range_limit: float | None
    least_days: float
    q1_s: float
    q2_s: float


@dataclass(frozen=True, slots=True)
class Limits:
    """What is asked of a clock, by the names of its columns.

    `swing_limit` is a pendulum's in per cent over the point where its escapement just fails to unlock, a balance's in
    degrees, of a torsion pendulum the overswing each side in degrees. `beat_limit` is a pendulum's in per cent, a
    balance's in ms, of a torsion pendulum the overswing left against right in degrees.
    """

    mean_rate_limit: float | None
    day_range_limit: float | None
    least_days: float
    swing_limit: float
    beat_limit: float


SWING_LIMITS: dict[Oscillator, float] = {"pendulum": 25.0, "balance": 180.0, "torsion": 20.0}
BEAT_LIMITS: dict[Oscillator, float] = {"pendulum": 4.0, "balance": 3.0, "torsion": 10.0}
"""In the units of `Limits` (common practice)."""
CYLINDER_LEAST_DEG = 120.0

_W, _S = Drive.WEIGHT, Drive.SPRING
_K = KindName
# fmt: off
KINDS: dict[KindName, Kind] = {kind.name: kind for kind in (
    #    name               title                      short        trains                drive hours beats/h oscillator swing fall mean range days q1 q2
    Kind(_K.REGULATOR,       "regulator",               "regulator",  "going",              _W, 192,   3600,  "pendulum", 1.5, 150,   1,   1.5, 21, 0.12, 0.02),
    Kind(_K.WEIGHT_WALL,     "weight-driven wall",      "weight wl",  "going+strike",       _W, 192,   4650,  "pendulum", 1.6, 115,   4,   5,   16, 0.5,  0.05),
    Kind(_K.LONGCASE,        "longcase",                "longcase",   "going+strike",       _W, 192,   3600,  "pendulum", 2.5, 165,   10,  8,   16, 1.0,  0.10),
    Kind(_K.LONGCASE_30H,    "longcase 30 h",           "lcase 30h",  "going+strike",       _W, 30,    3600,  "pendulum", 2.5, 1380,  20,  20,  10, 2.5,  0.25),
    Kind(_K.FLOOR_CHIMING,   "floor chiming",           "floor chm",  "going+strike+chime", _W, 192,   3960,  "pendulum", 3.2, 135,   8,   8,   16, 1.0,  0.12),
    Kind(_K.CUCKOO,          "cuckoo",                  "cuckoo",     "going+strike",       _W, 30,    6600,  "pendulum", 7,   1380,  45,  40,  7,  9,    0.8),
    Kind(_K.SPRING_WALL,     "spring-driven wall",      "spring wl",  "going+strike",       _S, 192,   7200,  "pendulum", 5,   0,     45,  60,  12, 5,    0.5),
    Kind(_K.SPRING_WALL_31D, "spring-driven wall 31 d", "wall 31d",   "going+strike",       _S, 744,   6600,  "pendulum", 5,   0,     60,  60,  31, 6,    0.6),
    Kind(_K.MANTEL,          "mantel",                  "mantel",     "going+strike",       _S, 192,   8400,  "pendulum", 5,   0,     25,  30,  16, 3.5,  0.35),
    Kind(_K.BRACKET,         "bracket",                 "bracket",    "going+strike",       _S, 192,   6600,  "pendulum", 4.5, 0,     15,  12,  16, 2,    0.2),
    Kind(_K.MANTEL_CHIMING,  "mantel chiming",          "mantel chm", "going+strike+chime", _S, 192,   18000, "balance",  240, 0,     25,  30,  16, 3,    0.3),
    Kind(_K.CARRIAGE,        "carriage",                "carriage",   "going+strike",       _S, 192,   18000, "balance",  240, 0,     20,  30,  16, 3,    0.3),
    Kind(_K.TORSION,         "torsion",                 "torsion",    "going",              _S, 9600,  480,   "torsion",  310, 0,     30,  40,  28, 6,    0.8),
    Kind(_K.REFERENCE,       "reference",               "reference",  "going",              _W, 24000, 3600,  "pendulum", 0,   0,     None, None, 5, 0,    0.00014),
)}
# fmt: on


@dataclass(frozen=True, slots=True)
class Traits:
    """What holds for one clock: its columns where given, else its kind's defaults. Units as in the columns.

    `usable_mm` is each weight's fall down to the first floor: its own usable fall or the customer's case, whichever
    is less. `possible_mm` leaves the case out. Both are empty for springs. `passage_winds` is how many winds a weight
    must carry the clock past its bob (0: not applicable). `asked` is what this clock must show: its own columns, else
    what the shop asks of its kind, else `usual`, the kind's own defaults.
    """

    kind: Kind
    trains: tuple[Train, ...]
    drive: Drive
    oscillator: Oscillator
    duration_h: float
    full_run_h: float
    beats_per_hour: float
    usual_read_by: ReadBy
    fall_mm_per_day: float
    usable_mm: dict[Train, float]
    possible_mm: dict[Train, float]
    turns: dict[Train, float]
    maintaining: bool
    self_correcting: bool
    half_hour: bool
    moon: bool
    movement_only: bool
    short_pendulum: bool
    beat_aim: float
    passage_winds: int
    asked: Limits
    usual: Limits
    q1_s: float
    q2_s: float
    mean_rate_limit: float | None = field(init=False)
    day_range_limit: float | None = field(init=False)
    least_days: float = field(init=False)
    swing_limit: float = field(init=False)
    beat_limit: float = field(init=False)

    def __post_init__(self) -> None:
        for name in Limits.__slots__:
            object.__setattr__(self, name, getattr(self.asked, name))

    def swing_needed_deg(self, unlock_deg: float | None) -> float | None:
        """Degrees that a swing must have; None where it isn't judged by its amplitude, or no unlocking point is known.

        `unlock_deg` is the half-swing at which a pendulum's escapement just fails to unlock.
        """
        if self.oscillator == "pendulum":
            return None if unlock_deg is None else unlock_deg * (1 + self.swing_limit / 100)
        return self.swing_limit if self.oscillator == "balance" else None

    @property
    def weights(self) -> bool:
        """Driven by weights, whose fall can be read."""
        return self.drive is Drive.WEIGHT and self.kind.name is not KindName.REFERENCE

    @property
    def reference(self) -> bool:
        """Compared for its rate alone."""
        return self.kind.name is KindName.REFERENCE

    @property
    def daily(self) -> bool:
        """Wound about once a day (duration under a week)."""
        return self.duration_h < 168

    @property
    def inferred_run(self) -> bool:
        """A full run too long to watch: torsion and 31-day clocks."""
        return self.duration_h >= 700 and not self.reference

    def reading_doubt_s(self, how: ReadBy) -> float:
        """Standard doubt in seconds of one reading taken `how`."""
        if how is ReadBy.FIRST_BLOW and self.short_pendulum:
            return FIRST_BLOW_SHORT_S
        return READING_DOUBT_S[how]


def usual_of(clock: Clock) -> Limits:
    """What is asked of a clock of this kind, escapement and duration where neither it nor the shop says otherwise."""
    kind = KINDS[clock.kind]
    escapement = (clock.escapement or "").lower()
    verge = kind.name is KindName.BRACKET and "verge" in escapement
    cylinder = kind.name is KindName.CARRIAGE and "cylinder" in escapement
    rate, spread = (
        (120.0, 120.0) if verge else (60.0, 60.0) if cylinder else (kind.mean_rate_limit, kind.day_range_limit)
    )
    return Limits(
        mean_rate_limit=rate,
        day_range_limit=spread,
        least_days=16.0 if _eight_day_cuckoo(clock) else kind.least_days,
        swing_limit=CYLINDER_LEAST_DEG if cylinder else SWING_LIMITS[kind.oscillator],
        beat_limit=BEAT_LIMITS[kind.oscillator],
    )


def _eight_day_cuckoo(clock: Clock) -> bool:
    return clock.kind is KindName.CUCKOO and (clock.duration_h or KINDS[clock.kind].duration_h) >= 168


def _asked(clock: Clock, shop: Mapping[str, float], usual: Limits) -> Limits:
    """Each limit by the clock's own column, else by the shop's for its kind, else as usual."""
    return Limits(*(getattr(clock, name) or shop.get(name) or getattr(usual, name) for name in Limits.__slots__))


NONE_OF_ITS_OWN: Mapping[str, float] = MappingProxyType({})
"""A shop that asks what is usual."""


def traits_of(clock: Clock, shop: Mapping[str, float] = NONE_OF_ITS_OWN) -> Traits:
    """What holds for `clock`, where `shop` asks so much of its kind, by the names of `Limits`.

    Raises nothing: a `Clock` is already checked.
    """
    kind = KINDS[clock.kind]
    drive = clock.drive or kind.drive
    trains = _ALL[clock.trains or kind.trains]
    duration = clock.duration_h or kind.duration_h
    # a wind of another length on the same drop: the weight falls slower in proportion (an 8-day cuckoo falls 200)
    speed = kind.fall_mm_per_day * kind.duration_h / duration
    if _eight_day_cuckoo(clock):
        speed = 200.0 * 192 / duration
    full_run = duration + 12 if duration >= 168 else duration
    weights = drive is Drive.WEIGHT and kind.name is not KindName.REFERENCE
    possible = {t: getattr(clock, f"{t}_usable_mm") or speed * full_run / 24 for t in trains} if weights else {}
    usable = {t: min(mm, clock.case_fall_mm or mm) for t, mm in possible.items()}
    beats = clock.beats_per_hour or kind.beats_per_hour
    usual = usual_of(clock)
    by_seconds = clock.seconds_hand
    if by_seconds is None:
        by_seconds = kind.name in {KindName.REGULATOR, KindName.LONGCASE, KindName.REFERENCE}
    if clock.seconds_turn_s not in {None, 60}:
        by_seconds = False
    key_without_power = kind.name in {KindName.LONGCASE, KindName.FLOOR_CHIMING}
    passage = 0 if not weights else 2 if kind.name is KindName.LONGCASE and duration >= 168 else 1
    return Traits(
        kind=kind,
        trains=trains,
        drive=drive,
        oscillator=kind.oscillator,
        duration_h=duration,
        full_run_h=full_run,
        beats_per_hour=beats,
        usual_read_by=ReadBy.SECONDS_HAND if by_seconds else ReadBy.MINUTE_HAND,
        fall_mm_per_day=speed if weights else 0.0,
        usable_mm=usable,
        possible_mm=possible,
        turns={t: n for t in trains if (n := getattr(clock, f"{t}_turns"))},
        maintaining=not (weights and key_without_power) if clock.maintaining is None else clock.maintaining,
        self_correcting=Train.CHIME in trains if clock.self_correcting is None else clock.self_correcting,
        half_hour=bool(clock.half_hour),
        moon=bool(clock.moon),
        movement_only=bool(clock.movement_only),
        short_pendulum=kind.oscillator == "pendulum" and beats >= SHORT_PENDULUM_BEATS,
        beat_aim=1.0 if kind.oscillator == "balance" else 2.0,
        passage_winds=passage,
        asked=_asked(clock, shop, usual),
        usual=usual,
        q1_s=kind.q1_s,
        q2_s=kind.q2_s,
    )
