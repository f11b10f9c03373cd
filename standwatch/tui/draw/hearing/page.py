"""Listening: the countdown large, the voices on a line of time, and each clock to hear with what to listen for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from textual.content import Content
from textual.geometry import Size

from standwatch.model.units import clock_words
from standwatch.service.hearing.quarter import Listening, Row
from standwatch.service.hearing.voices import QUARTER, mark_words
from standwatch.tui.draw import words
from standwatch.tui.draw.glyphs import large
from standwatch.tui.draw.hearing.rows import row_heads, row_lines
from standwatch.tui.draw.hearing.time_line import time_line
from standwatch.tui.draw.hearing.unheard import (
    closed_lines,
    groups,
    stagger_line,
    still_unheard,
    tries_lines,
    tune_lines,
)
from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, WARNING, Lines, line, sized, spread, stack, strong, wrapped

_WIDE = 110


@dataclass(frozen=True, slots=True)
class Heard:
    """What the screen is about: the quarter, the row under the cursor (−1: none), the time, whether a count is asked.

    `to_come` is said where nothing is worth hearing now; `cautions` what to mind, the first time in a day.
    """

    listening: Listening
    cursor: int
    now: datetime
    zone: ZoneInfo
    asking: bool = False
    to_come: str = ""
    cautions: bool = False


def head(told: Heard, width: int) -> Content:
    """The top line: the screen, the reference's time to the second, how many sound and how many are worth hearing."""
    local = told.now.astimezone(told.zone)
    heard = told.listening
    sound = f"{len(heard.rows)} {'sounds' if len(heard.rows) == 1 else 'sound'} at {heard.short}"
    left = line((" LISTENING  ", strong(PLAIN)), (f"{words.day_words(told.now, told.zone)} {local:%H:%M:%S}", PLAIN))
    right = line((f"{sound}, {len(heard.hear)} to hear ", MUTED))
    if width >= _WIDE:
        left = line(left, ("     ", PLAIN), _mind(told))
    return spread(left, right, width)


