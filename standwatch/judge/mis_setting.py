"""A self-correcting chime set out on purpose: one, two and three quarters, each right again by the second hour."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import zip_longest

from standwatch.estimate.history import Visit
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import counted, listed, met, missed, not_applicable, not_yet
from standwatch.judge.provoking import ALLOWED, provoked
from standwatch.model.words import Chime, Outcome, Requirement, Train, Work

TRIES = (1, 2, 3)
JUST_OVER = timedelta(hours=1)
"""A mis-set heard right so soon after its two hours is told with them."""


def mis_set(case: Case) -> Verdict:
    """Set one, two and three quarters out on purpose: in step by the second hour, each time."""
    name, limit = Requirement.MIS_SET, float(len(TRIES))
    if Train.CHIME not in case.traits.trains:
        return not_applicable(name, "does not chime")
    if not case.traits.self_correcting:
        return not_applicable(name, "does not correct itself")
    outcomes = tries(case)
    right = [n for n in TRIES if outcomes.get(n) is Outcome.MET]
    number = float(len(right))
    failed = [str(n) for n in TRIES if outcomes.get(n) is Outcome.MISSED]
    if failed:
        one = failed == ["1"]
        out = f"{listed(failed)} {'quarter' if one else 'quarters'} out"
        because = f"still out of step two hours after it was set {out}: put it right and try again"
        return missed(name, number, limit, because)
    left = tries_left(case)
    if not left:
        return met(name, number, limit, "right by the second hour, all three")
    out = f"{listed([str(n) for n in left])} {'quarter' if left == (1,) else 'quarters'} out"
    because = f"{len(right)} of {len(TRIES)} passes; {out} to try{_late_words(case, left)}"
    return not_yet(name, number, limit, because, _tried(case, len(left)))


def _late_words(case: Case, left: Sequence[int]) -> str:
    """ ", heard right 1 minute too late": of the tries that are left, the last that came right soon after its time."""
    late = {}
    for tried, following in _tries(case):
        if tried.row.amount is not None and int(tried.row.amount) in left:
            late[int(tried.row.amount)] = _late(case, tried, following)
    minutes = {number: math.ceil(over / timedelta(minutes=1)) for number, over in late.items() if over is not None}
    said = [
        f"{f'{number} ' if len(left) > 1 else ''}heard right {counted(many, 'minute')} too late"
        for number, many in sorted(minutes.items())
    ]
    return f", {listed(said)}" if said else ""


def _late(case: Case, tried: Visit, following: Visit | None) -> timedelta | None:
    """How long after its two hours a try was first heard in step; None where it was in time, or long after."""
    right = [v.at - tried.at - ALLOWED for v in _after_try(case, tried, following) if v.row.chime is Chime.IN_STEP]
    return right[0] if right and timedelta() < right[0] <= JUST_OVER else None


def tries_left(case: Case) -> tuple[int, ...]:
    """The mis-sets that have not shown the chime right yet."""
    outcomes = tries(case)
    return tuple(n for n in TRIES if outcomes.get(n) is not Outcome.MET)


def try_running(case: Case) -> Visit | None:
    """The mis-set whose two hours have not passed, that nothing was heard of yet and nobody put right."""
    tried = [v for v in case.history.since_opened if v.work in {Work.MIS_SET, Work.CHIME_SET}]
    if not tried or tried[-1].work is Work.CHIME_SET or case.now - tried[-1].at > ALLOWED:
        return None
    return tried[-1] if _outcome_of_try(case, tried[-1], None) is Outcome.NOT_YET_KNOWN else None


def tries(case: Case) -> dict[int, Outcome]:
    """What the last try of each number of quarters showed; one that nobody listened to takes no pass away."""
    outcomes: dict[int, Outcome] = {}
    for visit, following in _tries(case):
        if visit.row.amount is not None:
            quarters, outcome = int(visit.row.amount), _outcome_of_try(case, visit, following)
            if outcome is not Outcome.NOT_YET_KNOWN or outcomes.get(quarters) is not Outcome.MET:
                outcomes[quarters] = outcome
    return outcomes


def _outcome_of_try(case: Case, tried: Visit, following: Visit | None) -> Outcome:
    """Right if heard in step within two hours; failed if out of step after them, unless something else explains it."""
    after = _after_try(case, tried, following)
    if any(v.row.chime is Chime.IN_STEP and v.at - tried.at <= ALLOWED for v in after):
        return Outcome.MET
    late = [v for v in after if v.row.chime is Chime.OUT_OF_STEP and v.at - tried.at > ALLOWED]
    if any(not provoked(case.history, v, by_mis_set=False) for v in late):
        return Outcome.MISSED
    return Outcome.NOT_YET_KNOWN


def _after_try(case: Case, tried: Visit, following: Visit | None) -> list[Visit]:
    """What shows how a try went.

    What was heard in the row of the next try is as found before it. Put right from outside, it shows nothing more.
    """
    after = [
        v
        for v in case.history.since_opened
        if (v.at, v.order) > (tried.at, tried.order)
        and (following is None or (v.at, v.order) <= (following.at, following.order))
    ]
    put_right = next((n for n, v in enumerate(after) if v.work is Work.CHIME_SET), len(after))
    return after[: put_right + 1]


def _tries(case: Case) -> list[tuple[Visit, Visit | None]]:
    """Each mis-set with the one after it."""
    tried = [v for v in case.history.since_opened if v.work is Work.MIS_SET]
    return list(zip_longest(tried, tried[1:]))


def _tried(case: Case, many: int) -> datetime:
    """When the last of so many tries can be shown right: one a round, two hours each, beginning with one that runs."""
    running = try_running(case)
    at = case.now if running is None else running.at
    if running is not None:
        many -= 1
    for _ in range(many):
        at = case.rounds.next_after(at)
    return at + ALLOWED
