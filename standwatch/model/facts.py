"""The facts: a clock, a check-in, a waiver, a step of handing over. Frozen, cleaned, checked by what needs no context.

A field's description is the mend a user reads when its value is wrong: "give ...". Whether a value is possible for
*this* clock (its possible fall, a pendulum's swing) is `horology.limits`' question, since it needs the kind.
Columns and words are INTERFACES'; `None` means "not given".
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from standwatch.model.text import clean
from standwatch.model.words import Chime, Drive, KindName, ReadBy, Requirement, Train, Work

_DIAL = re.compile(r"(\d{1,2}):([0-5]\d)(?::([0-5]\d))?")
_SILENCE = re.compile(r"([01]?\d|2[0-3]):[0-5]\d-([01]?\d|2[0-3]):[0-5]\d")
_ISO_TIME = re.compile(r"\d{4}-?\d\d-?\d\d[T ]\d\d")


def _wrong(sentence: str) -> PydanticCustomError:
    return PydanticCustomError("standwatch", sentence)


def _time(value: object) -> object:
    if isinstance(value, str):
        if not _ISO_TIME.match(value.strip()):
            raise _wrong("not a time")
        try:
            value = datetime.fromisoformat(value.strip())
        except ValueError:
            raise _wrong("not a time") from None
    if not isinstance(value, datetime):
        raise _wrong("not a time")
    if value.utcoffset() is None:
        raise _wrong("a time without its offset from UTC")
    try:
        return value.astimezone(UTC)
    except OverflowError:
        raise _wrong("not a time") from None


def _text(value: object) -> object:
    return (clean(value) or None) if isinstance(value, str) else value


def _dial(value: object) -> object:
    if isinstance(value, str):
        found = _DIAL.fullmatch(value.strip())
        if not found or int(found[1]) > 23:
            raise _wrong("not what a dial can show")
        return f"{int(found[1])}:{found[2]}" + (f":{found[3]}" if found[3] else "")
    return value


def _flag(value: object) -> object:
    if isinstance(value, str):
        if value.strip().lower() not in {"yes", "no"}:
            raise _wrong("neither yes nor no")
        return value.strip().lower() == "yes"
    return value


Time = Annotated[datetime, BeforeValidator(_time)]
Words = Annotated[str, BeforeValidator(_text)]
Line = Annotated[str | None, BeforeValidator(_text)]
Dial = Annotated[str, BeforeValidator(_dial)]
YesNo = Annotated[bool, BeforeValidator(_flag)]
Tag = Annotated[str, BeforeValidator(_text), Field(min_length=1, max_length=24)]

_TIME_MEND = "give ISO 8601 with an offset, such as 2026-11-20T08:05:00+00:00"
_FALL_MEND = "give mm fallen from fully wound, downwards +"
_TAG_MEND = "give 1 to 24 printable characters"
_FINITE = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)  # built when first used


class Clock(BaseModel):
    """A clock on the stand: one job, one tag. What is None follows from its kind (`horology.kinds.traits_of`)."""

    model_config = _FINITE

    tag: Tag = Field(description=_TAG_MEND)
    description: Line = Field(None, description="give words")
    kind: KindName = Field(description="give one that `standwatch clock kinds` lists")
    position: Line = Field(None, max_length=12, description="give a slot, letters for the rail then a number")
    beats_per_hour: float | None = Field(None, ge=60, le=40000, description="give beats an hour, 60 to 40000")
    seconds_hand: YesNo | None = Field(None, description="give yes or no")
    drive: Drive | None = Field(None, description="give weight or spring")
    trains: Literal["going", "going+strike", "going+strike+chime"] | None = Field(
        None, description="give going, going+strike or going+strike+chime"
    )
    duration_h: float | None = Field(None, ge=12, le=20000, description="give the rated hours, 12 to 20000")
    going_usable_mm: float | None = Field(None, gt=0, le=20000, description="give mm, over 0")
    strike_usable_mm: float | None = Field(None, gt=0, le=20000, description="give mm, over 0")
    chime_usable_mm: float | None = Field(None, gt=0, le=20000, description="give mm, over 0")
    case_fall_mm: float | None = Field(None, gt=0, le=20000, description="give mm, over 0")
    going_kg: float | None = Field(None, gt=0, le=200, description="give kg, over 0")
    strike_kg: float | None = Field(None, gt=0, le=200, description="give kg, over 0")
    chime_kg: float | None = Field(None, gt=0, le=200, description="give kg, over 0")
    going_turns: float | None = Field(None, gt=0, le=200, description="give key turns from run down to full, over 0")
    strike_turns: float | None = Field(None, gt=0, le=200, description="give key turns from run down to full, over 0")
    chime_turns: float | None = Field(None, gt=0, le=200, description="give key turns from run down to full, over 0")
    going_scale_mm: float | None = Field(None, ge=-20000, le=20000, description="give what it reads fully wound")
    strike_scale_mm: float | None = Field(None, ge=-20000, le=20000, description="give what it reads fully wound")
    chime_scale_mm: float | None = Field(None, ge=-20000, le=20000, description="give what it reads fully wound")
    scale: Literal["up", "down"] | None = Field(None, description="give up or down, the way its figures grow")
    bob_below_top_mm: float | None = Field(None, ge=0, le=5000, description="give mm below the weights' highest place")
    unlock_deg: float | None = Field(None, gt=0, le=45, description="give the half-swing in degrees, over 0 to 45")
    swing_scale_mm: float | None = Field(None, gt=0, le=5000, description="give mm from suspension to scale, over 0")
    seconds_turn_s: float | None = Field(None, ge=20, le=300, description="give seconds for one turn, 20 to 300")
    escapement: Line = Field(None, description="give words, such as recoil, deadbeat, verge, cylinder, lever")
    balance: Literal["plain", "cut", "alloy"] | None = Field(None, description="give plain, cut or alloy")
    rod: Line = Field(None, description="give the rod's material, such as steel, wood, brass")
    maintaining: YesNo | None = Field(None, description="give yes or no")
    self_correcting: YesNo | None = Field(None, description="give yes or no")
    night_silence: Line = Field(None, description="give from-to, such as 22:00-07:00")
    tunes: Line = Field(None, description="give names in the selector's order, separated by ;")
    moon: YesNo | None = Field(None, description="give yes or no")
    movement_only: YesNo | None = Field(None, description="give yes or no")
    nut_pitch_mm: float | None = Field(None, gt=0, le=5, description="give mm a turn, over 0 to 5")
    weight_order: Line = Field(None, description="give the trains left to right, such as strike;going;chime")
    half_hour: YesNo | None = Field(None, description="give yes or no")
    mean_rate_limit: float | None = Field(None, gt=0, le=3600, description="give s/day, over 0")
    day_range_limit: float | None = Field(None, gt=0, le=3600, description="give s/day, over 0")
    least_days: float | None = Field(None, ge=1, le=400, description="give days, 1 to 400")
    swing_limit: float | None = Field(
        None,
        gt=0,
        le=360,
        description="give per cent to spare (torsion: degrees of overswing; balance: degrees), over 0",
    )
    beat_limit: float | None = Field(
        None, gt=0, le=100, description="give per cent (balance: ms; torsion: degrees left to right), over 0"
    )
    repaired: Line = Field(None, description="give words")
    hazards: Line = Field(None, description="give words")
    owner: Line = Field(None, description="give words")
    home_site: Line = Field(None, description="give latitude in degrees (north +) and metres, such as 51.5,20")
    home_temperature_c: float | None = Field(None, ge=-20, le=50, description="give degrees C, -20 to 50")
    promised_on: date | None = Field(None, description="give a date, such as 2026-12-04")
    earlier_tag: Line = Field(None, max_length=24, description=_TAG_MEND)
    on_stand_at: Time | None = Field(None, description=_TIME_MEND)

    @field_validator("night_silence")
    @classmethod
    def _from_to(cls, value: str | None) -> str | None:
        if value is not None and not _SILENCE.fullmatch(value):
            raise _wrong("not a span of the day")
        return value

    @property
    def tune_names(self) -> tuple[str, ...]:
        """The tunes in the order of the selector; empty where none are listed."""
        return tuple(name.strip() for name in (self.tunes or "").split(";") if name.strip())


class CheckIn(BaseModel):
    """One visit: what was read, as found, and at most one piece of work done after it. One ledger row, one fact."""

    model_config = _FINITE

    at: Time = Field(description=_TIME_MEND)
    tag: Tag = Field(description=_TAG_MEND)
    error_s: float | None = Field(None, ge=-21600, le=21600, description="give seconds, + fast, at most six hours")
    error_u_s: float | None = Field(None, gt=0, le=21600, description="give its standard doubt in seconds, over 0")
    dial: Dial | None = Field(None, description="give H:MM or H:MM:SS")
    read_by: ReadBy | None = Field(None, description="give seconds-hand, minute-hand, estimate or first-blow")
    amplitude_deg: float | None = Field(None, ge=0, le=360, description="give degrees, 0 to 360")
    beat_error_pct: float | None = Field(None, ge=0, le=100, description="give per cent, 0 to 100")
    beat_error_ms: float | None = Field(None, ge=0, le=250, description="give milliseconds, 0 to 250")
    overswing_left_deg: float | None = Field(None, ge=0, le=360, description="give degrees, 0 to 360")
    overswing_right_deg: float | None = Field(None, ge=0, le=360, description="give degrees, 0 to 360")
    going_mm: float | None = Field(None, ge=-20, le=40000, description=_FALL_MEND)
    strike_mm: float | None = Field(None, ge=-20, le=40000, description=_FALL_MEND)
    chime_mm: float | None = Field(None, ge=-20, le=40000, description=_FALL_MEND)
    chime: Chime | None = Field(None, description="give in-step, out-of-step, silent or not-running")
    quarter: int | None = Field(None, ge=1, le=4, description="give the quarter listened to, 1 to 4")
    hour: int | None = Field(None, ge=1, le=12, description="give the hour the dial showed, 1 to 12")
    blows: int | None = Field(None, ge=0, le=24, description="give the blows counted, 0 to 24")
    strike_s: float | None = Field(None, ge=0, le=600, description="give seconds from first blow to last, 0 to 600")
    staged: YesNo | None = Field(None, description="give yes or no")
    moon_age_d: float | None = Field(None, ge=0, le=30, description="give days since new moon, 0 to 30")
    temperature_c: float | None = Field(None, ge=-20, le=50, description="give degrees C, -20 to 50")
    work: Work | None = Field(None, description="give one that `standwatch work --help` lists")
    amount: float | None = Field(None, ge=-100000, le=100000, description="give the work's amount in its own unit")
    train: Train | None = Field(None, description="give going, strike or chime")
    explained: YesNo | None = Field(None, description="give yes or no")
    note: Line = Field(None, validate_default=True, description="give words")

    @field_validator("dial")
    @classmethod
    def _one_error(cls, value: str | None, info: ValidationInfo) -> str | None:
        if value is not None and info.data.get("error_s") is not None:
            raise _wrong("given beside error_s, which says the same")
        return value

    @field_validator("amount")
    @classmethod
    def _amount_of_work(cls, value: float | None, info: ValidationInfo) -> float | None:
        if value is None:
            return None
        work = info.data.get("work")
        if work is None and "work" in info.data:
            raise _wrong("an amount without its work")
        whole = {Work.OIL_CHECKED: (0, 1), Work.MIS_SET: (1, 3), Work.TUNE: (0, 99), Work.HOURS_SHIFTED: (-12, 12)}
        if work in whole and not (value == int(value) and whole[work][0] <= value <= whole[work][1]):
            raise _wrong(f"for {work} it is a whole number from {whole[work][0]} to {whole[work][1]}")
        return value

    @field_validator("note")
    @classmethod
    def _initials(cls, value: str | None, info: ValidationInfo) -> str | None:
        if value is None and info.data.get("work") in {Work.OIL_CHECKED, Work.SAFETY_CHECKED}:
            raise _wrong(f"{info.data['work']} wants the initials of who looked")
        return value

    def fall_mm(self, train: Train) -> float | None:
        """mm the train's weight had fallen from fully wound; what reads -20..0 counts as 0."""
        value: float | None = getattr(self, f"{train}_mm")
        return None if value is None else max(value, 0.0)