def page(told: Heard, size: Size) -> Content:
    """Countdown, line of time, the clocks to hear, those that aren't and why, the stagger, what is still unheard."""
    wide = size.width >= _WIDE
    airy = size.height >= 30
    lines: Lines = [Content(""), *_top(told, size.width - 2, wide=wide), Content("")]
    below = [
        *groups(told.listening, size.width - 2, 5 if airy else 2),
        *([Content("")] if airy else []),
        *stagger_line(told.listening, size.width - 2),
    ]
    more = _more(told, size.width - 2, wide=wide)
    each = 3 if wide else 2
    shown = shown_rows(told, max((size.height - len(lines) - len(below) - (2 if wide else 1)) // (each + 1), 1))
    if shown:
        lines.append(row_heads(told.listening, size.width - 2, wide=wide))
        lines += [Content("")] if wide else []
        for n in shown:
            row = told.listening.rows[n]
            block = row_lines(
                row, told.now, told.zone, size.width - 2, wide=wide, chosen=n == told.cursor, asking=told.asking
            )
            lines += [*block, Content("")]
    else:
        said = told.to_come or "Nothing that sounds now is wanted."
        lines += [*wrapped(said, size.width - 4, 3, strong(PLAIN)), Content("")]
    lines += below
    for part in more:
        if part and len(lines) + len(part) + 1 <= size.height:
            lines += [Content(""), *part]
    return stack((line((" ", PLAIN), part) for part in lines), size.height)


def _more(told: Heard, width: int, *, wide: bool) -> list[Lines]:
    """What stands below where there is room, the more wanted first."""
    if wide:
        return [still_unheard(told.listening, told.zone, width), tune_lines(told.listening, width)]
    parts = [tries_lines(told.listening, told.zone, width), closed_lines(told.listening, width)]
    return [*parts, tune_lines(told.listening, width)]


def shown_rows(told: Heard, room: int) -> list[int]:
    """Which voices have room: those to hear, and others only down to the cursor."""
    rows = list(range(max(len(told.listening.hear), told.cursor + 1)))
    first = min(max(told.cursor - room + 1, 0), max(len(rows) - room, 0))
    return rows[first : first + room]


def _top(told: Heard, width: int, *, wide: bool) -> Lines:
    """The large countdown; beside it what is awaited and, where there is room, the line of time."""
    to, seconds = _awaited(told)
    figures = large(clock_words(seconds))
    room = width - len(figures[0]) - 4
    beside = _beside_wide(told, to, room) if wide else _beside_small(told, to)
    return [
        line((f" {row}   ", strong(PLAIN)), sized(beside[n] if n < len(beside) else Content(""), room))
        for n, row in enumerate(figures)
    ]


def _awaited(told: Heard) -> tuple[str, float]:
    """What the countdown runs to, and the seconds left: the quarter; past it a voice to hear; then the next quarter."""
    heard = told.listening
    if told.now < heard.mark:
        return f"to {heard.words}", _seconds(heard.mark, told.now)
    coming = [row for row in heard.hear if row.voice.at > told.now and row.answered is None]
    if coming:
        return f"to {coming[0].voice.name}", _seconds(coming[0].voice.at, told.now)
    following = heard.mark + QUARTER
    return f"to {mark_words(following, told.zone)}", _seconds(following, told.now)


def _seconds(at: datetime, now: datetime) -> float:
    return max((at - now).total_seconds(), 0.0)


def _to_hear(told: Heard) -> list[Row]:
    return [row for row in told.listening.hear if row.voice.at > told.now and row.answered is None]


def _sounding(told: Heard) -> bool:
    """Something sounds just now, as far as one can tell."""
    for row in told.listening.rows:
        ends = row.voice.high + timedelta(seconds=row.voice.lasts_s)
        if row.voice.low <= told.now <= ends:
            return True
    return False


def _first_hear(told: Heard) -> Content:
    coming = _to_hear(told)
    if not coming:
        untold = [row.voice.name for row in told.listening.hear if row.answered is None]
        said = f"to be told: {', '.join(untold)}" if untold else "all told" if told.listening.hear else ""
        return line((said, strong(HERE) if untold else PLAIN))
    first = coming[0]
    left = clock_words(_seconds(first.voice.at, told.now))
    return line(("first to hear ", PLAIN), (first.voice.name, strong(HERE)), (" in ", PLAIN), (left, strong(PLAIN)))


def _first_strike(told: Heard) -> str:
    first = told.listening.first_to_sound
    if first is None or first.voice.at <= told.now or first in _to_hear(told)[:1]:
        return ""
    return f"first to sound {first.voice.name} in {clock_words(_seconds(first.voice.at, told.now))}"


def _mind(told: Heard) -> Content:
    if _sounding(told):
        return line(("touch nothing while it sounds", strong(WARNING)))
    if told.cautions:
        return line(("no hands, no selector while it sounds", WARNING))
    return line(("touch nothing while it sounds", MUTED))


def _beside_small(told: Heard, to: str) -> Lines:
    coming = _to_hear(told)
    hear = _first_hear(told)
    then = [row.voice.name for row in coming[1:]]
    if then:
        hear = line(hear, (f", then {' and '.join(then)}", PLAIN))
    return [line((to, strong(PLAIN))), Content(""), hear, line((_first_strike(told), MUTED)), _mind(told)]


def _beside_wide(told: Heard, to: str, width: int) -> Lines:
    parts = [line((to, strong(PLAIN))), _first_hear(told), line((_first_strike(told), MUTED))]
    first = line(*[item for part in parts if part.cell_length for item in (part, ("     ", PLAIN))])
    rows = told.listening.rows
    here = rows[told.cursor].voice.tag if told.cursor >= 0 else ""
    return [first, *time_line(told.listening, here, told.zone, width)]
