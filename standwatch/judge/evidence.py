"""What the requirements share: verdicts in short, the readings to come, how long a span is, and days in words."""

from __future__ import annotations

from datetime import datetime, timedelta

from standwatch.estimate.history import Visit
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.model.answers import Answer, Quantity
from standwatch.model.units import round_to_doubt, signed
from standwatch.model.words import Outcome, Requirement

Observed = Quantity | float | str | None

SURE, UNLIKELY = 0.95, 0.05
"""Met from the one, missed down to the other: probability to lie within the limit (JCGM 106:2012, 7)."""
SLACK = timedelta(hours=1)
"""A span of a day or more is reached when it is short by so much: a round reads before it winds."""
DAY = timedelta(days=1)
WORKING_DAY = timedelta(hours=10)
"""From the round until the shop is left for the night (common practice)."""


def not_applicable(requirement: Requirement, because: str) -> Verdict:
    """The requirement says nothing about this clock."""
    return Verdict(requirement, Outcome.NOT_APPLICABLE, None, None, because)


def met(requirement: Requirement, observed: Observed, limit: float | None, because: str) -> Verdict:
    """The evidence is whole, and within the limit."""
    return Verdict(requirement, Outcome.MET, observed, limit, because)


def missed(requirement: Requirement, observed: Observed, limit: float | None, because: str) -> Verdict:
    """The evidence is there, and something lies outside the limit beyond its doubt."""
    return Verdict(requirement, Outcome.MISSED, observed, limit, because)


def not_yet(
    requirement: Requirement, observed: Observed, limit: float | None, because: str, earliest: datetime | None
) -> Verdict:
    """Something is still wanted; `earliest` is when it could be there."""
    return Verdict(requirement, Outcome.NOT_YET_KNOWN, observed, limit, because, earliest)


def told(answer: Answer) -> Quantity | None:
    """The number, or None where there is none yet."""
    return answer if isinstance(answer, Quantity) else None


def read_today(case: Case) -> bool:
    """Whether a time error was read since local midnight."""
    zone = case.history.zone
    readings = case.history.readings
    return bool(readings) and readings[-1].at.astimezone(zone).date() == case.now.astimezone(zone).date()


def round_begun_today(case: Case) -> bool:
    """Whether the last round began on this civil date."""
    zone = case.rounds.zone
    return case.rounds.before(case.now).astimezone(zone).date() == case.now.astimezone(zone).date()


def next_reading(case: Case, nth: int = 1) -> datetime:
    """When the `nth` reading to come can be taken: one a round, beginning now if today's is still to do."""
    at, left = case.now, nth
    if round_begun_today(case) and not read_today(case):
        left -= 1
    for _ in range(left):
        at = case.rounds.next_after(at)
    return at


def reading_from(case: Case, at: datetime) -> datetime:
    """The first reading to come that is not earlier than `at` by more than the slack."""
    first = next_reading(case)
    return first if first >= at - SLACK else case.rounds.next_after(at - SLACK - timedelta(microseconds=1))


def first_look(case: Case, at: datetime) -> datetime:
    """The first time that someone can see what is there from `at` on, an hour short being enough.

    On an open day that is at once, for ten hours from the round on; else at the next round.
    """
    ready = max(at - SLACK, case.now)
    return ready if ready - case.rounds.before(ready) <= WORKING_DAY else case.rounds.next_after(ready)


def last_sound(case: Case) -> Visit | None:
    """The last time error that the others don't contradict."""
    doubted = {suspect.id for suspect in case.estimates.time.suspects}
    return next((visit for visit in reversed(case.history.readings) if visit.id not in doubted), None)


def day_words(case: Case, at: datetime) -> str:
    """ "Mon 23 Nov", in the shop's civil time."""
    local = at.astimezone(case.history.zone)
    return f"{local:%a} {local.day} {local:%b}"


def time_words(case: Case, at: datetime) -> str:
    """ "Mon 23 Nov 08:00", in the shop's civil time."""
    return f"{day_words(case, at)} {at.astimezone(case.history.zone):%H:%M}"


def rate_with_doubt(rate: Quantity) -> str:
    """ "+6.2 ±1.1", the doubt half the 95 % interval."""
    value, doubt = round_to_doubt(rate.estimate, rate.doubt)
    decimals = len(doubt.partition(".")[2])
    return f"{signed(float(value.replace('−', '-')), decimals)} ±{doubt}"


def spread_with_doubt(spread: Quantity) -> str:
    """ "3.1 ±1.6", the doubt half the 95 % interval."""
    value, doubt = round_to_doubt(spread.estimate, spread.doubt)
    return f"{value} ±{doubt}"


def counted(number: int, one: str, many: str | None = None) -> str:
    """ "1 reading", "3 readings"."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(names: list[str]) -> str:
    """ "1", "1 and 3", "1, 2 and 3"."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
