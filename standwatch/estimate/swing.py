"""The swing: which amplitude readings count, what is to spare, and whether it falls from week to week."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from standwatch.estimate.answers import Swing, SwingReading
from standwatch.estimate.history import HUNG, History, Visit
from standwatch.estimate.winding import hours_since, winds
from standwatch.horology.kinds import Traits
from standwatch.model.answers import Z95, Answer, NotYetKnown, Quantity
from standwatch.model.words import Train, Work

FIRST_SWING = timedelta(minutes=15)
"""A self-setting crutch finds its beat by a wide first swing, which is no amplitude (common practice)."""
STARTS = (Work.RESTARTED, Work.BEAT_SET)
"""What such a swing follows."""
IN_DOUBT = timedelta(hours=24)
DOUBT_SHARE = {"pendulum": 0.03, "balance": 0.04, "torsion": 0.03}
SHORT_PENDULUM_SHARE = 0.06
LEAST_SPAN = timedelta(days=5)
WIND_CHANGE_SD = {True: 0.03, False: 0.2}
"""How much of its swing a clock may lose over its rated wind (logarithm): weights hardly, springs a fifth."""
FALLS_PCT = -2.0
# Student's t, 97.5 %, for 1 to 10 degrees of freedom (standard tables)
_T975 = (12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228)


def swing_of(history: History) -> Swing:
    """The swing of `history`'s clock: its readings that count, the last one with its doubt, and its trend."""
    readings = tuple(_readings(history))
    if not readings:
        none = NotYetKnown(_why_none(history))
        return Swing(none, none, none, None, ())
    last = readings[-1]
    trend = _trend(readings, history.traits)
    if isinstance(trend, NotYetKnown):
        return Swing(Quantity.normal(last.degrees, last.doubt_deg), _spare(history, last), trend, None, readings)
    return Swing(
        amplitude=Quantity.normal(last.degrees, last.doubt_deg),
        spare_pct=_spare(history, last),
        trend_pct_per_week=trend.pct_per_week,
        too_little_at=_too_little_at(history, trend, last.at),
        readings=readings,
    )


def reading_share(traits: Traits) -> float:
    """Standard doubt of one amplitude reading, as a share of it."""
    return SHORT_PENDULUM_SHARE if traits.short_pendulum else DOUBT_SHARE[traits.oscillator]


def _readings(history: History) -> list[SwingReading]:
    opened = [(b.at, b.order) for b in history.breaks if b.opens_swing]
    share = reading_share(history.traits)
    wound = [at for at, _ in winds(history, Train.GOING)]
    counted: list[SwingReading] = []
    starts = history.works(*STARTS)
    for visit in history.visits:
        degrees = visit.row.amplitude_deg
        if degrees and _counts(history, visit, opened[-1] if opened else None, starts):
            hours = hours_since(history, wound, visit.at)
            counted.append(SwingReading(visit.id, visit.at, degrees, share * degrees, hours))
    return counted


def _counts(history: History, visit: Visit, opened: tuple[datetime, int] | None, starts: Sequence[Visit]) -> bool:
    return (
        visit.work not in HUNG
        and (opened is None or (visit.at, visit.order) > opened)
        and not is_first_swing(visit, starts)
        and not in_doubt(history, visit.at)
    )


def is_first_swing(visit: Visit, starts: Iterable[Visit]) -> bool:
    """Whether what is read of the swing on `visit` is the wide swing after one of `starts`, which finds the beat."""
    return any(
        (start.at, start.order) < (visit.at, visit.order) and visit.at - start.at <= FIRST_SWING for start in starts
    )


def in_doubt(history: History, at: datetime) -> bool:
    """Whether what is read of the swing at `at` is in doubt, since the rail was bumped within a day before."""
    return any(bumped < at < bumped + IN_DOUBT for bumped in history.bumps)


def _why_none(history: History) -> str:
    opened = [b for b in history.breaks if b.opens_swing]
    return f"no swing read since it was {_PAST[opened[-1].work]}" if opened else "no swing read yet"


_PAST = {
    Work.BEAT_SET: "set in beat",
    Work.LEVELLED: "levelled",
    Work.MOVED: "moved",
    Work.CASED: "put in its case",
    Work.OPENED: "opened",
    Work.OILED: "oiled",
}