class Handover(BaseModel):
    """A step after the stand: released, reopened, delivered, called, called back. A release carries its record."""

    model_config = _FINITE

    at: Time = Field(description=_TIME_MEND)
    tag: Tag = Field(description=_TAG_MEND)
    what: Literal["released", "reopened", "delivered", "called", "called-back"] = Field(
        description="give released, reopened, delivered, called or called-back"
    )
    by: Line = Field(None, description="give a name or initials")
    error_s: float | None = Field(None, ge=-21600, le=21600, description="give seconds, + fast, at most six hours")
    amplitude_deg: float | None = Field(None, ge=0, le=360, description="give degrees, 0 to 360")
    beat_error_pct: float | None = Field(None, ge=0, le=100, description="give per cent, 0 to 100")
    beat_error_ms: float | None = Field(None, ge=0, le=250, description="give milliseconds, 0 to 250")
    going_mm: float | None = Field(None, ge=-20, le=40000, description=_FALL_MEND)
    strike_mm: float | None = Field(None, ge=-20, le=40000, description=_FALL_MEND)
    chime_mm: float | None = Field(None, ge=-20, le=40000, description=_FALL_MEND)
    stopped: YesNo | None = Field(None, description="give yes or no")
    chime: Chime | None = Field(None, description="give in-step, out-of-step, silent or not-running")
    fixed_to_wall: YesNo | None = Field(None, description="give yes or no")
    wound_by: Line = Field(None, description="give who winds it")
    code: Literal["set-up", "mechanical", "user", "cosmetic"] | None = Field(
        None, description="give set-up, mechanical, user or cosmetic"
    )
    reason: Line = Field(None, description="give words")
    record: Line = Field(None, description="leave it as the export wrote it")


class Waiver(BaseModel):
    """A requirement let go for one release, with its reason and who answers for it."""

    model_config = _FINITE

    at: Time = Field(description=_TIME_MEND)
    tag: Tag = Field(description=_TAG_MEND)
    requirement: Requirement = Field(description="give a requirement's name")
    reason: Words = Field(min_length=1, description="give the reason")
    by: Words = Field(min_length=1, description="give a name or initials")


Body = Clock | CheckIn | Handover | Waiver
