"""What eyes have to see: oil at the pivots, the safety of lines and hooks, the moon on its dial."""

from __future__ import annotations

from datetime import datetime, timedelta

from standwatch.estimate.history import Visit
from standwatch.horology.moon import MEAN_LUNATION_D
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import SLACK, day_words, met, missed, next_reading, not_applicable, not_yet, reading_from
from standwatch.model.units import reached
from standwatch.model.words import Requirement, Work

OIL_AFTER = timedelta(days=7)
"""How long the clock must have gone before its oil can tell of a bush that sheds."""
MOON_SPAN = timedelta(days=7)
MOON_LIMIT_D = 1.0


def oil(case: Case) -> Verdict:
    """Each visible pivot clear, looked at after a week's going."""
    name, limit = Requirement.OIL, OIL_AFTER / timedelta(days=1)
    checks = [v for v in case.history.since_opened if v.work is Work.OIL_CHECKED and v.row.amount is not None]
    if not checks:
        gone = gone_by(case, case.now)
        because = f"not looked at yet, {gone / timedelta(days=1):.1f} days gone"
        return not_yet(name, None, limit, because, _week_gone(case))
    last = checks[-1]
    gone = gone_by(case, last.at)
    days = gone / timedelta(days=1)
    if last.row.amount:
        because = f"dark or dry at a pivot on {day_words(case, last.at)} ({last.row.note}): a bush is shedding; open it"
        return missed(name, days, limit, because)
    if reached(gone, OIL_AFTER):
        return met(name, days, limit, f"clear after {days:.0f} days, {last.row.note}")
    because = f"clear after {days:.1f} days, {last.row.note}: look again after a week's going"
    return not_yet(name, days, limit, because, _week_gone(case))


def safety(case: Case) -> Verdict:
    """Lines, hooks, suspension, clicks and tagged parts signed for, since it was last opened or cased."""
    name = Requirement.SAFETY
    signed: Visit | None = None
    for visit in case.history.since_opened:
        if visit.work is Work.SAFETY_CHECKED:
            signed = visit
        elif visit.work is Work.CASED:
            signed = None
    if signed is None:
        return not_yet(name, None, None, "not signed: lines, hooks, suspension, clicks, tagged parts", case.now)
    return met(name, signed.row.note, None, f"{signed.row.note} on {day_words(case, signed.at)}")


def moon(case: Case) -> Verdict:
    """The dial's moon against the sky's over a week at least: within a day."""
    name = Requirement.MOON
    if not case.traits.moon:
        return not_applicable(name, "no moon on this dial")
    read: list[tuple[datetime, float]] = []
    for visit in case.history.since_opened:
        if visit.row.moon_age_d is not None:
            read.append((visit.at, visit.row.moon_age_d))
        if visit.work is Work.MOON_SET:
            read = []
    if not read:
        return not_yet(name, None, MOON_LIMIT_D, "no moon read yet", reading_from(case, next_reading(case) + MOON_SPAN))
    (first, first_age), (last, last_age) = read[0], read[-1]
    if not reached(last - first, MOON_SPAN):
        because = f"read over {(last - first) / timedelta(days=1):.1f} of 7 days"
        return not_yet(name, None, MOON_LIMIT_D, because, reading_from(case, first + MOON_SPAN))
    # the sky's moon ages by a day a day; both begin again at new moon
    off = (last_age - first_age) - (last - first) / timedelta(days=1)
    off = abs((off + MEAN_LUNATION_D / 2) % MEAN_LUNATION_D - MEAN_LUNATION_D / 2)
    words = f"{off:.1f} d off the sky over {(last - first) / timedelta(days=1):.0f} days"
    # a dial that moves by half days may stand exactly on the limit
    verdict = met if off <= MOON_LIMIT_D + 1e-9 else missed
    return verdict(name, off, MOON_LIMIT_D, words)


def gone_by(case: Case, at: datetime) -> timedelta:
    """How long the clock is shown to have gone by `at` since it was opened, the times it hung left out."""
    spells = [(spell.start, min(spell.end, _last_shown(case, at))) for spell in case.going.spells]
    return sum((end - start for start, end in spells if end > start), timedelta())


def _last_shown(case: Case, at: datetime) -> datetime:
    """The last fact up to `at` that shows the clock going; `at` itself where none does."""
    shown = [v.at for v in case.history.since_opened if v.at <= at and v.shows_going]
    return shown[-1] if shown else at


def _week_gone(case: Case) -> datetime:
    """When the clock can have gone a week, if it goes on; now where it has."""
    left = OIL_AFTER - SLACK - gone_by(case, case.now)
    if left <= timedelta():
        return case.now
    shown = case.going.last_shown or case.now
    return reading_from(case, shown + left + SLACK)
