"""What eyes should look at next, where looking would change something."""

from __future__ import annotations

from standwatch.judge.evidence import day_words
from standwatch.judge.level import level_words, levels_of, next_level
from standwatch.judge.settling import settling_until
from standwatch.judge.situation import Situation
from standwatch.judge.start_sheet import missing_of
from standwatch.judge.swing import wants_swing
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import Outcome, Requirement, Work

_LAST = (Requirement.OWN_CASE, Requirement.SAFETY)
"""What is left to the end: the clock goes into its case when the stand has shown the rest, and is signed for there."""


def to_look_at(situation: Situation) -> tuple[str, str] | None:
    """A sentence and two or three words; None where nothing needs a look."""
    return _start_sheet(situation) or _evidence(situation) or _last(situation)


def _start_sheet(situation: Situation) -> tuple[str, str] | None:
    missing = next((each for each in missing_of(situation.case.estimates) if each.pressing), None)
    return None if missing is None else (missing.text, missing.short)


def _evidence(situation: Situation) -> tuple[str, str] | None:
    case = situation.case
    oil = situation.verdict(Requirement.OIL)
    if situation.wants(Requirement.OIL) and oil.earliest is not None and oil.earliest <= case.now:
        return f"look at the oil: {oil.because}", "look at oil"
    if settling_until(case) is None:
        if situation.wants(Requirement.AMPLITUDE) and wants_swing(case):
            return f"read the swing: {situation.verdict(Requirement.AMPLITUDE).because}", "read swing"
        beat = situation.verdict(Requirement.BEAT)
        if situation.wants(Requirement.BEAT):
            return f"read the beat: {beat.because}", "read beat"
    moon = situation.verdict(Requirement.MOON)
    if situation.wants(Requirement.MOON):
        due = moon.earliest is not None and moon.earliest <= case.now
        if due or not any(v.row.moon_age_d is not None for v in case.history.since_opened):
            return f"read the moon: {moon.because}", "read moon"
    return _at_the_bob(situation)


def _at_the_bob(situation: Situation) -> tuple[str, str] | None:
    """While a weight passes the bob, and that is still to be shown, the swing is watched once."""
    case = situation.case
    cased = any(b.work is Work.CASED for b in case.history.breaks)
    wanted = situation.wants(Requirement.WEIGHT_PASSAGE) or (cased and situation.wants(Requirement.OWN_CASE))
    levels = levels_of(case.estimates) if wanted else ()
    level = None if isinstance(levels, NotYetKnown) else next_level(levels, case.now)
    if level is None or not level.open_at(case.now):
        return None
    if any(reading.at >= level.enters.at for reading in case.estimates.swing.readings):
        return None
    return f"watch the swing: {level_words(level, case.now, case.history.zone)}", "watch swing"


def _last(situation: Situation) -> tuple[str, str] | None:
    open_yet = {v.requirement for v in situation.verdicts if v.outcome is Outcome.NOT_YET_KNOWN}
    if not open_yet or not open_yet <= set(_LAST):
        return None
    case = situation.case
    own_case = situation.verdict(Requirement.OWN_CASE)
    if Requirement.OWN_CASE in open_yet:
        cased = any(b.work is Work.CASED for b in case.history.breaks)
        if not cased:
            return "into its own case, with its own weights and pendulum", "into its case"
        when = f", {day_words(case, own_case.earliest)} at the earliest" if own_case.earliest else ""
        return (f"in its case: {own_case.because}{when}", "look") if Requirement.SAFETY not in open_yet else _safety()
    return _safety()


def _safety() -> tuple[str, str]:
    return "look over lines, hooks, suspension, clicks and tagged parts, and sign", "sign safety"
