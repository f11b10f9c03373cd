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
from standwatch.model.answers import Moment, Quantity
from standwatch.model.units import reached
from standwatch.model.words import Outcome, Requirement, Train, Work

NAME = Requirement.FULL_DURATION
HOUR = timedelta(hours=1)
LEAST_TOLD = timedelta(days=7)
"""Turns told over less than a week are too few to reckon a month from."""
TURN_SD, TURN_SHARE_SD, FULL_SD = 0.27, 0.02, 0.3
"""Standard doubts of a wind told in turns, in turns and as a share, and of the turns to full (assumptions)."""
_PROOF = {Train.GOING: "a reading", Train.STRIKE: "a count", Train.CHIME: "a quarter in step"}


@dataclass(frozen=True, slots=True)
class _Shown:
    """How far one train is shown: hours of its best run, whether that is enough, and what is still wanted.

    `words` are its own, where there is more to say than the hours; PROOF in `wanted` stands for what shows it.
    """

    train: Train
    hours: float
    enough: bool
    words: str
    wanted: str = ""
    earliest: datetime | None = None


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
        return _by_turns(case, hours)
    dates = [train.earliest for train in wanting]
    known = [at for at in dates if at is not None]
    earliest = max(known) if len(known) == len(dates) else None
    return not_yet(NAME, hours, limit, _wanted(case, wanting), earliest)


def run_shown(case: Case, train: Train) -> bool:
    """Whether a full run of `train` has been shown, whatever is still wanted of the others."""
    return any(_proved(case, run) for run in case.winds_of(train))


def _wanted(case: Case, trains: list[_Shown]) -> str:
    """What each train is shown to and what would prove it, said once where it is the same."""
    parts: dict[tuple[bool, str], list[_Shown]] = {}
    for train in trains:
        parts.setdefault((bool(train.words), train.wanted), []).append(train)
    said = []
    for (special, wanted), together in parts.items():
        shown = _own_words(together) if special else [_hours_words(case, together)]
        said += [*shown, wanted.replace("PROOF", listed([_PROOF[train.train] for train in together]))]
    return "; ".join(text for text in said if text)


def _own_words(trains: list[_Shown]) -> list[str]:
    """What each train has to say of itself; "going and strike: no wind told" where they say the same."""
    same: dict[str, list[str]] = {}
    for train in trains:
        said = train.words.removeprefix(f"{train.train}: ")
        same.setdefault(said, []).append(str(train.train) if said != train.words else "")
    return [f"{listed(names)}: {said}" if all(names) else said for said, names in same.items()]


def _hours_words(case: Case, trains: list[_Shown]) -> str:
    """ "going and strike shown to 167 of 204 hours", "going shown to 118 and strike to 97 of 204 hours"."""
    hours = [math.floor(train.hours) for train in trains]
    first, *rest = [f"{train.train} to {h}" for train, h in zip(trains, hours, strict=True)]
    told = listed([first.replace(" to", " shown to"), *rest])
    if len(set(hours)) == 1:
        told = f"{listed([str(train.train) for train in trains])} shown to {hours[0]}"
    return f"{told} of {case.traits.full_run_h:g} hours"


def _shown(case: Case, train: Train) -> _Shown:
    runs = case.winds_of(train)
    spans = [max((at - run.base for at in run.shown), default=timedelta()) for run in runs]
    hours = max(spans, default=timedelta()) / HOUR
    proved = [(run, span) for run, span in zip(runs, spans, strict=True) if _proved(case, run)]
    if proved:
        run, span = max(proved, key=lambda pair: pair[1])
        return _Shown(train, span / HOUR, True, f"{train} {span / HOUR:.0f} h{', then run out' * run.ran_in_time}")
    if not runs:
        after = " since the stop nobody explained" if case.going.unexplained else ""
        return _Shown(train, hours, False, f"{train}: no wind told{after}")
    room, past = case.history.clock.case_fall_mm, ""
    if hours >= case.traits.full_run_h - SLACK / HOUR:
        past = f"{train} shown to {math.floor(hours)} hours, but with its weight past the {room:g} mm of its case"
    wanted, earliest = "one run without winding would prove it", None
    if runs[-1] != case.going.winds_of(train)[-1]:
        wanted = "wound since by its weight, and not logged: once it is, the run counts from there"
        earliest = _run_from_next_round(case)
    elif runs[-1].ended_at is None:
        wanted, earliest = _to_come(case, runs[-1])
    return _Shown(train, hours, False, past, wanted, earliest)


