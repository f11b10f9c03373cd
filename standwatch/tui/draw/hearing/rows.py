"""One clock to hear, in two lines or three: when, which, what to listen for; hours as twelve cells, quarters."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from rich.cells import cell_len
from textual.content import Content

from standwatch.model.units import clock_words
from standwatch.service.hearing.heard import Cell
from standwatch.service.hearing.quarter import Listening, Row
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.paint import ERROR, HERE, MUTED, PLAIN, SUCCESS, WARNING, Lines, Part, fit, line, sized, strong

CELLS: dict[Cell, tuple[str, str]] = {
    "right": ("✓", SUCCESS),
    "wrong": ("✗", strong(ERROR)),
    "once": ("1", PLAIN),
    "new": ("○", HERE),
    "unheard": ("·", MUTED),
}
_QUARTERS = ("¼", "½", "¾", "4")
_TINT = "on $primary 22%"
_COLUMN = "on $primary 22%"
_ORDINALS = (
    "first", "second", "third", "fourth", "fifth", "sixth",
    "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth",
)  # fmt: skip
_LARGE_SLOT = 11
"""Cells for a slot in large figures: a letter, a cell, and a figure or two narrow ones."""


def row_heads(heard: Listening, width: int, *, wide: bool) -> Content:
    """The heads over the rows; the hour that sounds now stands in bold."""
    now = _hour_now(heard)
    hours = [(f"{hour:>2} ", f"{strong(PLAIN)} {_COLUMN}" if hour == now else MUTED) for hour in range(1, 13)]
    if wide:
        left = fit("  HEAR       SOUNDS     TAG  KIND, PLACE, WHAT TO LISTEN FOR", width - _ears(width))
        return line((left, MUTED), *hours, ("  ¼ ½ ¾ 4", MUTED))
    left = fit("SOUNDS   SLOT TAG  KIND, LISTEN FOR", width - 36)
    return line((left, MUTED), *hours)


def _hour_now(heard: Listening) -> int | None:
    """The hour that most of those to hear show."""
    hours = [row.voice.hour for row in heard.hear if row.voice.strikes_hour]
    return max(set(hours), key=hours.count) if hours else None


def _ears(width: int) -> int:
    """Cells that hours and quarters take at the right edge of a wide row."""
    return 36 + 11 + max(min((width - 118) // 4, 8), 0)


def row_lines(row: Row, now: datetime, zone: ZoneInfo, width: int, *, wide: bool, chosen: bool, asking: bool) -> Lines:
    """One voice; with `asking` nothing is shown of the count that would be right."""
    lines = _wide(row, now, zone, width, asking=asking) if wide else _small(row, now, zone, width, asking=asking)
    mark = 1 if wide else 0
    if chosen:
        lines[mark] = line(("›", strong(HERE)), lines[mark][1:])
        lines = [sized(each, width).stylize_before(_TINT) for each in lines]
    return lines


def _wide(row: Row, now: datetime, zone: ZoneInfo, width: int, *, asking: bool) -> Lines:
    voice, ears = row.voice, _ears(width)
    glyphs = _large_slot(voice.name)
    times: list[Part] = [(f"{voice.at.astimezone(zone):%H:%M:%S}", strong(PLAIN)), _when(row, now), _doubt(row)]
    room = width - ears - 24
    texts = [_who(row, room), line((_place(row), PLAIN)), _listen_for(row, room, asking=asking)]
    rights: Lines = [
        Content(""),
        line(*_hours(row, asking=asking), ("  ", PLAIN), *_quarters(row)),
        _under_quarters(row),
    ]
    return [
        line(
            ("  ", PLAIN), (fit(glyphs[n], _LARGE_SLOT), strong(PLAIN)), (fit(times[n][0], 11), times[n][1]),
            sized(texts[n], room), sized(rights[n], ears),
        )
        for n in range(3)
    ]  # fmt: skip


def _small(row: Row, now: datetime, zone: ZoneInfo, width: int, *, asking: bool) -> Lines:
    voice = row.voice
    time, style = _when(row, now)
    who = line((fit(voice.slot, 5), strong(PLAIN)), _who(row, width - 36 - 15))
    first = line(
        (f" {voice.at.astimezone(zone):%H:%M:%S} ", strong(PLAIN)),
        sized(who, width - 36 - 10),
        *_hours(row, asking=asking),
    )
    doubt, muted = _doubt(row)
    said = line(_listen_for(row, width, asking=asking, near=False), (f"   {doubt}" if doubt else "", muted))
    fits = (each for each in _quarters_short(row) if said.cell_length + 1 + each.cell_length <= width - 15)
    quarters = next(fits, Content(""))
    room = width - 15 - quarters.cell_length
    if said.cell_length + len(_place(row)) + 2 <= room and not row.heard.slipped:
        said = line(said, (f", {_place(row)}", MUTED))
    return [first, line((fit(f" {time}", 15), style), sized(said, room), quarters)]


def _large_slot(name: str) -> list[str]:
    """A slot in figures, where it has room; else in plain letters."""
    glyphs = small(name)
    if len(glyphs[0]) < _LARGE_SLOT and name.isascii() and name.isalnum() and name.isupper():
        return glyphs
    return ["", fit(name, _LARGE_SLOT - 1), ""]


def _when(row: Row, now: datetime) -> Part:
    """In how long it sounds; once past, what was recorded or that it is awaited."""
    if row.answered is not None:
        style = {True: SUCCESS, False: strong(ERROR), None: PLAIN}[row.answered.right]
        mark = {True: "✓", False: "✗", None: "–"}[row.answered.right]
        return f"{mark} told", style
    left = (row.voice.at - now) / timedelta(seconds=1)
    if left > 0:
        return f"in {clock_words(left)}", strong(PLAIN) if left <= 120 else MUTED
    if now <= row.voice.high + timedelta(seconds=row.voice.lasts_s):
        return "now", strong(WARNING)
    return "heard?", strong(HERE)


def _doubt(row: Row) -> Part:
    """How far out the time may be, where that could be taken for another clock."""
    doubt = row.voice.doubt_s
    return (f"±{round(doubt)} s" if doubt >= 12 else "", MUTED)


def _who(row: Row, width: int) -> Content:
    tag = row.voice.tag
    room = max(width - cell_len(tag) - 1, 0)
    kind = row.voice.title if cell_len(row.voice.title) <= room else row.voice.short
    return line((tag, PLAIN), (" " + fit(kind, room), MUTED))


def _place(row: Row) -> str:
    """ "rail C, first": where to turn the ear."""
    slot = row.voice.slot
    rail = "".join(char for char in slot if char.isalpha())
    number = slot.removeprefix(rail)
    if not rail or not number.isdecimal():
        return f"at {slot}" if slot else "no slot"
    n = int(number)
    return f"rail {rail}, {_ORDINALS[n - 1] if 1 <= n <= len(_ORDINALS) else number}"


def _listen_for(row: Row, width: int, *, asking: bool, near: bool = True) -> Content:
    if asking:
        return line(("count the blows", strong(PLAIN)))
    if row.answered is not None:
        style = ERROR if row.answered.right is False else PLAIN
        return line((row.answered.text, strong(style)), ("   u takes it back", MUTED))
    if not row.points:
        return line(("nothing new", MUTED))
    parts: list[Part] = []
    for n, point in enumerate(row.points):
        parts.append((f"   then {point.text}" if n else point.text, strong(WARNING) if point.asks else strong(PLAIN)))
    told = line(*parts)
    beside = f"   {near_words(row)}" if near else ""
    return line(told, (beside, MUTED)) if told.cell_length + len(beside) <= width else told


def near_words(row: Row) -> str:
    """ "A2 sounds just before, B6 just after", or "alone"."""
    parts = []
    if row.before:
        parts.append(f"{_names(row.before)} {'sounds' if len(row.before) == 1 else 'sound'} just before")
    if row.after:
        verb = "" if parts else " sounds" if len(row.after) == 1 else " sound"
        parts.append(f"{_names(row.after)}{verb} just after")
    return ", ".join(parts) or "alone"


def _names(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _hours(row: Row, *, asking: bool) -> list[Part]:
    if not row.heard.hours:
        return [(" " * 36, PLAIN)]
    shown: list[Cell] = ["unheard" if asking and cell == "new" else cell for cell in row.heard.hours]
    now = row.voice.hour if row.voice.strikes_hour and not asking else 0
    return [
        (f" {CELLS[cell][0]} ", f"{CELLS[cell][1]} {_COLUMN}" if hour == now else CELLS[cell][1])
        for hour, cell in enumerate(shown, start=1)
    ]


def _quarters(row: Row) -> list[Part]:
    return [(f"{CELLS[cell][0]} ", CELLS[cell][1]) for cell in row.heard.quarters]


def _under_quarters(row: Row) -> Content:
    said = "slipped" if row.heard.slipped else ""
    return line((" " * 38, PLAIN), (said, ERROR))


def _quarters_short(row: Row) -> Lines:
    """The quarters heard, the fuller words first: "¼✗ ½✓ ¾· 4○ slipped"."""
    if not row.heard.quarters:
        return []
    parts = [
        (f"{name}{CELLS[cell][0]} ", CELLS[cell][1]) for name, cell in zip(_QUARTERS, row.heard.quarters, strict=True)
    ]
    return [line(*parts, ("slipped " if row.heard.slipped else "", ERROR)), line(*parts)]
