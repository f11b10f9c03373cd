"""Beside a clock's requirements: whether to hold it, what is expected of it at home, and what happened since."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from textual.content import Content

from standwatch.judge.phases import Phase
from standwatch.model.answers import Answer, Quantity
from standwatch.model.units import clock_words
from standwatch.service.after.gone_home import TimeThere
from standwatch.service.after.leaving import Leaving, Way, home_lines, job_line, kept_line, step_lines
from standwatch.tui.draw import words
from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, WARNING, Lines, fit, line, rule, spread, strong, wrapped

_COUNTED = re.compile(r"\d+ facts? since")


@dataclass(frozen=True, slots=True)
class Section:
    """Sentences under a title. `first`: it must be seen, if only in part, whatever else there is."""

    title: str
    told: tuple[str, ...]
    first: bool = False
    style: str = PLAIN


def sections(leaving: Leaving, rate: Answer, zone: ZoneInfo) -> list[Section]:
    """What there is to tell of a clock of such a `rate` that goes or went, the most urgent first."""
    home = () if leaving.home is None else home_lines(leaving.home, rate)
    kept = () if leaving.record is None else (f"{kept_line(leaving.record)}, by version {leaving.record.program}",)
    found = [
        Section("SINCE IT WAS LET GO", _since(leaving), first=True, style=WARNING),
        Section("HOLD OR LET GO", (leaving.holding,) if leaving.holding else ()),
        Section("AT HOME", home),
        *way_sections(leaving.way, zone),
        Section("ITS RECORD", kept),
    ]
    return [section for section in found if section.told]


def _since(leaving: Leaving) -> tuple[str, ...]:
    """What is other since; of a clock at home not how many calls there were, which are told one by one."""
    if leaving.way.phase is not Phase.DELIVERED:
        return leaving.since
    return tuple(said for said in leaving.since if not _COUNTED.fullmatch(said))


def way_sections(way: Way, zone: ZoneInfo) -> list[Section]:
    """The steps of a clock's way, the latest first, and the other jobs on it."""
    there = tuple(time_there(each, zone) for each in reversed(way.there))
    jobs = [f"earlier  {job_line(job, zone)}" for job in way.earlier]
    jobs += [f"later  {job_line(job, zone)}" for job in way.later]
    found = [
        Section("TIME TOLD AT HOME", there),
        Section("ITS WAY HOME", tuple(reversed(step_lines(way.steps, zone)))),
        Section("OTHER JOBS ON THE SAME CLOCK", tuple(jobs)),
    ]
    return [section for section in found if section.told]


def way_lines(way: Way | None, zone: ZoneInfo, width: int) -> Lines:
    """Who let it go, in a line, and the other job on the same clock in another; empty for most on the stand."""
    if way is None:
        return []
    lines: Lines = []
    if way.phase is Phase.RELEASED:
        lines.append(line((fit(step_lines([way.steps[-1]], zone)[0], width).rstrip(), strong(PLAIN))))
    job = (*way.earlier, *way.later)[:1]
    if job:
        name = "EARLIER JOB" if way.earlier else "LATER JOB"
        key = line((" Enter", strong(HERE)), (" opens it", MUTED)) if way.other_job else Content("")
        told_job = line((f"{name}  ", MUTED), (job_line(job[0], zone), PLAIN))
        lines.append(spread(told_job, key, width))
    return lines


def time_there(there: TimeThere, zone: ZoneInfo) -> str:
    """ "Fri 27 Nov 0:05 fast, expected 0:02 slow ±0:24"."""
    found = f"{words.day_words(there.at, zone)} {words.error_short(there.error_s)}"
    if not isinstance(there.expected, Quantity):
        return found
    expected = there.expected
    return f"{found}, expected {words.error_short(expected.estimate)} ±{clock_words(expected.doubt)}"


def section_lines(section: Section, width: int, height: int) -> Lines:
    """A section in at most `height` lines, its head among them; nothing where none of it can be told."""
    if height < 2:
        return []
    full = _told(section, width)
    room = height - 1
    body = full[:room]
    cut = len(full) > room
    if cut and body:
        last = body[-1].plain.rstrip()
        body[-1] = wrapped(f"{last} {'x' * width}", width, 1, section.style)[0] if last else body[-1]
    more = line(("n", strong(HERE)), (" in full", MUTED)) if cut else Content("")
    return [rule(section.title, width, more), *body]


def _told(section: Section, width: int) -> Lines:
    return [part for sentence in section.told for part in wrapped(_capital(sentence), width, 20, section.style)]


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def in_full(found: Sequence[Section], width: int) -> Lines:
    """Every section whole, a blank line before each."""
    return [part for each in found for part in (Content(""), rule(each.title, width), *_told(each, width))]
