"""When the clock was shown going, its stops and its winds: what the evidence of running stands on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standwatch.model.words import Train


@dataclass(frozen=True, slots=True)
class Stop:
    """A time the going train was found hanging.

    `in_time`: it ran out at or after its rated time, which is no stop. `shown_until` is the last moment it is shown
    going before (by a fact, or by the earliest candidate of odds .05 or more that the dial leaves).
    """

    id: str
    found_at: datetime
    ran_out: bool
    in_time: bool
    explained: bool
    shown_until: datetime | None
    restarted_at: datetime | None


@dataclass(frozen=True, slots=True)
class Wind:
    """One run of one train, from a wind to the next wind or the run-out. `shown_until`: last shown going in it."""

    train: Train
    wound_at: datetime
    shown_until: datetime | None
    ran_out_at: datetime | None
    ended_at: datetime | None


@dataclass(frozen=True, slots=True)
class Going:
    """The running of one clock since it was last opened.

    `running_since` is where unbroken going begins, `days` how long it lasts in days up to the last fact that shows it
    (the days it hung after a run-out in time left out). `hangs` names what keeps it standing now, if anything.
    """

    stops: tuple[Stop, ...]
    winds: tuple[Wind, ...]
    running_since: datetime | None
    last_shown: datetime | None
    days: float
    hangs: Stop | None
