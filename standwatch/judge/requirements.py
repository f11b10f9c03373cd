"""The one table of requirements, in the order of the record, and what waivers change in it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from standwatch.judge.asked import usual_limit
from standwatch.judge.assessment import DONE, Verdict
from standwatch.judge.case import Case
from standwatch.judge.chiming import chime_step, tunes
from standwatch.judge.evidence import not_applicable
from standwatch.judge.looked_at import moon, oil, safety
from standwatch.judge.mis_setting import mis_set
from standwatch.judge.rate import day_range, mean_rate
from standwatch.judge.running import continuous_running, full_duration, own_case, weight_passage
from standwatch.judge.striking import twelve_counts
from standwatch.judge.swing import amplitude, beat
from standwatch.model.facts import Waiver
from standwatch.model.words import NEVER_WAIVED, Outcome, Requirement

Rule = Callable[[Case], Verdict]

RULES: dict[Requirement, Rule] = {
    Requirement.CONTINUOUS_RUNNING: continuous_running,
    Requirement.FULL_DURATION: full_duration,
    Requirement.WEIGHT_PASSAGE: weight_passage,
    Requirement.MEAN_RATE: mean_rate,
    Requirement.DAY_RANGE: day_range,
    Requirement.AMPLITUDE: amplitude,
    Requirement.BEAT: beat,
    Requirement.TWELVE_COUNTS: twelve_counts,
    Requirement.CHIME_STEP: chime_step,
    Requirement.MIS_SET: mis_set,
    Requirement.TUNES: tunes,
    Requirement.MOON: moon,
    Requirement.OIL: oil,
    Requirement.OWN_CASE: own_case,
    Requirement.SAFETY: safety,
}


_UNITS = {
    Requirement.CONTINUOUS_RUNNING: "days",
    Requirement.FULL_DURATION: "hours",
    Requirement.WEIGHT_PASSAGE: "winds",
    Requirement.MEAN_RATE: "s/day",
    Requirement.DAY_RANGE: "s/day",
    Requirement.CHIME_STEP: "mornings",
    Requirement.MIS_SET: "passes",
    Requirement.TWELVE_COUNTS: "hours",
    Requirement.MOON: "d",
    Requirement.OIL: "days",
    Requirement.OWN_CASE: "days",
}
_SWING_UNITS = {"pendulum": ("%", "%"), "balance": ("°", "ms"), "torsion": ("°", "°")}
"""Of the swing (what is to spare, or degrees) and of the beat."""


def _unit(case: Case, requirement: Requirement) -> str:
    swing, beat = _SWING_UNITS[case.traits.oscillator]
    return {Requirement.AMPLITUDE: swing, Requirement.BEAT: beat}.get(requirement, _UNITS.get(requirement, ""))


def verdicts_of(case: Case) -> tuple[Verdict, ...]:
    """A verdict on every requirement, in the record's order, waivers applied."""
    return tuple(_waived(case, _judged(case, requirement, rule)) for requirement, rule in RULES.items())


def _judged(case: Case, requirement: Requirement, rule: Rule) -> Verdict:
    if case.traits.reference and requirement is not Requirement.MEAN_RATE:
        return not_applicable(requirement, "a reference is compared for its rate alone")
    found = rule(case)
    usual = usual_limit(case.traits, requirement, found.limit)
    return replace(found, unit=_unit(case, requirement), usual=usual)


def _waived(case: Case, verdict: Verdict) -> Verdict:
    """`verdict`, or "waived" where it is open and someone answered for it since the clock was last reopened."""
    if verdict.outcome in DONE or verdict.requirement in NEVER_WAIVED:
        return verdict
    waiver = _waiver(case, verdict.requirement)
    if waiver is None:
        return verdict
    return replace(verdict, outcome=Outcome.WAIVED, because=f"{waiver.reason} ({waiver.by})", earliest=None)


def _waiver(case: Case, requirement: Requirement) -> Waiver | None:
    reopened = [step.at for step in case.history.handovers if step.what == "reopened"]
    given = [
        waiver
        for waiver in case.history.waivers
        if waiver.requirement is requirement and (not reopened or waiver.at > reopened[-1])
    ]
    return given[-1] if given else None
