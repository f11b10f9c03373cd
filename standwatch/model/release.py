"""The record of a release: what a clock stood on when it was let go, and what was found. Frozen, kept as one line.

Editions: "1" had no more than what has no default here; a record is read whatever its edition, and what an edition did
not keep is None or empty, never guessed. Times are UTC. Units are in the names; a rate is + gaining, an error + fast.
"""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, PlainSerializer

from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.facts import Clock
from standwatch.model.words import Outcome, Requirement, Train

_FROZEN = ConfigDict(frozen=True, extra="ignore", arbitrary_types_allowed=True, defer_build=True)


def told(answer: Answer) -> dict[str, object]:
    """An answer as JSON has it: estimate, low and high, or why there is none."""
    if isinstance(answer, Quantity):
        return {"estimate": answer.estimate, "low": answer.low, "high": answer.high}
    return {"not_yet_known": answer.because}


def _read(value: object) -> object:
    if isinstance(value, dict):
        if set(value) == {"not_yet_known"}:
            return NotYetKnown(str(value["not_yet_known"]))
        if set(value) == {"estimate", "low", "high"}:
            return Quantity(float(value["estimate"]), float(value["low"]), float(value["high"]))
    return value


def _tell(value: object) -> object:
    return told(value) if isinstance(value, Quantity | NotYetKnown) else value


Told = Annotated[Quantity | NotYetKnown, BeforeValidator(_read), PlainSerializer(_tell)]
"""A number with its 95 % interval, or why it was not known."""
Observed = Annotated[Quantity | float | str | None, BeforeValidator(_read), PlainSerializer(_tell)]


class Judged(BaseModel):
    """One requirement as it was when the clock was let go.

    `outcome` is `waived` where it was let go without; `found` is then what was found. `limit` is what was asked of it,
    in `unit`, and `usual` what its kind's default asks; they differ where the shop asks more or less.
    """

    model_config = _FROZEN

    name: Requirement
    outcome: Outcome
    observed: Observed = None
    limit: float | None = None
    unit: str = ""
    usual: float | None = None
    because: str = ""
    waived: str | None = None
    found: Outcome | None = None


class DailyRates(BaseModel):
    """Daily rates summed up by ISO 3159's definitions, s/day, over `days` rates; for comparison, never as limits."""

    model_config = _FROZEN

    days: int
    mean: float
    mean_variation: float
    greatest_variation: float
    greatest_difference: float


class RateOfDay(BaseModel):
    """The rate over one interval that ends at `at`."""

    model_config = _FROZEN

    at: datetime
    rate_s_per_day: Told


class Point(BaseModel):
    """The error at one time, s, with its 95 % interval; `starts` where the line begins anew."""

    model_config = _FROZEN

    at: datetime
    error_s: float
    low: float
    high: float
    starts: bool = False


class Reading(BaseModel):
    """An error as read, s; `sound` is no where the others contradict it."""

    model_config = _FROZEN

    at: datetime
    error_s: float
    sound: bool = True


class Done(BaseModel):
    """A piece of work on the stand, in words."""

    model_config = _FROZEN

    at: datetime
    words: str


class Home(BaseModel):
    """What its error is expected to be at its owner's, `days` after it is set right there.

    `move_s_per_day` is the standard deviation by which rates change on the way home, by `follow_ups` clocks of the
    shop that went home and were told of. `site_s_per_day` is what the owner's latitude and height do to a pendulum
    (None: nothing, it has none), `room_s_per_day` what the owner's room does against the stand's; both are in
    `error_s` where they are known. `from_site` and `to_site` are LAT,METRES.
    """

    model_config = _FROZEN

    days: float
    error_s: Told
    move_s_per_day: float | None = None
    follow_ups: int = 0
    site_s_per_day: Told | None = None
    room_s_per_day: Told | None = None
    from_site: str = ""
    to_site: str = ""


class Warmth(BaseModel):
    """Degrees C on the stand since the rate was last opened, as told with `readings` visits; the mean is of those."""

    model_config = _FROZEN

    mean_c: float
    low_c: float
    high_c: float
    readings: int


class Strikes(BaseModel):
    """Hours heard strike since the counts last began; of none wrong, up to `allow` of all could be (95 %)."""

    model_config = _FROZEN

    heard: int
    wrong: int
    allow: float | None = None


class Hanging(BaseModel):
    """One train as it was let go: how far its weight had fallen, when it was wound, how long it goes."""

    model_config = _FROZEN

    train: Train
    wound_at: datetime | None = None
    fall_mm: Told
    runs_out: datetime | None = None
    kg: float | None = None
    turns: float | None = None


class ReleaseRecord(BaseModel):
    """Everything that a release stood on, as it was. `digest` is over the rest and the facts.

    `readings`, `rates`, `works` and `trace` are since the movement was last opened, for charts and lists: of very many
    readings an even choice with all that are not sound, of the line some 200 points. `facts` are all there were.
    """

    model_config = _FROZEN

    tag: str
    at: datetime
    by: str
    program: str
    rules: str
    clock: Clock
    outcomes: tuple[Judged, ...]
    error_s: Told
    rate_s_per_day: Told
    drift_s_per_day2: Told
    amplitude_deg: Told
    days: float
    facts: tuple[str, ...]
    digest: str
    # from edition 2 on
    zone: str = "UTC"
    shop: str = ""
    position: str = ""
    days_needed: float | None = None
    opened_at: datetime | None = None
    rate_named: str = ""
    spare_pct: Told | None = None
    beat: float | None = None
    beat_unit: str = ""
    daily: DailyRates | None = None
    rates: tuple[RateOfDay, ...] = ()
    readings: tuple[Reading, ...] = ()
    trace: tuple[Point, ...] = ()
    works: tuple[Done, ...] = ()
    warmth: Warmth | None = None
    home: Home | None = None
    strikes: Strikes | None = None
    trains: tuple[Hanging, ...] = ()
    first_call_days: tuple[int, ...] = ()
    warranty_months: int | None = None
    paper: str = "A4"
    leads: tuple[str, ...] = ()

    @property
    def first_edition(self) -> bool:
        """Kept by the first edition of the rules: of what came later, nothing is known."""
        return self.rules == "1"

    def usual(self, judged: Judged) -> float | None:
        """The kind's own default of its limit, None where the kind has none; the first edition's is taken as usual."""
        return judged.limit if self.first_edition else judged.usual
