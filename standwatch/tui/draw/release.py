"""Release: may it go? Every requirement with its outcome, its evidence, what is asked and the earliest day."""

from __future__ import annotations

from datetime import datetime

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import DONE
from standwatch.model.words import REQUIREMENT_NAMES, Outcome
from standwatch.service.after.leaving import home_line, kept_line, learned_line, step_lines
from standwatch.tui.draw import words
from standwatch.tui.draw.asked import OUTCOMES, Asked
from standwatch.tui.draw.glyphs import large, small
from standwatch.tui.draw.leaving import Section, in_full, section_lines, sections
from standwatch.tui.draw.paint import (
    HERE,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    crown,
    fit,
    line,
    rule,
    stack,
    strong,
)
from standwatch.tui.draw.release_rows import heads, rows_of, verdicts_in_full

_STARRED = "* never waived. It may go when every requirement is met, waived or does not apply."


def head(asked: Asked, width: int) -> Content:
    """Who it is, for whom, how long it has been tested."""
    found = asked.found
    history = found.estimates.history
    clock = history.clock
    who = "  ".join(part for part in ("" if asked.at_home else history.position, clock.tag) if part)
    owner = f"   for {clock.owner}" if clock.owner else ""
    held = f"{found.standing.value.replace('-', ' ')} {int(found.days_held + 0.05)}/{int(found.days_needed + 0.99)} d "
    if asked.at_home:
        held = "at its owner's "
    told = line((f"  {clock.description or history.traits.kind.title}", PLAIN), (owner, MUTED))
    return crown(line((f" RELEASE  {who}", strong(PLAIN))), told, [line((held, MUTED))], width)


def page(asked: Asked, size: Size) -> Content:
    """The whole screen under its head."""
    if asked.full:
        return _listing(asked, size)
    tall = size.height >= 27
    air = [Content("")] if tall else []
    top = [*air, *_word_large(asked, size.width, tall=tall), *air, heads(asked, size.width)]
    room = max(size.height - len(top), 1)
    told = _sections(asked)
    urgent = [part for each in told if each.first for part in _inset(section_lines(each, size.width - 2, 4))]
    rows, ends = rows_of(asked, size.width, room - len(urgent))
    shown = rows[(first := max(ends[asked.chosen] - (room - len(urgent)), 0)) : first + room - len(urgent)]
    below = _below(asked, told, Size(size.width, room - len(shown) - len(urgent)))
    return stack([*top, *shown, *urgent, *below], size.height)


def _sections(asked: Asked) -> list[Section]:
    rate = asked.found.estimates.time.rate
    return [] if asked.leaving is None else sections(asked.leaving, rate, asked.zone)


def _below(asked: Asked, told: list[Section], size: Size) -> Lines:
    """What else there is to tell, as far as there is room."""
    lines: Lines = []
    for each in told:
        if not each.first:
            gap = [Content("")] if size.height >= 8 else []
            part = section_lines(each, size.width - 2, size.height - len(lines) - len(gap))
            lines += [*gap, *_inset(part)] if part else []
    if not asked.released and size.height - len(lines) >= 2:
        lines += [Content(""), line((f"  {fit(_STARRED, size.width - 2)}".rstrip(), MUTED))]
    return lines


def _word_large(asked: Asked, width: int, *, tall: bool) -> Lines:
    """The word as large letters, what matters beside it."""
    rows = large(asked.word) if tall else small(asked.word)
    colour = {"HOLD": WARNING, "MAY GO": SUCCESS}.get(asked.word, PLAIN)
    beside = _beside(asked)
    room = width - len(rows[0]) - 5
    if not tall:
        beside = [(text.removeprefix("at home "), style) for text, style in beside]
    return [
        line(
            (f" {row}   ", strong(colour)),
            (fit(beside[n][0] if n < len(beside) else "", room), beside[n][1] if n < len(beside) else PLAIN),
        )
        for n, row in enumerate(rows)
    ]


