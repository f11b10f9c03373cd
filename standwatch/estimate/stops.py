"""When it stopped: what a hung dial and hung weights leave open.

The dial less the error it had gives the time but for the half-day; each weight's fall, the strike's by blows, and a
moon say which half-days fit them. What was heard since rules out what is earlier; that nothing was heard says nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from statistics import NormalDist

from standwatch.estimate.history import HUNG, History, Visit, dial_error
from standwatch.estimate.power import fall_densities
from standwatch.estimate.trainclock import train_clock
from standwatch.horology.hanging import one_weight
from standwatch.horology.moon import age_days
from standwatch.model.answers import Z95, Answer, Quantity
from standwatch.model.units import DAY_S
from standwatch.model.words import Train, Work

CREDIBLE = 0.05
"""Candidates of at least these odds count as evidence."""
DIAL_SD_S = 30.0
"""How well a hung minute hand tells its minute."""
UNREAD_SD_S = 600.0
"""How far a dial that was never compared may be out, if the clock was set going by it."""
MOON_SD_D = 0.5
"""How far apart two looks at a moon may be beyond the days between: it moves by half days (common practice)."""
ANYWHERE = 0.01
"""Chance that a weight found hanging was wound unsaid since it was last read, or is read as another."""
_MOON_DIAL_D = 29.5
_HALF_DAY = timedelta(hours=12)
_NEGLIGIBLE = 1e-3
_NORMAL = NormalDist()


def stop_candidates(
    history: History,
    dial: str,
    *,
    found_at: datetime,
    falls: Mapping[Train, float],
    moon_age_d: float | None = None,
    error_at: Callable[[datetime], Answer] | None = None,
) -> tuple[tuple[datetime, float], ...]:
    """Times at which a clock found hanging at `found_at` may have stopped, with odds; likeliest first, then earliest.

    `dial` is what it shows ("3:47"), `falls` the mm its weights have fallen, `moon_age_d` what its moon shows in days.
    `error_at` tells the error in seconds that it had, going; where that is not given or not known, the last readings
    do. The odds sum to 1; empty where the dial fits no time between when it was last seen going and when it was found
    (its hands were moved, then). Without falls and moon every candidate is as likely as the next.
    """
    history, found_at = as_found(history, found_at)
    seen_at = _last_going(history, found_at)
    offsets = [o for since, o in train_clock(history, Train.GOING).offsets if since <= found_at.timestamp()]
    ahead = dial_error(dial, found_at, timedelta(seconds=offsets[-1] if offsets else 0.0))
    times: list[datetime] = []
    shares: list[float] = []
    at = found_at + timedelta(seconds=ahead) + _HALF_DAY
    while at > seen_at - _HALF_DAY:
        mean, sd = _error_then(history, at, error_at)
        candidate = at - timedelta(seconds=mean)
        inside = _NORMAL.cdf((candidate - seen_at).total_seconds() / sd)
        inside *= _NORMAL.cdf((found_at - candidate).total_seconds() / sd)
        if inside > _NEGLIGIBLE:
            times.append(min(max(candidate, seen_at), found_at))
            shares.append(inside)
        at -= _HALF_DAY
    if times:
        told = [_fall_densities(history, t, mm, times) for t, mm in falls.items() if t in history.traits.usable_mm]
        told.append(_moon_densities(history, moon_age_d, times))
        for densities in told:
            shares = [s * d for s, d in zip(shares, densities, strict=True)] if densities else shares
    total = sum(shares)
    odds = [(time, share / total) for time, share in zip(times, shares, strict=True)] if total else []
    return tuple(sorted(odds, key=lambda pair: (-pair[1], pair[0])))


def credible(candidates: tuple[tuple[datetime, float], ...]) -> tuple[datetime, ...]:
    """The candidates of odds .05 or more, earliest first."""
    return tuple(sorted(at for at, odds in candidates if odds >= CREDIBLE))


def hangs_going(history: History, visit: Visit) -> bool:
    """Whether the visit found the going train hanging."""
    if visit.work is Work.RAN_OUT:
        return concerns(history, visit, Train.GOING)
    return visit.work is Work.STOPPED


def concerns(history: History, visit: Visit, train: Train) -> bool:
    """Whether a wind or a run-out is `train`'s: none named means all, and one weight drives both."""
    return visit.row.train in {None, train} or one_weight(history.traits)


