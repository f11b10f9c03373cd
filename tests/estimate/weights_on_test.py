"""A stand of weights with known truth, stepped quarter by quarter. Shares no physics with the program.

A weight's train runs by its own cause: going by time, strike by the hour's blows, chime by the quarter's notes; an
endless chain by both. Each quarter it falls by its own mm a day times the share of the day that quarter was worth.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from standwatch.estimate.history import History, history_of
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record, build
from tests.stories import ZONE

QUARTER = timedelta(minutes=15)
START = datetime(2026, 1, 12, 8, 20, tzinfo=ZoneInfo("UTC"))  # a Monday; Europe/London is at UTC all winter


def worth(cause: str, at: datetime, *, silent: bool = False) -> float:
    """The share of a day's running that the quarter ending at `at` is worth."""
    blows = ((at.hour - 1) % 12 + 1) / 156 if at.minute == 0 else 0.0
    if cause == "strike":
        return blows
    if cause == "chime":
        night = silent and (at.hour >= 22 or at.hour < 7)
        return 0.0 if night else {15: 4, 30: 8, 45: 12, 0: 16}[at.minute] / 960
    if cause == "chain":
        return 0.55 / 96 + 0.45 * blows
    return 1 / 96


@dataclass
class Weight:
    """One true weight: its speed in mm a day, its bow, where it hangs, where it can fall no further."""

    cause: str
    speed: float
    bow: float
    floor: float
    fall: float
    silent: bool = False

    def quarter(self, at: datetime) -> None:
        """Run through the quarter that ends at `at`."""
        share = worth(self.cause, at, silent=self.silent)
        self.fall += self.speed * (1 + self.bow * (self.fall / self.floor - 0.5)) * share

    def runs_out(self, at: datetime) -> datetime:
        """When it reaches its floor if left alone from `at` (a whole quarter) on."""
        alone = Weight(self.cause, self.speed, self.bow, self.floor, self.fall, self.silent)
        while alone.fall < alone.floor:
            at += QUARTER
            alone.quarter(at)
        return at


@dataclass
class Eye:
    """How falls are read: standard deviation, rounding, and how far off this scale looks."""

    sd: float
    to: float
    parallax: float

    def read(self, fall: float, rng: np.random.Generator) -> float:
        """One reading."""
        return max(0.0, round((fall + self.parallax + rng.normal(0, self.sd)) / self.to) * self.to)


def an_eye(rng: np.random.Generator) -> Eye:
    """Reading doubt 2 to 5 mm, rounded to 1, 5 or 10, parallax 3 mm."""
    return Eye(rng.uniform(2, 5), float(rng.choice([1, 5, 10])), rng.normal(0, 3))


class Ledger:
    """Rows as they are written, and the History as of any time."""

    def __init__(self, **columns: object) -> None:
        self.clock = build(Clock, {"tag": "T1", **columns})
        self.rows: list[Record[CheckIn]] = []

    def row(self, at: datetime, **cells: object) -> None:
        """Write one row."""
        body = CheckIn.model_validate({"at": at, "tag": "T1", **cells})
        place = len(self.rows) + 2
        self.rows.append(Record(f"T1-{place}", body, place, place, None, body.at))

    def history(self, now: datetime) -> History:
        """The clock's History as of `now`."""
        return history_of(self.clock, self.rows, now=now, zone=ZONE)
