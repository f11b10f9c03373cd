"""First hour: what is missing of the start sheet and how long it takes, large; a line each with what it is for."""

from __future__ import annotations

from dataclasses import dataclass

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.service.bench.first_hour import SheetLine, missing_of, uneven
from standwatch.tui.draw.crowns import clock_crown
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.paint import (
    ERROR,
    HERE,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    fit,
    line,
    stack,
    strong,
    wrapped,
)

_TINT = "on $primary 22%"
_KEYS = {
    "number": "type the figure, Enter keeps it",
    "unlock": "type the figure, Enter keeps it",
    "swing": "type the figure, Enter keeps it",
    "choice": "1, 2 or 3",
    "seen": "Enter or + right   - not right, and what",
}


@dataclass(frozen=True, slots=True)
class Page:
    """The sheet of one clock, and the line that is looked at."""

    told: Assessment
    sheet: tuple[SheetLine, ...]
    cursor: int

    @property
    def line(self) -> SheetLine | None:
        """The line under the cursor."""
        return self.sheet[self.cursor] if self.cursor < len(self.sheet) else None


def head(page: Page, width: int) -> Content:
    """The top line."""
    name = "FIRST HOUR" if width >= 48 else "FIRST"
    return clock_crown(name, page.told, page.told.estimates.history.traits.kind.title, width)


def body(page: Page, size: Size) -> Content:
    """The page under its head."""
    width, tall = size.width - 2, size.height >= 26
    if not page.sheet:
        return line((" A reference is compared for its rate alone: it has no start sheet.", MUTED))
    gap = [Content("")] if tall else []
    lines: Lines = [*gap, *_counts(page, width), *gap]
    told = uneven(page.told)
    tail: Lines = [line(("! ", strong(WARNING)), part) for part in wrapped(told, width - 2, 1)] if told else []
    lines.append(_heads(width))
    room = max(size.height - len(lines) - len(tail), 1)
    first = min(max(page.cursor - room + 2, 0), max(len(page.sheet) - room, 0))
    shown = list(enumerate(page.sheet))[first : first + room]
    lines += [_row(each, width, chosen=n == page.cursor) for n, each in shown]
    below = len(page.sheet) - first - room
    if below > 0:
        lines[-1] = line((f"  ▼ {below + 1} more", MUTED))
    return stack((line((" ", PLAIN), part) for part in [*lines, *tail]), size.height)


def _counts(page: Page, width: int) -> Lines:
    """How many are missing and how long they take; beside them the line that is asked."""
    missing, minutes = missing_of(page.sheet)
    colour = strong(WARNING if missing else SUCCESS)
    count, time = small(str(len(missing))), small(f"{minutes:.0f}")
    texts = (("MISSING", "MINUTES"), (f"of {len(page.sheet)}", "for all of it"), ("", ""))
    left = [
        line((count[n], colour), (f" {fit(texts[n][0], 9)}", strong(PLAIN) if n == 0 else MUTED),
             (time[n], colour), (f" {fit(texts[n][1], 14)}", strong(PLAIN) if n == 0 else MUTED))
        for n in range(3)
    ]  # fmt: skip
    each = page.line
    if each is None:
        return left
    used = max(part.cell_length for part in left)
    asked = [line((each.title.upper(), strong(HERE))), *wrapped(each.ask, width - used - 1, 2)]
    asked += [Content("")] * (3 - len(asked))
    return [line(part.truncate(used, pad=True), (" ", PLAIN), asked[n]) for n, part in enumerate(left)]


def _heads(width: int) -> Content:
    told = "TOLD, OR TAKES" if width < 100 else "TOLD, OR HOW LONG IT TAKES"
    return line((fit(f"   {'WHAT':<16} {fit(told, _told_width(width))}  WITHOUT IT", width), MUTED))


def _told_width(width: int) -> int:
    return 34 if width >= 100 else 20


def _row(each: SheetLine, width: int, *, chosen: bool) -> Content:
    mark = ("!", ERROR) if each.wrong else ("✓", SUCCESS) if each.told is not None else ("?", WARNING)
    told = each.told or ""
    shown, style = (told, strong(ERROR if each.wrong else PLAIN)) if told else (f"{each.minutes:g} min", MUTED)
    room = width - 2 - 18 - _told_width(width) - 2
    without = each.without if each.missing else ""
    row = line(
        ("›" if chosen else " ", strong(HERE)),
        mark,
        (f" {fit(each.title, 16)} ", strong(PLAIN) if each.missing else PLAIN),
        (fit(shown, _told_width(width)), style),
        (f"  {fit(without, room)}", MUTED),
    )
    return row.stylize_before(_TINT) if chosen else row


def keys_words(each: SheetLine | None) -> str:
    """What answers the line under the cursor."""
    return "" if each is None else _KEYS[each.kind]