def as_found(history: History, found_at: datetime) -> tuple[History, datetime]:
    """What was known before it was found, and when that was: as its own row says, if it has one and hangs since."""
    visits = tuple(visit for visit in history.visits if visit.at <= found_at)
    for index in range(len(visits) - 1, -1, -1):
        visit = visits[index]
        if visit.shows_going or visit.work is Work.RESTARTED:
            break
        if hangs_going(history, visit):
            visits, found_at = visits[:index], visit.at
    last = (visits[-1].at, visits[-1].order) if visits else None
    breaks = tuple(b for b in history.breaks if last is not None and (b.at, b.order) <= last)
    return replace(history, visits=visits, breaks=breaks, now=found_at), found_at


def _last_going(history: History, found_at: datetime) -> datetime:
    """When it was last known to go; where no fact says, since its first fact, or one wind ago."""
    going = [v.at for v in history.visits if v.shows_going or v.work is Work.RESTARTED]
    if going:
        return going[-1]
    return history.visits[0].at if history.visits else found_at - timedelta(hours=history.traits.duration_h)


def _fall_densities(history: History, train: Train, reading: float, ats: Sequence[datetime]) -> tuple[float, ...]:
    """How likely that fall is, had it stopped at each of `ats`; what fits none of them well tells none from another.

    Somebody may have wound it meanwhile and not said so, and then it hangs anywhere.
    """
    anywhere = ANYWHERE / history.traits.usable_mm[train]
    return tuple(density + anywhere for density in fall_densities(history, train, reading, ats))


def _moon_densities(history: History, age_d: float | None, ats: Sequence[datetime]) -> tuple[float, ...]:
    """How likely the moon's age is, had it stopped at each of `ats`; empty where its moon was not told before.

    A moon moves by half days as the clock goes; one reading in a hundred is wrong.
    """
    if age_d is None:
        return ()
    began: tuple[datetime, float] | None = None
    for visit in history.visits:
        if visit.work in HUNG:
            began = None  # it stood still, and the moon with it
        if visit.row.moon_age_d is not None and visit.work not in HUNG:
            began = visit.at, visit.row.moon_age_d
        if visit.work is Work.MOON_SET:
            began = visit.at, age_days(visit.at)
    if began is None:
        return ()
    since, age = began
    apart = [(age_d - age - (at - since) / timedelta(days=1)) % _MOON_DIAL_D for at in ats]
    misses = [min(each, _MOON_DIAL_D - each) for each in apart]
    return tuple(0.99 * NormalDist(0.0, MOON_SD_D).pdf(miss) + 0.01 / _MOON_DIAL_D for miss in misses)


def _error_then(history: History, at: datetime, error_at: Callable[[datetime], Answer] | None) -> tuple[float, float]:
    """The clock's error at `at` in seconds, and the standard deviation of a candidate's time, the dial's included."""
    known = None if error_at is None else error_at(at)
    if isinstance(known, Quantity):
        return known.estimate, math.hypot(known.doubt / Z95, DIAL_SD_S)
    readings = history.readings
    if not readings:
        return 0.0, UNREAD_SD_S
    last = readings[-1]
    mean, variance = last.error_s or 0.0, (last.doubt_s or 0.0) ** 2
    for step in history.breaks:
        if (last.at, last.order) <= (step.at, step.order):
            if math.isinf(step.error_sd_s):
                return 0.0, UNREAD_SD_S
            mean, variance = mean + step.error_shift_s, variance + step.error_sd_s**2
    days = max(0.0, (at - last.at).total_seconds() / DAY_S)
    rate, rate_sd = _rough_rate(history)
    return mean + rate * days, math.sqrt(variance + (rate_sd * days) ** 2 + DIAL_SD_S**2)


def _rough_rate(history: History) -> tuple[float, float]:
    """The rate between the last two readings half a day apart, in s/day with its standard deviation.

    0 ± three times its limit where nothing unbroken lies between two readings.
    """
    traits = history.traits
    unknown = (0.0, 3 * (traits.usual.mean_rate_limit or 10.0))
    readings = history.readings
    last = readings[-1]
    earlier = next((v for v in reversed(readings) if last.at - v.at >= _HALF_DAY), None)
    if earlier is None:
        return unknown
    moved = [b for b in history.breaks if (earlier.at, earlier.order) <= (b.at, b.order) < (last.at, last.order)]
    if any(math.isinf(b.error_sd_s) or b.rate_sd for b in moved):
        return unknown
    days = (last.at - earlier.at).total_seconds() / DAY_S
    shift = sum(b.error_shift_s for b in moved)
    sd = math.sqrt((last.doubt_s or 0.0) ** 2 + (earlier.doubt_s or 0.0) ** 2 + sum(b.error_sd_s**2 for b in moved))
    rate = ((last.error_s or 0.0) - (earlier.error_s or 0.0) - shift) / days
    return rate, math.hypot(sd / days, traits.q1_s / math.sqrt(days) + traits.q2_s * math.sqrt(days))