def _spare(history: History, last: SwingReading) -> Answer:
    """Per cent over the unlocking point."""
    if history.traits.oscillator != "pendulum":
        balance = history.traits.oscillator == "balance"
        return NotYetKnown(
            "a balance is judged in degrees" if balance else "a torsion pendulum is judged by its overswing"
        )
    unlock = history.clock.unlock_deg
    if unlock is None:
        return NotYetKnown("no unlocking point: swing can't be judged; two minutes with the bob")
    return Quantity.normal(100 * (last.degrees / unlock - 1), 100 * last.doubt_deg / unlock)


@dataclass(frozen=True, slots=True)
class _Trend:
    """The change in per cent a week, and the swing in degrees that the whole run of readings gives for the last."""

    pct_per_week: Quantity
    degrees: float


def _trend(readings: tuple[SwingReading, ...], traits: Traits) -> _Trend | NotYetKnown:
    """Between equal wind phases: the logarithm of the swing against time, what the wind takes fitted beside it.

    Weighted least squares with a prior for the wind's part, so that readings of one wind alone say little. The
    doubt is the larger of what the readings' own doubts and what their scatter gives (Student's t).
    """
    phased = tuple(r for r in readings if r.wind_hours is not None)
    if len(phased) >= 3:
        readings = phased
    if len(readings) < 3:
        return NotYetKnown("three swings must be read before a trend can be told")
    if readings[-1].at - readings[0].at < LEAST_SPAN:
        return NotYetKnown("swings read over five days at least can tell a trend")
    if traits.oscillator != "torsion" and not traits.weights and _one_wind(readings):
        return NotYetKnown("swings of one wind alone don't tell a trend from what its spring takes")
    weeks = np.array([(r.at - readings[-1].at) / timedelta(days=7) for r in readings])
    hours = np.array([r.wind_hours or 0.0 for r in readings])
    phase = (hours - hours[-1]) / traits.duration_h
    design = np.column_stack([np.ones_like(weeks), weeks, phase])
    logs = np.log([r.degrees for r in readings])
    doubt = reading_share(traits)
    normal = design.T @ design / doubt**2
    normal[2, 2] += WIND_CHANGE_SD[traits.weights] ** -2
    covariance = np.linalg.inv(normal)
    fitted = covariance @ (design.T @ logs / doubt**2)
    freedom = len(readings) - (3 if np.ptp(phase) > 0.05 else 2)
    half = Z95 * math.sqrt(covariance[1, 1])
    if freedom > 0:
        scatter = float(np.sum((logs - design @ fitted) ** 2)) / doubt**2 / freedom
        half = max(half, student(freedom) * math.sqrt(scatter * covariance[1, 1]))
    low, slope, high = (100 * math.expm1(float(fitted[1]) + part) for part in (-half, 0.0, half))
    return _Trend(Quantity(slope, low, high), math.exp(float(fitted[0])))


def _one_wind(readings: tuple[SwingReading, ...]) -> bool:
    """Whether all were read in one wind, so that none has another at its phase."""
    first, last = readings[0].wind_hours, readings[-1].wind_hours
    if first is None or last is None:
        return False
    return abs((readings[-1].at - readings[0].at) / timedelta(hours=1) - (last - first)) < 1 / 60


def student(freedom: int) -> float:
    """The 97.5 % point of Student's t; beyond 10 degrees of freedom by its expansion (Abramowitz-Stegun 26.7.5)."""
    if freedom <= len(_T975):
        return _T975[freedom - 1]
    z = Z95
    return z + (z**3 + z) / (4 * freedom) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * freedom**2)


def _too_little_at(history: History, trend: _Trend, last: datetime) -> datetime | None:
    """When a sure fall of over 2 % a week brings it to what it needs; None where it doesn't fall so, or none is set."""
    per_week = trend.pct_per_week
    if per_week.estimate >= FALLS_PCT or per_week.high >= 0:
        return None
    traits = history.traits
    needed = traits.swing_needed_deg(history.clock.unlock_deg)
    if needed is None:
        return None
    weeks = math.log(trend.degrees / needed) / -math.log1p(per_week.estimate / 100)
    return last + timedelta(days=7 * min(max(weeks, 0.0), 520.0))
