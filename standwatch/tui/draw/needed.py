"""What a clock still has to show: the fifteen requirements, each with mark, evidence and earliest day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from textual.content import Content

from standwatch.judge.assessment import Assessment, Verdict
from standwatch.model.answers import Quantity
from standwatch.model.words import NEVER_WAIVED, Outcome, Requirement
from standwatch.tui.draw import words
from standwatch.tui.draw.paint import ASLEEP, ERROR, MUTED, PLAIN, SUCCESS, WARNING, Lines, fit, line, strong, wrapped

MARKS = {
    Outcome.MET: ("✓", SUCCESS),
    Outcome.MISSED: ("✗", ERROR),
    Outcome.NOT_YET_KNOWN: ("?", WARNING),
    Outcome.WAIVED: ("~", PLAIN),
    Outcome.NOT_APPLICABLE: ("–", ASLEEP),
}
_TENTHS = {Requirement.CONTINUOUS_RUNNING, Requirement.MOON}
_NOT_SEEN = {
    Requirement.OIL: "to look at",
    Requirement.OWN_CASE: "not yet",
    Requirement.SAFETY: "not signed",
    Requirement.AMPLITUDE: "to read",
    Requirement.BEAT: "to read",
    Requirement.CHIME_STEP: "to hear",
    Requirement.TWELVE_COUNTS: "to hear",
    Requirement.TUNES: "to hear",
    Requirement.MIS_SET: "to try",
    Requirement.MOON: "to read",
    Requirement.MEAN_RATE: "too early",
    Requirement.DAY_RANGE: "too early",
    Requirement.FULL_DURATION: "not shown",
    Requirement.WEIGHT_PASSAGE: "not shown",
}


def evidence(verdict: Verdict, *, brief: bool = False) -> str:
    """What was observed against what is wanted, in a few words, or fewest; the whole reason is `because`."""
    seen, limit = verdict.observed, verdict.limit
    if verdict.outcome is Outcome.NOT_APPLICABLE:
        return "does not apply"
    if isinstance(seen, str):
        return f"signed {seen}" if verdict.requirement is Requirement.SAFETY else seen
    if seen is None:
        if verdict.outcome is Outcome.NOT_YET_KNOWN:
            return _NOT_SEEN.get(verdict.requirement, "not yet known")
        return verdict.because
    if verdict.requirement is Requirement.FULL_DURATION:
        return _hours(seen, limit, "" if brief else "days")
    text = _number(seen, verdict.requirement)
    if limit is None or (brief and isinstance(seen, Quantity)):
        return text
    unit = "" if brief else verdict.unit
    one = limit == 1 and unit in {"days", "winds", "hours", "mornings", "passes"}
    joint = "" if unit == "°" else " "
    return f"{text} of {limit:g}{joint}{'pass' if one and unit == 'passes' else unit[:-1] if one else unit}".rstrip()


def _hours(seen: Quantity | float, limit: float | None, unit: str) -> str:
    hours = seen.estimate if isinstance(seen, Quantity) else seen
    if limit is None:
        return f"{hours:.0f} h"
    if limit >= 96:
        return f"{hours / 24:.1f} of {limit / 24:.1f} {unit}".rstrip()
    return f"{hours:.0f} of {limit:.0f} h"


def _number(seen: Quantity | float, requirement: Requirement) -> str:
    if isinstance(seen, Quantity):
        value, doubt = words.rate_parts(seen)
        return f"{value if requirement is Requirement.MEAN_RATE else value.lstrip('+')} {doubt}"
    if requirement in _TENTHS:
        return f"{seen:.1f}"
    return f"{seen:.0f}" if requirement is Requirement.AMPLITUDE else f"{seen:.3g}"


def short_name(requirement: Requirement) -> str:
    """The requirement's few words, * where it is never waived."""
    return words.REQUIREMENTS[requirement] + (" *" if requirement in NEVER_WAIVED else "")


def needed_lines(
    verdicts: Sequence[Verdict], width: int, *, now: datetime, zone: ZoneInfo, dates: bool, star: bool = False
) -> Lines:
    """A line a requirement, in exactly `width`."""
    return [_needed_line(v, width, now=now, zone=zone, dates=dates, star=star) for v in verdicts]


def _needed_line(verdict: Verdict, width: int, *, now: datetime, zone: ZoneInfo, dates: bool, star: bool) -> Content:
    mark, colour = MARKS[verdict.outcome]
    told = verdict.outcome in {Outcome.NOT_YET_KNOWN, Outcome.MISSED}
    name = short_name(verdict.requirement) if star else words.REQUIREMENTS[verdict.requirement]
    name_width = 13 if dates else 11
    when = ""
    if dates and told and verdict.earliest is not None:
        when = words.near_words(verdict.earliest, now, zone)
    date_width = 7 if dates else 0
    room = width - 2 - name_width - (date_width + 1 if dates else 0)
    style = PLAIN if told else ASLEEP if verdict.outcome is Outcome.NOT_APPLICABLE else MUTED
    middle = evidence(verdict, brief=not dates)
    if len(middle) > room:  # the unit goes before a figure does
        middle = middle.removesuffix(f" {verdict.unit}")
    parts = [
        (f"{mark} ", strong(colour) if told else colour),
        (fit(name, name_width), style),
        (fit(middle, room, right=not dates), strong(ERROR) if verdict.outcome is Outcome.MISSED else style),
    ]
    if dates:
        parts.append((" " + fit(when, date_width, right=True), PLAIN))
    return line(*parts)


def needed_in_full(assessment: Assessment, width: int, *, now: datetime, zone: ZoneInfo) -> Lines:
    """Every requirement with its whole reason, wrapped."""
    lines: Lines = []
    for verdict in assessment.verdicts:
        mark, colour = MARKS[verdict.outcome]
        when = "" if verdict.earliest is None else f"  earliest {words.near_words(verdict.earliest, now, zone)}"
        if verdict.outcome not in {Outcome.NOT_YET_KNOWN, Outcome.MISSED}:
            when = ""
        because = verdict.told or evidence(verdict)
        body = wrapped(f"{because}{when}", width - 17, 4)
        first = line((f"{mark} ", strong(colour)), (fit(short_name(verdict.requirement), 15), strong(PLAIN)))
        lines += [line(first if n == 0 else Content(" " * 17), part) for n, part in enumerate(body or [Content("")])]
    return lines


def why_not_yet(assessment: Assessment) -> str:
    """One sentence: what stands between the clock and its release."""
    wanted = [v for v in assessment.verdicts if v.outcome in {Outcome.MISSED, Outcome.NOT_YET_KNOWN}]
    wanted.sort(key=lambda v: v.outcome is not Outcome.MISSED)
    told = [(v.because or words.REQUIREMENTS[v.requirement]).rstrip(".") for v in wanted]
    return "; ".join(told) + "." if told else ""


def lacking(assessment: Assessment) -> str:
    """The names of what is not met yet, missed ones first; empty where all is."""
    told = {
        outcome: [words.REQUIREMENTS[v.requirement] for v in assessment.verdicts if v.outcome is outcome]
        for outcome in (Outcome.MISSED, Outcome.NOT_YET_KNOWN)
    }
    parts = [
        f"{name}: {', '.join(told[outcome])}"
        for outcome, name in ((Outcome.MISSED, "Missed"), (Outcome.NOT_YET_KNOWN, "Not yet"))
        if told[outcome]
    ]
    return "; ".join(parts).replace("; Not", "; not")