def _to_come(case: Case, run: Wind) -> tuple[str, datetime]:
    """What would prove the run that goes on now, and when that can be seen."""
    rated, full = (timedelta(hours=h) for h in (case.traits.duration_h, case.traits.full_run_h))
    read_at = first_look(case, run.base + full)
    runs_out = next((r.runs_out for r in case.estimates.power.trains if r.train is run.train), None)
    if case.now >= run.base + full - SLACK:
        return "PROOF now would prove it", read_at
    if not isinstance(runs_out, Moment) or runs_out.at >= read_at:
        return f"PROOF after {time_words(case, run.base + full - SLACK)} would prove it", read_at
    seen_at = first_look(case, run.base + rated)
    since = time_words(case, run.base + rated - SLACK)
    if seen_at <= runs_out.at:
        return f"PROOF after {since}, then its run-out, would prove it", first_look(case, runs_out.at)
    if case.traits.weights and runs_out.at >= run.base + rated - SLACK:
        return "left to run out, its dial and weights would prove it", first_look(case, runs_out.at)
    surely = runs_out.high < (run.base + rated - SLACK if case.traits.weights else seen_at)
    short = f"it {'' if surely else 'likely '}runs out before anyone sees it pass {rated / HOUR:g} hours"
    return f"{short}: let another wind run", _run_from_next_round(case)


def _run_from_next_round(case: Case) -> datetime:
    """When a run that is wound for at the next round can be seen to be full."""
    return first_look(case, case.rounds.next_after(case.now) + timedelta(hours=case.traits.full_run_h))


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
    for visit in case.history.visits:
        fall = visit.row.fall_mm(run.train)
        if fall is not None and visit.at >= wanted_at and fall <= room:
            return True
        if visit.at > run.wound_at and visit.work is Work.WOUND and visit.row.train in {None, run.train}:
            break
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


def _by_turns(case: Case, hours: float) -> Verdict:
    """A 31-day clock: the turns told so far, extrapolated to the rated time."""
    limit, rated = case.traits.duration_h, timedelta(hours=case.traits.duration_h)
    reckoned = [(train, _hours_by_turns(case, train)) for train in case.traits.trains]
    told = [hours for _, hours in reckoned if isinstance(hours, Quantity)]
    missing = [f"{train}: {hours}" for train, hours in reckoned if isinstance(hours, str)]
    least = min(told, key=lambda hours: hours.estimate) if told else None
    if missing or least is None:
        return not_yet(NAME, hours, limit, "inferred from turns: " + "; ".join(missing), _turns_at(case))
    words = f"inferred: by the turns told it would run {least.estimate / 24:.1f} ±{least.doubt / 24:.1f} days"
    if reached(timedelta(hours=least.estimate), rated):
        return met(NAME, least, limit, words)
    return not_yet(NAME, least, limit, f"{words} of {limit / 24:g}", None)


def _turns_at(case: Case) -> datetime | None:
    """When every train can be wound after a week or more, its turns counted."""
    runs = [case.winds_of(train)[-1:] for train in case.traits.trains]
    bases = [run[0].base for run in runs if run and run[0].ended_at is None]
    if len(bases) < len(runs) or not all(train in case.traits.turns for train in case.traits.trains):
        return None
    return first_look(case, max(bases) + LEAST_TOLD)


def _hours_by_turns(case: Case, train: Train) -> Quantity | str:
    """Hours the train would run from full to down, by the turns that its winds told; or what is missing, in words."""
    full = case.traits.turns.get(train)
    if full is None:
        return "its turns to full are not given"
    told = dict(winds(case.history, train))
    runs = [run for run in case.winds_of(train) if run.ended_at in told and not run.broken]
    pairs = [(run.ended_at - run.base, turns) for run in runs if run.ended_at and (turns := told[run.ended_at])]
    gone, turns = sum((span for span, _ in pairs), timedelta()), sum(turns for _, turns in pairs)
    if not turns or not reached(gone, LEAST_TOLD):
        return "no wind of a week or more told in turns yet"
    hours = gone / HOUR * full / turns
    share = math.sqrt(len(pairs) * TURN_SD**2 + (TURN_SHARE_SD * turns) ** 2) / turns
    return Quantity.normal(hours, hours * math.hypot(share, FULL_SD / full))
