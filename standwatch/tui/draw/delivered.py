"""Delivered: the calls due, what was told of each clock at its owner's, and what came back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from textual.content import Content
from textual.geometry import Size

from standwatch.model.answers import Quantity
from standwatch.service.gone_home import Gone
from standwatch.tui.draw import words
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.paint import ERROR, HERE, MUTED, PLAIN, WARNING, Lines, fit, line, stack, strong, wrapped

CODES = {"1": "set-up", "2": "mechanical", "3": "user", "4": "cosmetic"}
Expected = Callable[[Gone], Quantity | None]
"""The error expected of a clock when it was last told, as far as it is known."""


def page(gone: Sequence[Gone], chosen: int, now: datetime, zone: ZoneInfo, size: Size) -> Content:
    """Two counts, then a line a clock, calls due first."""
    if not gone:
        return stack(_empty(size.width), size.height)
    due = [g for g in gone if g.due is not None and g.due <= now]
    back = [g for g in gone if g.called_back]
    top = _counts(len(due), len(back), len(gone), size.width)
    columns = _columns(size.width, gone)
    room = max(size.height - len(top) - 2, 1)
    first = min(max(chosen - room + 1, 0), max(len(gone) - room, 0))
    rows = [
        _row(known, columns, now, zone, chosen=n == chosen) for n, known in enumerate(gone[first : first + room], first)
    ]
    below = len(gone) - first - room
    more = [line((f"   ▼ {below} more", MUTED))] if below > 0 else []
    return stack([*top, _heads(columns), *rows, *more], size.height)


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
    columns = [("CALL", 9), ("TAG", tag), ("KIND", 10), ("WENT HOME", 10), ("TOLD THERE", 11), ("CAME BACK", 10)]
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
    """The chosen clock in two lines: what was told last, and what was repaired."""
    when = "" if gone.told_at is None else f" on {words.day_words(gone.told_at, zone)}"
    told = "nothing told of its time there yet"
    if gone.error_s is not None:
        told = f"told {words.error_short(gone.error_s)}{when}"
    call = "every call is made"
    if gone.due is not None:
        call = f"call due {words.near_words(gone.due, now, zone)}"
    parts = [f"{gone.tag}{f' for {gone.owner}' if gone.owner else ''}: {call}; {told}"]
    if gone.said:
        parts.append(f"said: {gone.said}")
    if gone.repaired:
        parts.append(f"repaired: {gone.repaired}")
    return wrapped("; ".join(parts), width, 2)
