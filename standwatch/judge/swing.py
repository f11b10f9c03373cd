"""Amplitude and beat: has the swing enough to spare, late in the wind too, and does the clock tick evenly."""

from __future__ import annotations

from datetime import datetime, timedelta

from standwatch.estimate.answers import SwingReading
from standwatch.estimate.history import Visit
from standwatch.estimate.swing import STARTS, in_doubt, is_first_swing
from standwatch.estimate.winding import wind_hours
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import (
    DAY,
    counted,
    day_words,
    met,
    missed,
    next_reading,
    not_yet,
    reading_from,
)
from standwatch.judge.settling import settled_at, settling_until
from standwatch.model.answers import Quantity
from standwatch.model.units import reached
from standwatch.model.words import Requirement

READING_DOUBT = 0.03
"""Standard doubt of a swing read in degrees, as a part of it (common practice)."""
FALL_PCT_PER_WEEK = 2.0
LEAST_READINGS = 3


def amplitude(case: Case) -> Verdict:
    """At least three readings, one late in a wind: each with enough to spare, and none falling from week to week."""
    if case.traits.oscillator == "torsion":
        return _overswing(case)
    name, readings = Requirement.AMPLITUDE, case.estimates.swing.readings
    pendulum, limit = case.traits.oscillator == "pendulum", case.traits.swing_limit
    unlock = case.history.clock.unlock_deg
    needed = case.traits.swing_needed_deg(unlock)
    if needed is None:
        because = "no unlocking point: the swing can't be judged; two minutes with the bob"
        return not_yet(name, None, limit, because, next_reading(case))
    late = [r for r in readings if is_late(case, r.wind_hours)]
    counting = [r for r in readings if r in readings[-LEAST_READINGS:] or r in late]
    lowest = min(counting, key=lambda r: r.degrees, default=None)
    observed = None if lowest is None else _observed(lowest, unlock if pendulum else None)
    if lowest is not None and lowest.degrees < needed - lowest.doubt_deg:
        return missed(name, observed, limit, f"{_words(case, lowest)} on {day_words(case, lowest.at)}")
    wanted, earliest = _wanted(case, len(readings), have_late=bool(late))
    if lowest is None or wanted:
        return not_yet(name, observed, limit, wanted or "no reading yet", earliest)
    near = lowest.degrees < needed + lowest.doubt_deg if pendulum else lowest.degrees < needed
    if near:
        because = f"{_words(case, lowest)} on {day_words(case, lowest.at)}: too near to tell"
        return not_yet(name, observed, limit, because, next_reading(case))
    if falling(case):
        return not_yet(name, observed, limit, f"{_words(case, lowest)}, {_fall_words(case)}", next_reading(case))
    return met(name, observed, limit, f"{_words(case, lowest)}, at its lowest of {counted(len(counting), 'reading')}")


def falling(case: Case) -> bool:
    """Whether the swing falls at equal wind phase by over 2 % a week, its 95 % interval excluding none."""
    trend = case.estimates.swing.trend_pct_per_week
    return isinstance(trend, Quantity) and trend.estimate < -FALL_PCT_PER_WEEK and trend.high < 0


def late_hours(case: Case) -> float:
    """Hours after a wind from which a swing is late: three quarters of the duration, of a daily clock two thirds."""
    duration = case.traits.duration_h
    return duration * 2 / 3 if case.traits.daily else duration * 3 / 4


def is_late(case: Case, wind_hours: float | None) -> bool:
    """Whether a reading so many hours after the wind is late in it; of a torsion clock any is."""
    if case.traits.oscillator == "torsion":
        return True
    if wind_hours is None:
        return False
    return reached(timedelta(hours=wind_hours), timedelta(hours=late_hours(case)))


def beat(case: Case) -> Verdict:
    """Two settled readings a day apart, both at or under the limit; a last one over it misses."""
    name = Requirement.BEAT
    limit = case.traits.beat_limit
    settled = [(v, value) for v in _since_swing_opened(case) if (value := _beat_error(v)) is not None]
    settled = [(v, value) for v, value in settled if settled_at(case, v.at) and not in_doubt(case.history, v.at)]
    if not settled:
        return not_yet(name, None, limit, "no settled reading yet", reading_from(case, _day_after_settling(case)))
    last, value = settled[-1]
    shown = _beat_words(case, value)
    if value > limit:
        return missed(name, value, limit, f"{shown} on {day_words(case, last.at)}, limit {limit:g}")
    first = next((v for v, error in settled if error <= limit), last)
    if reached(last.at - first.at, DAY):
        return met(name, value, limit, f"{shown}, and right {day_words(case, first.at)}")
    because = f"{shown} once, {counted(1, 'reading')} more a day later"
    return not_yet(name, value, limit, because, reading_from(case, first.at + DAY))