def _beside(asked: Asked) -> list[tuple[str, str]]:
    if asked.released:
        return _let_go(asked)
    told = [(_counts(asked), strong(PLAIN))]
    home = asked.leaving.home if asked.leaving is not None else None
    if asked.may_go:
        told.append((f"{words.rate_text(asked.found.estimates.time.rate)} s/day", PLAIN))
        if home is not None:
            told += [(home_line(home, asked.found.estimates.time.rate), PLAIN), (learned_line(home), MUTED)]
        return [*told, ("it stays until you let it go: type its tag", MUTED)]
    today = [
        REQUIREMENT_NAMES[v.requirement] for v in asked.open if v.earliest is not None and _is_today(v.earliest, asked)
    ]
    told.append((_when(asked), PLAIN))
    if asked.found.going.hangs is not None:
        told.append(("it stands still", WARNING))
    elif any(not stop.explained and not stop.in_time for stop in asked.found.going.stops):
        told.append(("a stop is not explained", WARNING))
    if today:
        told.append((f"today: {', '.join(today)}", PLAIN))
    if home is not None:
        told.append((home_line(home, asked.found.estimates.time.rate), MUTED))
    return told


def _let_go(asked: Asked) -> list[tuple[str, str]]:
    """Of a clock let go: who and when, what was kept, what is expected; of one at home, how it was left."""
    leaving = asked.leaving
    if leaving is None or leaving.record is None:
        return [
            ("it was let go", strong(PLAIN)),
            ("its record can't be read here", WARNING) if leaving else ("", PLAIN),
        ]
    record = leaving.record
    who = (f"let go {words.day_words(record.at, asked.zone)} {record.at:%Y} by {record.by}", strong(PLAIN))
    kept = (kept_line(record), PLAIN)
    if asked.at_home:
        went = next((step for step in reversed(leaving.way.steps) if step.what == "delivered"), None)
        return [who, (step_lines([went], asked.zone)[0] if went else "", PLAIN), kept]
    home = record.home or leaving.home
    told = [who, kept, (home_line(home, record.rate_s_per_day) if home is not None else "", PLAIN)]
    return [*told, (_counts(asked), MUTED), ("p its papers; d when it goes home; o back to the stand", MUTED)]


def _counts(asked: Asked) -> str:
    by = {outcome: sum(v.outcome is outcome for v in asked.verdicts) for outcome in OUTCOMES}
    waived = by[Outcome.WAIVED] + sum(v.requirement in asked.waive for v in asked.verdicts if v.outcome not in DONE)
    remain = len(asked.open)
    parts = ["nothing remains" if not remain else f"{remain} remain{'s' if remain == 1 else ''}"]
    parts.append(f"{by[Outcome.MET]} met")
    if waived:
        parts.append(f"{waived} waived")
    if by[Outcome.NOT_APPLICABLE]:
        parts.append(f"{by[Outcome.NOT_APPLICABLE]} n/a")
    return "   ".join(parts)


def _when(asked: Asked) -> str:
    """The earliest day it may go, and the promise."""
    unknown = [v for v in asked.open if v.earliest is None]
    days = [v.earliest for v in asked.open if v.earliest is not None]
    promised = asked.found.estimates.history.clock.promised_on
    promise = f", promised {promised:%a} {promised.day} {promised:%b}" if promised else ""
    if unknown:
        return f"no day can be told: {REQUIREMENT_NAMES[unknown[0].requirement]}{promise}"
    if not days:
        return promise.removeprefix(", ")
    day = max(days).astimezone(asked.zone).date()
    if promised is not None and day > promised:
        late = (day - promised).days
        promise += f": {late} day{'s' if late > 1 else ''} too late"
    return f"earliest {words.day_words(max(days), asked.zone)}{promise}"


def _is_today(at: datetime, asked: Asked) -> bool:
    return at.astimezone(asked.zone).date() <= asked.now.astimezone(asked.zone).date()


def _inset(lines: Lines) -> Lines:
    return [line((" ", PLAIN), part) for part in lines]


def full_length(asked: Asked, width: int) -> int:
    """Lines of it in full."""
    return len(_in_full(asked, width - 2))


def _in_full(asked: Asked, width: int) -> Lines:
    told = _sections(asked)
    return [*verdicts_in_full(asked, width), *in_full(told, width)]


def _listing(asked: Asked, size: Size) -> Content:
    width = size.width - 2
    rows = _in_full(asked, width)
    room = size.height - 1
    first = min(asked.first, max(len(rows) - room, 0))
    shown = rows[first : first + room]
    below = len(rows) - first - room
    if below > 0:
        shown = [*shown[:-1], line((f"▼ {below + 1} more lines", MUTED))]
    key = line(("n", strong(HERE)), (" back", MUTED))
    return stack(_inset([rule(f"{asked.word}: ALL OF IT", width, key), *shown]))
