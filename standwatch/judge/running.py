"""Running: without a stop, through the whole of a wind, and in its own case."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

from standwatch.estimate.history import Visit
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import (
    DAY,
    counted,
    day_words,
    first_look,
    listed,
    met,
    missed,
    not_applicable,
    not_yet,
    time_words,
)
from standwatch.judge.full_run import full_duration, going_reached_at
from standwatch.judge.rate import mean_rate, whole_wind_days
from standwatch.model.units import reached
from standwatch.model.words import Chime, Outcome, Requirement, Train, Work

__all__ = ["continuous_running", "full_duration", "own_case", "weight_passage"]

WEEK = timedelta(days=7)
CASE_DAYS, CASE_DAYS_DAILY = 6.0, 2.0
"""Days in its own case past the bob: of one wind, or of a clock wound daily over its winds."""
_REFERENCE = "a reference is compared for its rate alone"


def continuous_running(case: Case) -> Verdict:
    """Days of unbroken going against the least days; never missed, only not yet known."""
    name, going, limit = Requirement.CONTINUOUS_RUNNING, case.going, case.traits.least_days
    if case.traits.reference:
        return not_applicable(name, _REFERENCE)
    days = going.days
    if going.running_since is None:
        because = f"found hanging {time_words(case, going.hangs.found_at)}" if going.hangs else "not yet shown going"
        return not_yet(name, days, limit, because, None)
    since = f"since {time_words(case, going.running_since)}"
    if reached(timedelta(days=days), timedelta(days=limit)):
        return met(name, days, limit, f"{_tenths(days)} days without a stop {since}")
    words = f"{_tenths(days)} of {limit:g} days without a stop {since}"
    if going.hangs is not None:
        return not_yet(name, days, limit, f"{words}, and hangs now", None)
    return not_yet(name, days, limit, words, first_look(case, going_reached_at(case)))


def weight_passage(case: Case) -> Verdict:
    """Whole winds gone through, past the bob, against how many this kind wants."""
    name, wanted = Requirement.WEIGHT_PASSAGE, case.traits.passage_winds
    if not wanted:
        because = _REFERENCE if case.traits.reference else "no weight hangs beside its pendulum"
        return not_applicable(name, because)
    span = DAY if case.traits.daily else WEEK
    runs = case.winds_of(Train.GOING)
    passed = [run for run in runs if not run.broken and reached(case.going.gone_in(run), span)]
    done, unit = len(passed), "a day" if case.traits.daily else "7 days"
    if done >= wanted:
        last = passed[-1]
        return met(
            name, done, wanted, f"through {counted(done, 'wind')}, the last from {day_words(case, last.wound_at)}"
        )
    words = f"through {done} of {counted(wanted, 'wind')} of at least {unit}"
    if case.going.hangs is not None:
        return not_yet(name, done, wanted, words, None)
    more = wanted - done
    live = runs[-1] if runs and runs[-1].ended_at is None and runs[-1] not in passed else None
    start = live.base if live is not None else case.rounds.next_after(case.now)
    return not_yet(name, done, wanted, words, first_look(case, start + more * span))


def own_case(case: Case) -> Verdict:
    """Proved in its own case: past the bob or a whole wind, mean rate, the hour twelve, each quarter in step."""
    name, traits = Requirement.OWN_CASE, case.traits
    if traits.reference:
        return not_applicable(name, _REFERENCE)
    if traits.movement_only:
        return not_applicable(name, "movement only: not proved in its case")
    if traits.oscillator == "torsion":
        return not_applicable(name, "its dome is its case")
    limit = _case_days(case)
    wanted = timedelta(days=limit)
    cased = [visit for visit in case.history.since_opened if visit.work is Work.CASED]
    if not cased:
        return not_yet(
            name, None, limit, "not in its own case yet", first_look(case, case.rounds.next_after(case.now) + wanted)
        )
    gone, begun = _gone_there(case, cased[-1].at)
    there = [v for v in case.history.since_opened if (v.at, v.order) > (cased[-1].at, cased[-1].order)]
    wants, wrong, dates = _ears(case, there)
    rate = mean_rate(case)
    if rate.outcome is Outcome.MISSED:
        wrong.append(f"its rate there {rate.because}")
    elif rate.outcome is not Outcome.MET:
        wants.append(f"its rate there ({rate.because})")
        dates.append(rate.earliest)
    if not reached(gone, wanted):
        wants.insert(0, f"{_tenths(gone / DAY)} of {limit:g} days gone")
        dates.append(None if case.going.hangs or begun is None else first_look(case, begun + wanted))
    in_case = f"in its case since {day_words(case, cased[-1].at)}"
    if wrong:
        return missed(name, gone / DAY, limit, f"{in_case}: {listed(wrong)}")
    if wants:
        known = [at for at in dates if at is not None]
        earliest = max(known) if len(known) == len(dates) else None
        return not_yet(name, gone / DAY, limit, f"{in_case}, still wanted: {listed(wants)}", earliest)
    through = f"{_tenths(gone / DAY)} days {'on end' if traits.daily else 'of one wind'}"
    return met(name, gone / DAY, limit, f"{in_case}: {through}, rate and sound as they should be")


def _case_days(case: Case) -> float:
    """Days wanted in its own case: six of a wind, two of a clock wound daily, a spring's whole wind as it is kept."""
    if not case.traits.weights:
        return whole_wind_days(case)
    return CASE_DAYS_DAILY if case.traits.daily else CASE_DAYS


