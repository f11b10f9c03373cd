"""What the bench believes of weights: the truth from which readings are drawn. Shares no physics with the program.

A train runs by its own cause: going by time, strike by the hour's blows, chime by the quarter's notes, an endless
chain by both (.55 and .45). All are counted in days, quarter by quarter, before the story begins; a fault is another
count (nothing from a quarter on, some more at once, hours left out). A weight's speed depends on where it is: more
towards the bottom of its way or less (bow), a step where the line's second layer on the barrel is used up, and a
ripple of the barrel's own. All numbers here are common practice or plain assumptions; docs/power.md lists them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from standwatch.horology.kinds import KINDS
from standwatch.model.words import KindName

Floats = NDArray[np.float64]

ORIGIN = datetime(2026, 1, 5, tzinfo=ZoneInfo("UTC"))  # a Monday; Europe/London is at UTC all winter
QUARTER = timedelta(minutes=15)
A_DAY = 96
CHAIN_TIME = 0.55
"""Of an endless chain's fall the share that time takes."""
DAYS = 80
"""How long a story may be."""
SILENCE = "22:00-07:00"
CHAINS = frozenset({KindName.CUCKOO, KindName.LONGCASE_30H})


def time_of(quarter: float) -> datetime:
    """When a quarter of the story is."""
    return ORIGIN + quarter * QUARTER


def counted(cause: str, *, silent: bool = False) -> Floats:
    """Days counted by `cause` up to and with each quarter of the story."""
    quarter = np.arange(DAYS * A_DAY + 1)
    hour, part = quarter // 4 % 24, quarter % 4
    blows = np.where(part == 0, (hour - 1) % 12 + 1, 0) / 156
    notes = np.array([16, 4, 8, 12])[part] / 960
    if silent:
        notes = np.where((hour >= 22) | (hour < 7), 0.0, notes)
    each = {
        "going": np.full(len(quarter), 1 / A_DAY),
        "strike": blows,
        "chime": notes,
        "chain": CHAIN_TIME / A_DAY + (1 - CHAIN_TIME) * blows,
    }[cause]
    each[0] = 0.0
    return np.cumsum(each)


@dataclass(frozen=True)
class Line:
    """How one weight's line runs off its barrel: mm a day, bow, second layer, ripple; where its way ends."""

    speed: float
    bow: float
    layer_until: float
    layer_more: float
    ripple: float
    turn_mm: float
    floor: float

    def table(self) -> tuple[Floats, Floats]:
        """Fallen mm, and the days it takes to fall so far."""
        fall = np.arange(0.0, self.floor + 30.0, 1.0)
        speed = (
            self.speed
            * (1 + self.bow * (fall / self.floor - 0.5))
            * np.where(fall < self.layer_until, 1 + self.layer_more, 1.0)
        )
        between = 2 / (speed[1:] + speed[:-1])
        return fall, np.concatenate([[0.0], np.cumsum(between)])

    def shows(self, fall: float) -> float:
        """Where it hangs, the barrel's ripple included."""
        return fall + self.ripple * math.sin(2 * math.pi * fall / self.turn_mm)


@dataclass
class Weight:
    """One train's weight: its line, its count of days, and how far it has fallen at quarter `at`.

    `by_time` are the days that a quarter counts by time alone; the rest comes at the quarter's end, with the blows.
    """

    train: str
    line: Line
    count: Floats
    told_floor: float
    by_time: float
    fall: float = 20.0
    at: int = 0
    _table: tuple[Floats, Floats] = field(init=False)

    def __post_init__(self) -> None:
        """Work its table out once."""
        self._table = self.line.table()

    def until(self, quarter: int) -> None:
        """Let it run to `quarter`; at its floor it stays."""
        falls, days = self._table
        gone = np.interp(self.fall, falls, days) + self.count[quarter] - self.count[self.at]
        self.fall, self.at = min(float(np.interp(gone, days, falls)), self.line.floor), quarter

    @property
    def landed(self) -> bool:
        """At its floor."""
        return self.fall >= self.line.floor - 1e-6

    def wind(self, rng: np.random.Generator) -> None:
        """Up to 20 mm short of the top, never down."""
        self.fall = min(self.fall, rng.uniform(0, 20))

    def runs_out(self) -> float:
        """The quarter (and part of it, where it runs by time) at which it reaches its floor if left alone."""
        falls, days = self._table
        left = np.interp(self.line.floor, falls, days) - np.interp(self.fall, falls, days)
        wanted = self.count[self.at] + left
        after = int(np.searchsorted(self.count, wanted - 1e-12))
        if after >= len(self.count):
            return float("inf")
        within = (wanted - self.count[after - 1]) / self.by_time if self.by_time else 1.0
        return after - 1 + min(1.0, within)

    def spoilt(self, count: Floats) -> Weight:
        """The same with another count."""
        return replace(self, count=count)


@dataclass(frozen=True)
class Eye:
    """How falls are read: standard deviation, rounding, how far off each scale looks; how often a slip."""

    sd: float
    to: float
    parallax: dict[str, float]
    slips: float

    def read(self, weight: Weight, rng: np.random.Generator) -> float:
        """One reading of a fall."""
        seen = weight.line.shows(weight.fall) + self.parallax[weight.train] + rng.normal(0, self.sd)
        if rng.random() < self.slips:
            seen += rng.normal(0, 100) if rng.random() < 0.5 else float(rng.choice([-100, -50, 50, 100]))
        return float(np.clip(round(seen / self.to) * self.to, 0, weight.told_floor * 1.4))


def draw_eye(rng: np.random.Generator, trains: tuple[str, ...], *, careless: bool) -> Eye:
    """Reading doubt 2 to 5 mm, rounded to 1, 5 or 10, parallax 3 mm a train; one slip in a hundred."""
    parallax = {train: rng.normal(0, 3) for train in trains}
    return Eye(rng.uniform(2, 5), float(rng.choice([1, 5, 10])), parallax, 0.01 if careless else 0.0)


def draw_weight(
    rng: np.random.Generator, kind: KindName, train: str, cause: str, *, speed: float, days: float, silent: bool = False
) -> Weight:
    """A weight of `kind` that falls about `speed` mm a day and lasts `days` or a sixth longer."""
    chain = kind in CHAINS
    own = speed * float(np.clip(rng.normal(1, 0.2), 0.6, 1.5))
    floor = own * days * rng.uniform(1.03, 1.17)
    second = not chain and rng.random() < 1 / 3
    line = Line(
        speed=own,
        bow=rng.normal(0, 0.01 if chain else 0.03),
        layer_until=floor * rng.uniform(0.1, 0.4) if second else 0.0,
        layer_more=rng.uniform(0.02, 0.05) if second else 0.0,
        ripple=0.0 if chain else rng.uniform(0, 1.5),
        turn_mm=own / rng.uniform(1.5, 2.5),
        floor=floor,
    )
    by_time = {"going": 1.0, "chain": CHAIN_TIME}.get(cause, 0.0) / A_DAY
    return Weight(train, line, counted(cause, silent=silent), round(floor + rng.normal(0, 5)), by_time)


def usual(kind: KindName) -> tuple[float, float]:
    """mm a day and days of a wind, as the kinds have it."""
    known = KINDS[kind]
    return known.fall_mm_per_day, known.duration_h / 24
