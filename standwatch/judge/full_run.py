"""The full run of every train: from one wind to its rated time and beyond, unaided."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from standwatch.estimate.going import Wind
from standwatch.estimate.power import fall_expected
from standwatch.estimate.winding import winds
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import SLACK, first_look, listed, met, not_applicable, not_yet, time_words
from standwatch.judge.swing import amplitude
from standwatch.model.answers import Quantity
from standwatch.model.units import reached
from standwatch.model.words import Outcome, Requirement, Train

NAME = Requirement.FULL_DURATION
HOUR = timedelta(hours=1)
LEAST_TOLD = timedelta(days=7)
"""Turns told over less than a week are too few to reckon a month from."""
TURN_SD, TURN_SHARE_SD, FULL_SD = 0.27, 0.02, 0.3
"""Standard doubts of a wind told in turns, in turns and as a share, and of the turns to full (assumptions)."""
PROOF = {Train.GOING: "a reading", Train.STRIKE: "a count", Train.CHIME: "a quarter in step"}


@dataclass(frozen=True, slots=True)
class _Shown:
    """How far one train is shown: hours of its best run, whether that is enough, and what is still wanted."""

    train: Train
    hours: float
    enough: bool
    words: str
    earliest: datetime | None


def full_duration(case: Case) -> Verdict:
    """Hours of the longest run shown, of the train that is shown least, against rated hours and half a day more."""
    if case.traits.reference:
        return not_applicable(NAME, "a reference is compared for its rate alone")
    limit = case.traits.full_run_h
    trains = [_shown(case, train) for train in case.traits.trains]
    hours = min(train.hours for train in trains)
    wanting = [train for train in trains if not train.enough]
    if not wanting:
        return met(NAME, hours, limit, "one run of each train: " + listed([train.words for train in trains]))
    if case.traits.oscillator == "torsion":
        return _by_swing(case)
    if case.traits.inferred_run and not case.traits.weights:
        return _by_turns(case)
    dates = [train.earliest for train in wanting]
    known = [at for at in dates if at is not None]
    earliest = max(known) if len(known) == len(dates) else None
    return not_yet(NAME, hours, limit, "; ".join(train.words for train in wanting), earliest)


def run_shown(case: Case, train: Train) -> bool:
    """Whether a full run of `train` has been shown, whatever is still wanted of the others."""
    return any(_proved(case, run) for run in case.going.winds_of(train))


def _shown(case: Case, train: Train) -> _Shown:
    runs = case.going.winds_of(train)
    full = timedelta(hours=case.traits.full_run_h)
    spans = [max((at - run.base for at in run.shown), default=timedelta()) for run in runs]
    hours = max(spans, default=timedelta()) / HOUR
    proved = [(run, span) for run, span in zip(runs, spans, strict=True) if _proved(case, run)]
    if proved:
        run, span = max(proved, key=lambda pair: pair[1])
        ran_out = ", then run out" if run.ran_in_time else ""
        return _Shown(train, span / HOUR, enough=True, words=f"{train} {span / HOUR:.0f} h{ran_out}", earliest=None)
    live = runs[-1] if runs and runs[-1].ended_at is None else None
    so_far = f"{train} shown to {math.floor(hours)} of {full / HOUR:g} hours"
    if live is None:
        after = " since the stop nobody explained" if case.going.unexplained and not runs else ""
        words = f"{so_far}; one run without winding would prove it" if runs else f"{train}: no wind told{after}"
        return _Shown(train, hours, enough=False, words=words, earliest=None)
    if hours * HOUR >= full - SLACK:
        so_far += f", but with its weight past the {case.history.clock.case_fall_mm:g} mm of its case"
    due = first_look(case, live.base + full)
    when = "now" if due <= case.now else f"after {time_words(case, live.base + full - SLACK)}"
    return _Shown(train, hours, enough=False, words=f"{so_far}; {PROOF[train]} {when} would prove it", earliest=due)


def _proved(case: Case, run: Wind) -> bool:
    """Whether the run was shown half a day past its rated time, or past its rated time and then run out."""
    rated, full = (timedelta(hours=h) for h in (case.traits.duration_h, case.traits.full_run_h))
    wanted = [rated, full] if run.ran_in_time else [full]
    return any(
        reached(at - run.base, span) and _within_case(case, run, at, span) for span in wanted for at in run.shown
    )


def _within_case(case: Case, run: Wind, shown_at: datetime, span: timedelta) -> bool:
    """Whether the weight hung within the customer's case when the run had lasted `span`, by reading or forecast."""
    room = case.history.clock.case_fall_mm
    if room is None or not case.traits.weights:
        return True
    wanted_at = min(shown_at, run.base + span)
    end = run.ended_at or case.now
    later = [v.row.fall_mm(run.train) for v in case.history.visits if wanted_at <= v.at <= end and v.at > run.wound_at]
    read = [mm for mm in later if mm is not None]
    if read and min(read) <= room:
        return True
    before = replace(case.history, visits=tuple(v for v in case.history.visits if v.at <= wanted_at), now=wanted_at)
    expected = fall_expected(before, run.train, wanted_at)
    return isinstance(expected, Quantity) and expected.estimate <= room