def _gone_there(case: Case, cased_at: datetime) -> tuple[timedelta, datetime | None]:
    """The longest span of going in its case that counts, and from when the one that goes on now counts."""
    going = case.going
    if case.traits.weights and case.traits.daily:
        spans = [(spell.end - max(spell.start, cased_at)) for spell in going.spells]
        begun = max(going.spells[-1].start, cased_at) if going.spells else cased_at
        return max([*spans, timedelta()]), begun
    runs = [case.unaided(run) for run in going.winds if run.train is Train.GOING]
    live = runs[-1] if runs and runs[-1].ended_at is None else None
    gone = max((going.gone_in(run, cased_at) for run in runs), default=timedelta())
    return gone, None if live is None else max(live.base, cased_at)


def _ears(case: Case, there: list[Visit]) -> tuple[list[str], list[str], list[datetime | None]]:
    """What ears still have to tell in its case, what they told wrong, and when the rest can be heard."""
    wants: list[str] = []
    wrong: list[str] = []
    twelve, left = to_hear_in_case(case)
    blows = _last_twelve(there) if Train.STRIKE in case.traits.trains else None
    if twelve:
        wants.append("the hour twelve heard")
    elif blows is not None and blows != 12:
        wrong.append(f"twelve struck {blows}")
    if left:
        wants.append(f"{'quarter' if len(left) == 1 else 'quarters'} {listed([str(q) for q in left])} in step")
    return wants, wrong, [first_look(case, case.now)] if wants else []


def to_hear_in_case(case: Case) -> tuple[bool, tuple[int, ...]]:
    """Whether twelve, and which quarters in step, are still to be heard in its own case; nothing before it is cased."""
    visits = case.history.since_opened
    cased = [n for n, visit in enumerate(visits) if visit.work is Work.CASED]
    if not cased:
        return False, ()
    there, trains = list(visits[cased[-1] + 1 :]), case.traits.trains
    heard = {v.row.quarter for v in there if v.row.chime is Chime.IN_STEP}
    left = tuple(quarter for quarter in (1, 2, 3, 4) if quarter not in heard) if Train.CHIME in trains else ()
    return Train.STRIKE in trains and _last_twelve(there) is None, left


def _last_twelve(there: list[Visit]) -> int | None:
    """What was counted at the last twelve; nothing where it was wrong and the strike was put right since."""
    counted: int | None = None
    for visit in there:
        if visit.row.hour == 12 and visit.row.blows is not None:
            counted = visit.row.blows
        if visit.work is Work.STRIKE_SET and counted != 12:
            counted = None
    return counted


def _tenths(days: float) -> str:
    """Days to the tenth, never more than there are."""
    return f"{math.floor(days * 10 + 1e-9) / 10:.1f}"
