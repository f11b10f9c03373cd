"""What can't be: values impossible for *this* clock, and times that have not come yet."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from standwatch.horology.gravity import parse_site
from standwatch.horology.kinds import KINDS, Traits, traits_of
from standwatch.model.errors import BadValue
from standwatch.model.facts import Body, CheckIn, Clock, Handover, Waiver
from standwatch.model.words import Train, Work

FUTURE_SLACK = timedelta(seconds=60)
"""How far a time may lie past now: two clocks in one shop differ by so much."""
PENDULUM_MOST_DEG = 45.0
BALANCE_UNLOCKS_DEG = 50.0
"""A balance unlocks at 30 to 50 degrees (common practice)."""
FALL_MOST = 1.5
"""A weight's fall may read so many times its possible fall, not more."""

_CHIME_WORKS = frozenset({Work.MIS_SET, Work.TUNE, Work.CHIME_SET})
_FALLS = tuple((train, f"{train}_mm") for train in Train)
_SOUNDS = (
    (Train.CHIME, "chime"),
    (Train.CHIME, "quarter"),
    (Train.STRIKE, "hour"),
    (Train.STRIKE, "blows"),
    (Train.STRIKE, "strike_s"),
)
_SWINGS = (
    ("beat_error_pct", "pendulum", "its beat error is not told in per cent"),
    ("beat_error_ms", "balance", "its beat error is not told in milliseconds"),
    ("overswing_left_deg", "torsion", "it has no overswing to read"),
    ("overswing_right_deg", "torsion", "it has no overswing to read"),
)
_SWING_MENDS = {"pendulum": "give beat_error_pct", "balance": "give beat_error_ms", "torsion": "give the overswing"}
_NOT_NEGATIVE = frozenset({Work.WOUND, Work.HELD})


def check_possible(body: Body, clock: Clock | None, *, now: datetime) -> None:
    """Raise BadValue, with its column and the mend, where `body` can't be true of `clock` or lies after `now`.

    `clock` None checks the time alone. What can be told without the clock (ranges, words) the model has checked.
    """
    PossibleAsOf(now)(body, clock)


class PossibleAsOf:
    """`check_possible` for many facts as of one `now`: what follows from a clock is worked out once."""

    def __init__(self, now: datetime) -> None:
        self._now = now
        self._known: dict[int, tuple[Clock, Traits]] = {}  # by identity: a clock's own hash reads all its columns

    def __call__(self, body: Body, clock: Clock | None) -> None:
        """Raise BadValue, with its column and the mend, where `body` can't be true of `clock` or lies after now."""
        _check_time(body, self._now)
        if isinstance(body, Clock):
            check_clock(body)
        if clock is None or isinstance(body, Clock):
            return
        known = self._known.get(id(clock))
        if known is None:
            known = self._known[id(clock)] = (clock, traits_of(clock))
        _check_by_traits(body, clock, known[1])


def check_clock(clock: Clock) -> None:
    """Raise BadValue, with its column and the mend, where a column of `clock` can't be: by itself, or for its kind."""
    if clock.home_site is not None:
        parse_site(clock.home_site, "home_site")
    balance = KINDS[clock.kind].oscillator == "balance"
    if balance and clock.swing_limit is not None and clock.swing_limit <= BALANCE_UNLOCKS_DEG:
        raise BadValue(
            f"swing_limit {clock.swing_limit:g}: a balance needs {BALANCE_UNLOCKS_DEG:g} degrees to unlock at all; "
            "give the least degrees of its swing, more than that",
            column="swing_limit",
        )


def _check_by_traits(body: CheckIn | Handover | Waiver, clock: Clock, traits: Traits) -> None:
    if isinstance(body, CheckIn):
        _check_falls(body, clock, traits)
        _check_swing(body, traits)
        _check_sound(body, traits)
        _check_work(body, traits)
    elif isinstance(body, Handover):
        _check_falls(body, clock, traits)
        _check_swing(body, traits)
        if body.chime is not None and Train.CHIME not in traits.trains:
            raise _wrong("chime", body.chime.value, traits, "has no chime", "leave it empty")


def _check_time(body: Body, now: datetime) -> None:
    at, column = (body.on_stand_at, "on_stand_at") if isinstance(body, Clock) else (body.at, "at")
    if at is not None and at > now + FUTURE_SLACK:
        raise BadValue(
            f"{column} {at.isoformat()} lies in the future; give a time up to now, {now.astimezone(UTC).isoformat()}",
            column=column,
        )


def _wrong(column: str, value: object, traits: Traits, why: str, mend: str) -> BadValue:
    return BadValue(f"{column} {value!r}: a {traits.kind.title} clock here {why}; {mend}", column=column)


def _check_falls(row: CheckIn | Handover, clock: Clock, traits: Traits) -> None:
    for train, column in _FALLS:
        fall: float | None = getattr(row, column)
        if fall is None:
            continue
        if not traits.weights:
            raise _wrong(column, fall, traits, "has no weights", "leave it empty")
        if train not in traits.trains:
            raise _wrong(column, fall, traits, f"has no {train} train", "leave it empty, or change its trains")
        most = FALL_MOST * traits.possible_mm[train]
        if fall > most:
            raise BadValue(
                f"{column} {fall:g}: the {train} weight of {clock.tag} can't have fallen over {most:.0f} mm; "
                f"give mm from fully wound, or change {train}_usable_mm",
                column=column,
            )


def _check_amplitude(degrees: float | None, traits: Traits) -> None:
    if degrees is not None and traits.oscillator == "pendulum" and degrees > PENDULUM_MOST_DEG:
        raise _wrong("amplitude_deg", degrees, traits, "has a pendulum", "give its half-swing, 0 to 45 degrees")


def _check_swing(row: CheckIn | Handover, traits: Traits) -> None:
    _check_amplitude(row.amplitude_deg, traits)
    for column, oscillator, why in _SWINGS:
        value = getattr(row, column, None)  # a step of handing over tells no overswing
        if value is not None and traits.oscillator != oscillator:
            has = "torsion pendulum" if traits.oscillator == "torsion" else traits.oscillator
            mend = f"{_SWING_MENDS[traits.oscillator]} instead"
            if isinstance(row, Handover) and traits.oscillator == "torsion":
                mend = "leave it empty"
            raise _wrong(column, value, traits, f"has a {has}: {why}", mend)


def _check_sound(row: CheckIn, traits: Traits) -> None:
    for train, column in _SOUNDS:
        value = getattr(row, column)
        if value is not None and train not in traits.trains:
            raise _wrong(column, str(value), traits, f"has no {train} train", "leave it empty")


def _check_work(row: CheckIn, traits: Traits) -> None:
    if row.train is not None and row.train not in traits.trains:
        raise _wrong("train", row.train.value, traits, "has no such train", f"give {' or '.join(traits.trains)}")
    if row.work in _CHIME_WORKS and Train.CHIME not in traits.trains:
        raise _wrong("work", row.work.value, traits, "has no chime", "look at the tag again")
    if row.work is Work.STRIKE_SET and Train.STRIKE not in traits.trains:
        raise _wrong("work", row.work.value, traits, "has no strike", "look at the tag again")
    if row.work in _NOT_NEGATIVE and row.amount is not None and row.amount < 0:
        raise BadValue(f"amount {row.amount:g}: {row.work} can't be negative; give it over 0", column="amount")
