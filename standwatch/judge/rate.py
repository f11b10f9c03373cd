"""Mean rate and day-to-day range: what the numbers of timekeeping allow to be said."""

from __future__ import annotations

from datetime import datetime, timedelta

from standwatch.estimate.day_range import step_days
from standwatch.estimate.winding import wind_period_days
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import (
    SURE,
    UNLIKELY,
    counted,
    day_words,
    last_sound,
    met,
    missed,
    next_reading,
    not_applicable,
    not_yet,
    rate_with_doubt,
    reading_from,
    spread_with_doubt,
    told,
)
from standwatch.model.answers import NotYetKnown
from standwatch.model.units import reached
from standwatch.model.words import Requirement, Train, Work

LEAST_READINGS = 5
"""Mean rate and day range are never met or missed on fewer."""
WEIGHTS_SPAN_D = 4.0
LONG_SPAN_D = 14.0
"""What stands for a whole wind of a torsion or 31-day clock."""
WEEK_D = 7.0


def whole_wind_days(case: Case) -> float:
    """One whole wind of a spring clock, in days: as it is kept, else a week (a day where it is wound daily)."""
    if case.traits.inferred_run:
        return LONG_SPAN_D
    kept = wind_period_days(case.history, Train.GOING)
    if kept is None:
        return 1.0 if case.traits.daily else WEEK_D
    return max(1.0, float(round(kept)))  # a weekly wind is seven days, at whatever hour and through a clock change


def rate_span_days(case: Case) -> float:
    """How many days of readings a mean rate stands on: four for weights, one whole wind for springs."""
    traits = case.traits
    return WEIGHTS_SPAN_D if traits.weights or traits.reference else whole_wind_days(case)


def mean_rate(case: Case) -> Verdict:
    """The rate now against the clock's limit, in s/day, once readings have gone on long enough since it was opened."""
    name, limit, time = Requirement.MEAN_RATE, case.traits.mean_rate_limit, case.estimates.time
    rate = told(time.rate)
    if limit is None:
        return not_yet(name, rate, None, "no limit given", None)
    since, wanted = time.rate_since, timedelta(days=rate_span_days(case))
    few = _too_few(case)
    if since is None or few:
        start = since or next_reading(case)
        return not_yet(name, rate, limit, few or "no reading yet", _fifth_reading(case, start + wanted))
    last = last_sound(case)
    if last is None or not reached(last.at - since, wanted):
        days = (last.at - since) / timedelta(days=1) if last else 0.0
        because = f"{days:.1f} of {wanted / timedelta(days=1):g} days since the rate was opened"
        return not_yet(name, rate, limit, because, reading_from(case, since + wanted))
    within = time.rate_within(limit)
    if isinstance(within, NotYetKnown) or rate is None:
        because = within.because if isinstance(within, NotYetKnown) else "no rate yet"
        return not_yet(name, rate, limit, because, next_reading(case))
    words = f"{rate_with_doubt(rate)} s/day"
    if within >= SURE:
        return met(name, rate, limit, f"{words}, {_stands_on(case)}")
    if within <= UNLIKELY:
        return missed(name, rate, limit, f"{words}, limit {limit:g}")
    return not_yet(name, rate, limit, f"{words}: too near the limit of {limit:g} to tell", next_reading(case))


def day_range(case: Case) -> Verdict:
    """The spread of the true rates of the last five days with a reading against its limit, in s/day."""
    name, limit, time = Requirement.DAY_RANGE, case.traits.day_range_limit, case.estimates.time
    if limit is None:
        return not_applicable(name, "no limit for this kind")
    spread = told(time.day_range())
    few = _too_few(case)
    if few:
        start = time.rate_since or next_reading(case)
        return not_yet(name, spread, limit, few, _fifth_reading(case, start))
    last = last_sound(case)
    if last is None or last.at < case.rounds.before(case.now, 2):
        because = f"last read {day_words(case, last.at)}, older than a round" if last else "no reading yet"
        return not_yet(name, spread, limit, because, next_reading(case))
    within = time.day_range_within(limit)
    if isinstance(within, NotYetKnown) or spread is None:
        because = within.because if isinstance(within, NotYetKnown) else "too few daily rates"
        return not_yet(name, spread, limit, because, _when_readings_tell(case, limit))
    words = f"{spread_with_doubt(spread)} s/day over five days"
    if within >= SURE:
        return met(name, spread, limit, words)
    if within <= UNLIKELY:
        return missed(name, spread, limit, f"{words}, limit {limit:g}")
    return not_yet(name, spread, limit, f"{words}: too near the limit of {limit:g} to tell", next_reading(case))


def _when_readings_tell(case: Case, limit: float) -> datetime | None:
    step, since = step_days(limit, case.history.usual_doubt_s), case.estimates.time.rate_since
    if step is None:
        return None
    return reading_from(case, (since or case.now) + timedelta(days=5 * step))


def _too_few(case: Case) -> str:
    """Why the readings are too few, if they are."""
    number = case.estimates.time.readings_since_rate_opened
    if number >= LEAST_READINGS:
        return ""
    opened = any(b.opens_rate for b in case.history.breaks)
    since = case.estimates.time.rate_since
    doubted = any(since is not None and suspect.at >= since for suspect in case.estimates.time.suspects)
    wanted = counted(LEAST_READINGS, "sound reading" if doubted else "reading")
    return f"{number} of {wanted}{' since the rate was opened' if opened else ''}"


def _fifth_reading(case: Case, at: datetime) -> datetime:
    """When there can be five readings, the last of them not before `at`."""
    missing = max(1, LEAST_READINGS - case.estimates.time.readings_since_rate_opened)
    settled = max((b.settled_at for b in case.history.breaks if b.opens_rate), default=case.now)
    first = reading_from(case, settled)
    fifth = first
    for _ in range(missing - 1):
        fifth = case.rounds.next_after(fifth)
    return max(fifth, reading_from(case, at))


def _stands_on(case: Case) -> str:
    time, last = case.estimates.time, last_sound(case)
    since = time.rate_since
    if since is None or last is None:
        return "no reading yet"
    left = case.history.went_home(since, last.at)
    days = ((left or last.at) - since) / timedelta(days=1)  # those at its owner's show nothing
    if case.traits.weights or case.traits.reference:
        return f"over {days:.0f} days"
    winds = days / whole_wind_days(case)
    if case.traits.inferred_run:
        one = not any(visit.at > since for visit in case.history.works(Work.WOUND))
        return f"over {days:.0f} days{' of one wind' if one else ''}"
    return "mean of one whole wind" if winds < 1.9 else f"mean of {winds:.0f} whole winds"
