"""Delivered: the calls due, what was told of each clock at its owner's, and what came back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Size

from standwatch.service.after.gone_home import Gone, TimeThere
from standwatch.service.after.warranty import full_day
from standwatch.tui.draw import words
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.leaving import time_there
from standwatch.tui.draw.paint import ERROR, HERE, MUTED, PLAIN, WARNING, Lines, fit, line, rule, stack, strong, wrapped

_TIMES = 2
"""So many of the latest times told are shown."""


@dataclass(frozen=True, slots=True)
class AtHome:
    """The clocks at their owners', which of them is chosen, and the times told of that one since it went home."""

    gone: Sequence[Gone]
    chosen: int
    there: Sequence[TimeThere]
    now: datetime
    zone: ZoneInfo


def page(home: AtHome, size: Size) -> Content:
    """Two counts, a line a clock with calls due first, and what is known of the chosen one."""
    gone, chosen, now, zone = home.gone, home.chosen, home.now, home.zone
    if not gone:
        return stack(_empty(size.width), size.height)
    due = [g for g in gone if g.due is not None and g.due <= now]
    back = [g for g in gone if g.called_back]
    top = _counts(len(due), len(back), len(gone), size.width)
    columns = _columns(size.width, gone)
    about = details(gone[chosen], home.there, zone, size.width)
    room = size.height - len(top) - 2 - len(about)  # for clocks, beside the heads and what lies below
    room = max(min(len(gone), room), min(3, size.height - len(top) - 2))
    first = min(max(chosen - room + 1, 0), max(len(gone) - room, 0))
    shown = gone[first : first + room]
    rows = [_row(known, columns, now, zone, chosen=n == chosen) for n, known in enumerate(shown, first)]
    below = len(gone) - first - len(shown)
    more = line((f"   ▼ {below} more", MUTED)) if below > 0 else Content("")
    return stack([*top, _heads(columns), *rows, more, *about], size.height)


def details(gone: Gone, there: Sequence[TimeThere], zone: ZoneInfo, width: int) -> Lines:
    """All that is known of one clock at its owner's, a line or two each."""
    until = ""
    if gone.warranty is not None:
        until = f"warranty {'to' if gone.in_warranty else 'ended'} {full_day(gone.warranty)}"
    told = [
        ("LEFT THERE", f"{words.day_words(gone.since, zone)}: {gone.left or 'nothing was told of how it was left'}"),
        ("LET GO", gone.went),
        *(("TIME THERE" if n == 0 else "", time_there(each, zone)) for n, each in enumerate(there[-_TIMES:])),
        ("SAID", gone.said),
        ("CAME BACK", ", ".join(gone.called_back)),
        ("REPAIRED", gone.repaired),
    ]
    title = f"{gone.tag}  {gone.kind}" + (f" for {gone.owner}" if gone.owner else "")
    room = max(width - len(until) - 6, 8)
    lines = [rule(f" {fit(title, min(room, cell_len(title)))}", width, line((f"{until} ", MUTED)))]
    for name, text in told:
        for n, part in enumerate(wrapped(text, width - 14, 2) if text else []):
            lines.append(line((f" {fit(name if n == 0 else '', 12)}", MUTED), part))
    return lines


def _empty(width: int) -> Lines:
    told = "No clock is at its owner's. One that is released goes home by d on its release page; the call is due here."
    return [Content(""), *(line((" ", PLAIN), part) for part in wrapped(told, width - 2, 4))]


def _counts(due: int, back: int, total: int, width: int) -> Lines:
    figures = small(str(due)), small(str(back))
    names = ("CALLS DUE", "CAME BACK")
    under = (f"of {total} at their owners'", "or somebody had to go")
    lines: Lines = []
    for n in range(3):
        left = line(
            (f" {figures[0][n]} ", strong(WARNING if due else PLAIN)), (fit((names[0], under[0], "")[n], 24), MUTED)
        )
        right = line((f"{figures[1][n]} ", strong(PLAIN)), (fit((names[1], under[1], "")[n], 24), MUTED))
        lines.append(line(left, right) if width >= 64 else left)
    return [*lines, Content("")]


def _columns(width: int, gone: Sequence[Gone]) -> list[tuple[str, int]]:
    tag = max(4, *(len(g.tag) for g in gone))
    columns = [("CALL", 9), ("TAG", tag), ("KIND", 10), ("WENT HOME", 10), ("TOLD THERE", 11), ("CAME BACK", 11)]
    rest = width - 2 - sum(size + 1 for _, size in columns)
    if rest >= 24:
        columns.insert(3, ("FOR", 14))
        rest -= 15
    if rest >= 8:
        columns.append(("SAID", rest - 1))
    return columns


def _heads(columns: list[tuple[str, int]]) -> Content:
    return line(("  " + " ".join(fit(name, size) for name, size in columns), MUTED))


def _row(gone: Gone, columns: list[tuple[str, int]], now: datetime, zone: ZoneInfo, *, chosen: bool) -> Content:
    late = gone.due is not None and gone.due <= now
    told = "stopped" if gone.stopped else "" if gone.error_s is None else words.error_short(gone.error_s)
    cells = {
        "CALL": ("–" if gone.due is None else words.near_words(gone.due, now, zone) + (" !" if late else ""), late),
        "TAG": (gone.tag, False),
        "KIND": (gone.kind, False),
        "FOR": (gone.owner, False),
        "WENT HOME": (words.near_words(gone.since, now, zone), False),
        "TOLD THERE": (told or "·", gone.stopped),
        "CAME BACK": (", ".join(gone.called_back) or "–", bool(gone.called_back)),
        "SAID": (gone.said, False),
    }
    parts = [("› " if chosen else "  ", strong(HERE))]
    for name, size in columns:
        text, loud = cells[name]
        style = (
            strong(ERROR if name == "TOLD THERE" else WARNING) if loud else strong(PLAIN) if name == "TAG" else PLAIN
        )
        parts.append((fit(text, size) + " ", style))
    return line(*parts)


def said(gone: Gone, now: datetime, zone: ZoneInfo, width: int) -> Lines:
    """What is next with the chosen clock."""
    call = "every call about it is made"
    if gone.due is not None:
        late = gone.due <= now
        call = f"a call {'is' if late else 'comes'} due {words.near_words(gone.due, now, zone)}: c, with what is said"
    return wrapped(f"{gone.tag}: {call}; b if it came back", width, 2)
