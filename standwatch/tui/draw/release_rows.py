"""The requirements of a release, a line each or in full: outcome, evidence or what remains, what is asked, when."""

from __future__ import annotations

from textual.content import Content

from standwatch.judge.asked import compared
from standwatch.judge.assessment import DONE, Verdict
from standwatch.model.words import REQUIREMENT_NAMES, Outcome, Requirement
from standwatch.tui.draw import words
from standwatch.tui.draw.asked import OUTCOMES, Asked, name_of, reason_of
from standwatch.tui.draw.needed import MARKS, evidence
from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, Lines, fit, line, sized, strong, wrapped

_EARLIEST, _ASKED, _NAME = 8, 20, 21


def _asked_width(width: int) -> int:
    return _ASKED if width >= 110 else 0


def _earliest_width(asked: Asked) -> int:
    """Where nothing remains there is no day to tell."""
    return 0 if asked.released or not asked.open else _EARLIEST


def heads(asked: Asked, width: int) -> Content:
    """The heads of the columns."""
    wanted, earliest = _asked_width(width), _earliest_width(asked)
    names = f"   OUTCOME  {fit('REQUIREMENT', _NAME - 1)} {'WHAT REMAINS, OR WHY' if earliest else 'WHAT WAS SHOWN'}"
    last = fit("ASKED", wanted) + fit("EARLIEST" if earliest else "", earliest + 1, right=True)
    return line((fit(names, width - earliest - wanted - 2) + last, MUTED))


def asked_cell(verdict: Verdict) -> tuple[str, str]:
    """What is asked, and its style: "10 s/day", or "7 s/day stricter" where the shop asks another than the kind."""
    limit = verdict.limit
    if limit is None:
        return "", PLAIN
    unit = verdict.unit if verdict.unit in {"°", ""} else f" {verdict.unit}"
    if verdict.requirement is Requirement.TUNES:
        unit = " positions"
    if limit == 1 and unit in {" days", " winds", " hours", " mornings"}:
        unit = unit[:-1]
    how = compared(verdict.requirement, limit, verdict.usual)
    return f"{limit:g}{unit}{f' {how}' if how else ''}", strong(PLAIN) if how else MUTED


def _row(asked: Asked, verdict: Verdict, width: int, *, chosen: bool, height: int) -> Lines:
    waived = verdict.outcome not in DONE and verdict.requirement in asked.waive
    mark, colour = MARKS[Outcome.WAIVED if waived else verdict.outcome]
    outcome = "waive" if waived else OUTCOMES[verdict.outcome]
    remains = verdict.outcome not in DONE and not waived
    earliest = words.near_words(verdict.earliest, asked.now, asked.zone) if remains and verdict.earliest else ""
    wanted, day_room = _asked_width(width), _earliest_width(asked)
    room = width - 12 - _NAME - day_room - 2 - wanted
    because = verdict.because or evidence(verdict)
    how = compared(verdict.requirement, verdict.limit, verdict.usual)
    if how and not wanted:  # no column of its own tells it
        because = f"{verdict.limit:g} asked, {how}: {because}"
    if waived:
        because = f"{asked.waive[verdict.requirement]}; printed on its record"
    style = strong(PLAIN) if remains else PLAIN
    reason = wrapped(because, room - 2, height, PLAIN) or [Content("")]
    cell, manner = asked_cell(verdict)
    first = line(
        ("›" if chosen else " ", strong(HERE)),
        (f"{mark} ", strong(colour)),
        (fit(outcome, 9), colour if remains else style),
        (fit(name_of(verdict.requirement), _NAME), strong(style) if chosen else style),
        sized(reason[0], room),
        (fit(cell, wanted), manner),
        (fit(earliest, day_room + 1, right=True), PLAIN),
    )
    return [first, *(line((" " * 33, PLAIN), part) for part in reason[1:])]


def rows_of(asked: Asked, width: int, height: int) -> tuple[Lines, list[int]]:
    """The requirements, and where each of them ends; what doesn't apply in one line.

    A reason that is cut gets a second line as long as there is room for it, from the top.
    """
    aside = _aside(asked, width)
    spare = height - len(asked.rows) - len(aside)
    lines: Lines = []
    ends: list[int] = []
    for n, verdict in enumerate(asked.rows):
        row = _row(asked, verdict, width, chosen=n == asked.chosen, height=2 if spare > 0 else 1)
        spare -= len(row) - 1
        lines += row
        ends.append(len(lines))
    return [*lines, *aside], ends or [0]


def _aside(asked: Asked, width: int) -> Lines:
    names = [REQUIREMENT_NAMES[v.requirement] for v in asked.verdicts if v.outcome is Outcome.NOT_APPLICABLE]
    if not names:
        return []
    mark, colour = MARKS[Outcome.NOT_APPLICABLE]
    return [line((f" {mark} ", strong(colour)), (fit(f"{fit('n/a', 9)}{', '.join(names)}", width - 3).rstrip(), MUTED))]


def verdicts_in_full(asked: Asked, width: int) -> Lines:
    """Every requirement with its whole reason."""
    lines: Lines = []
    for verdict in asked.verdicts:
        mark, colour = MARKS[verdict.outcome]
        when = words.near_words(verdict.earliest, asked.now, asked.zone) if verdict.earliest else ""
        told = reason_of(verdict) + (f"  earliest {when}" if when and verdict.outcome not in DONE else "")
        if verdict.requirement in asked.waive and verdict.outcome not in DONE:
            told += f"; to be waived: {asked.waive[verdict.requirement]}"
        for n, part in enumerate(wrapped(told, width - _NAME - 3, 8) or [Content("")]):
            name = line((f"{mark} ", strong(colour)), (fit(name_of(verdict.requirement), _NAME + 1), strong(PLAIN)))
            lines.append(line(name if n == 0 else Content(" " * (_NAME + 3)), part))
    return lines