def _by_swing(case: Case) -> Verdict:
    """A torsion clock's run is too long to watch: inferred from least days of going and a good swing."""
    wanted = timedelta(days=case.traits.least_days)
    gone, limit = case.going.days * 24, wanted / HOUR
    swing = amplitude(case)
    rated = f"a run of {case.traits.duration_h / 24:.0f} days is not watched"
    if not reached(timedelta(days=case.going.days), wanted):
        words = f"inferred: {math.floor(gone * 10 / 24) / 10:.1f} of {wanted / (24 * HOUR):g} days of going; {rated}"
        at = None if case.going.hangs or case.going.running_since is None else first_look(case, going_reached_at(case))
        dates = [at] if swing.outcome is Outcome.MET else [at, swing.earliest]
        known = [date for date in dates if date is not None]
        return not_yet(NAME, gone, limit, words, max(known) if len(known) == len(dates) else None)
    if swing.outcome is not Outcome.MET:
        return not_yet(
            NAME, gone, limit, f"inferred: gone long enough, its swing still to be met; {rated}", swing.earliest
        )
    return met(NAME, gone, limit, f"inferred from {case.going.days:.1f} days of going and its swing; {rated}")


def going_reached_at(case: Case) -> datetime:
    """When the least days of unbroken going are there, if it goes on from its last spell's end."""
    ended = case.going.spells[-1].end if case.going.spells else case.now
    return ended + timedelta(days=case.traits.least_days - case.going.days)


def _by_turns(case: Case) -> Verdict:
    """A 31-day clock: the turns told so far, extrapolated to the rated time."""
    limit, rated = case.traits.duration_h, timedelta(hours=case.traits.duration_h)
    reckoned = [(train, _hours_by_turns(case, train)) for train in case.traits.trains]
    told = [hours for _, hours in reckoned if isinstance(hours, Quantity)]
    missing = [f"{train}: {hours}" for train, hours in reckoned if isinstance(hours, str)]
    least = min(told, key=lambda hours: hours.estimate) if told else None
    if missing or least is None:
        return not_yet(NAME, least, limit, "inferred from turns: " + "; ".join(missing), None)
    words = f"inferred: by the turns told it would run {least.estimate / 24:.1f} ±{least.doubt / 24:.1f} days"
    if reached(timedelta(hours=least.estimate), rated):
        return met(NAME, least, limit, words)
    return not_yet(NAME, least, limit, f"{words} of {limit / 24:g}", None)


def _hours_by_turns(case: Case, train: Train) -> Quantity | str:
    """Hours the train would run from full to down, by the turns that its winds told; or what is missing, in words."""
    full = case.traits.turns.get(train)
    if full is None:
        return "its turns to full are not given"
    told = dict(winds(case.history, train))
    runs = [run for run in case.going.winds_of(train) if run.ended_at in told and not run.broken]
    pairs = [(run.ended_at - run.base, turns) for run in runs if run.ended_at and (turns := told[run.ended_at])]
    gone, turns = sum((span for span, _ in pairs), timedelta()), sum(turns for _, turns in pairs)
    if not turns or not reached(gone, LEAST_TOLD):
        return "no wind of a week or more told in turns"
    hours = gone / HOUR * full / turns
    share = math.sqrt(len(pairs) * TURN_SD**2 + (TURN_SHARE_SD * turns) ** 2) / turns
    return Quantity.normal(hours, hours * math.hypot(share, FULL_SD / full))
