"""The voices of one quarter on a line of time."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from textual.content import Content

from standwatch.service.hearing.quarter import Listening
from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, Lines, line, sized, strong

_MINUTE = timedelta(minutes=1)
_HALF = timedelta(seconds=30)


def time_line(heard: Listening, here: str, zone: ZoneInfo, width: int) -> Lines:
    """Every voice where its own error makes it sound, `here` by its tag; half-minutes as ticks, minutes named.

    Three lines of names over the rule; those not to be heard are muted.
    """
    rows = heard.rows
    if not rows:
        return []
    marks = [heard.mark, *(row.voice.at for row in rows)]
    start, end = min(marks) - _HALF, max(marks) + _HALF
    scale = (width - 1) / ((end - start) / timedelta(seconds=1))

    def column(at: datetime) -> int:
        return round((at - start).total_seconds() * scale)

    layers: list[list[tuple[int, str, str]]] = [[], [], []]
    names = {row.voice.tag for row in heard.hear}
    for row in rows:
        style = MUTED if row.voice.tag not in names else HERE if row.voice.tag == here else PLAIN
        at = min(max(column(row.voice.at) - len(row.voice.name) // 2, 0), width - len(row.voice.name))
        _place(layers, at, row.voice.name, strong(style) if style != MUTED else style)
    return [*(_spots(layer, width) for layer in reversed(layers)), _ruler(heard, zone, column, (start, end), width)]


def _place(layers: list[list[tuple[int, str, str]]], at: int, name: str, style: str) -> None:
    """Into the lowest line where it touches no other; where none has room it is not drawn."""
    for layer in layers:
        if all(at >= other + len(text) + 1 or at + len(name) + 1 <= other for other, text, _ in layer):
            layer.append((at, name, style))
            return


def _spots(spots: list[tuple[int, str, str]], width: int) -> Content:
    """Texts at their columns."""
    parts: list[tuple[str, str]] = []
    x = 0
    for at, text, style in sorted(spots):
        parts += [(" " * (at - x), PLAIN), (text, style)]
        x = at + len(text)
    return sized(line(*parts), width)


def _ruler(
    heard: Listening, zone: ZoneInfo, column: Callable[[datetime], int], span: tuple[datetime, datetime], width: int
) -> Content:
    start, end = span
    cells = ["─"] * width
    for tick in _steps(heard.mark, start, end, _HALF):
        cells[min(max(column(tick), 0), width - 1)] = "┴"
    named = heard.short if heard.hour else f"{heard.mark.astimezone(zone):%H:%M}"
    taken = [(column(heard.mark) + 1, named, strong(PLAIN))]
    for minute in _steps(heard.mark, start, end, _MINUTE):
        text, at = f"{minute.astimezone(zone):%H:%M}", column(minute) + 1
        if at + len(text) <= width and all(at > o + len(t) or at + len(text) < o for o, t, _ in taken):
            taken.append((at, text, MUTED))
    parts: list[tuple[str, str]] = []
    x = 0
    for at, text, style in sorted(taken):
        parts += [("".join(cells[x:at]), MUTED), (text, style)]
        x = at + len(text)
    return sized(line(*parts, ("".join(cells[x:]), MUTED)), width)


def _steps(mark: datetime, start: datetime, end: datetime, step: timedelta) -> list[datetime]:
    """Every `step` from `start` to `end`, counted from `mark`."""
    first = mark - ((mark - start) // step) * step
    return [first + n * step for n in range((end - first) // step + 1)]