def wants_swing(case: Case) -> bool:
    """Whether an amplitude read now would change something."""
    readings = case.estimates.swing.readings
    if case.traits.oscillator == "torsion":
        return len(_overswings(case)) < LEAST_READINGS
    hours = _hours_since_wind(case)
    lacks_late = not any(is_late(case, r.wind_hours) for r in readings) and is_late(case, hours)
    return len(readings) < LEAST_READINGS or lacks_late


def _words(case: Case, reading: SwingReading) -> str:
    unlock = case.history.clock.unlock_deg
    if case.traits.oscillator != "pendulum" or unlock is None:
        return f"{reading.degrees:.0f} degrees, {case.traits.swing_limit:g} wanted"
    return f"{100 * (reading.degrees / unlock - 1):.0f} % to spare, {case.traits.swing_limit:g} wanted"


def _observed(reading: SwingReading, unlock: float | None) -> float:
    return reading.degrees if unlock is None else 100 * (reading.degrees / unlock - 1)


def _fall_words(case: Case) -> str:
    trend, when = case.estimates.swing.trend_pct_per_week, case.estimates.swing.too_little_at
    pace = f"falling {-trend.estimate:.0f} % a week" if isinstance(trend, Quantity) else "falling"
    if when is None:
        return pace
    return f"{pace}, too little {'already' if when <= case.now else f'by {day_words(case, when)}'}"


def _wanted(case: Case, number: int, *, have_late: bool) -> tuple[str, datetime | None]:
    """Which readings are still wanted, and when the last of them can be there; empty where none is."""
    missing = max(0, LEAST_READINGS - number)
    earliest = next_reading(case, missing) if missing else None
    wanted = [f"{number} of {LEAST_READINGS} readings"] if missing else []
    if not have_late:
        wanted.append("none late in a wind")
        earliest = max(earliest or case.now, _next_late(case))
    return "; ".join(wanted), earliest


def _next_late(case: Case) -> datetime:
    """The first reading to come that can be late in a wind, the clock wound as it is now."""
    hours = _hours_since_wind(case)
    gone = timedelta(hours=0 if hours is None else hours)
    return reading_from(case, max(case.now - gone + timedelta(hours=late_hours(case)), case.now))


def _hours_since_wind(case: Case) -> float | None:
    return wind_hours(case.history, case.now + timedelta(microseconds=1))


def _since_swing_opened(case: Case) -> list[Visit]:
    """The visits since the last beat, level, move, case or opening."""
    opened = [(b.at, b.order) for b in case.history.breaks if b.opens_swing]
    return [v for v in case.history.visits if not opened or (v.at, v.order) > opened[-1]]


def _day_after_settling(case: Case) -> datetime:
    """When a second settled reading can be there, none having been taken yet."""
    return reading_from(case, settling_until(case) or case.now) + DAY


def _beat_error(visit: Visit) -> float | None:
    row = visit.row
    if row.beat_error_pct is not None:
        return row.beat_error_pct
    if row.beat_error_ms is not None:
        return row.beat_error_ms
    if row.overswing_left_deg is not None and row.overswing_right_deg is not None:
        return abs(row.overswing_left_deg - row.overswing_right_deg)
    return None


def _beat_words(case: Case, value: float) -> str:
    if case.traits.oscillator == "torsion":
        return f"overswing {counted(round(value), 'degree')} apart"
    unit = "ms" if case.traits.oscillator == "balance" else "%"
    over_aim = f", aim {case.traits.beat_aim:g}" if case.traits.beat_aim < value <= case.traits.beat_limit else ""
    return f"{value:.1f} {unit}{over_aim}"


def _overswings(case: Case) -> list[tuple[datetime, float]]:
    """Each time both sides of a torsion pendulum were read, and the lesser overswing in degrees."""
    starts = case.history.works(*STARTS)
    found = []
    for visit in _since_swing_opened(case):
        left, right = visit.row.overswing_left_deg, visit.row.overswing_right_deg
        uncounted = is_first_swing(visit, starts) or in_doubt(case.history, visit.at)
        if left is not None and right is not None and not uncounted:
            found.append((visit.at, min(left, right)))
    return found


def _overswing(case: Case) -> Verdict:
    name, limit, readings = Requirement.AMPLITUDE, case.traits.swing_limit, _overswings(case)
    if not readings:
        return not_yet(name, None, limit, "no overswing read yet", next_reading(case, LEAST_READINGS))
    at, lowest = min(readings, key=lambda pair: pair[1])
    words = f"overswing {lowest:.0f} degrees on the lesser side, {limit:g} wanted"
    if lowest < limit * (1 - READING_DOUBT):
        return missed(name, lowest, limit, f"{words}, on {day_words(case, at)}")
    missing = LEAST_READINGS - len(readings)
    if missing > 0:
        because = f"{len(readings)} of {LEAST_READINGS} readings"
        return not_yet(name, lowest, limit, because, next_reading(case, missing))
    if lowest < limit:
        return not_yet(name, lowest, limit, f"{words}: too near to tell", next_reading(case))
    if falling(case):
        return not_yet(name, lowest, limit, f"{words}, {_fall_words(case)}", next_reading(case))
    return met(name, lowest, limit, words)
