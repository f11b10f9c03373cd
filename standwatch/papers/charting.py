"""A chart as lines and dots: values over days, its band, what was done as numbered marks, limits as broken lines.

Everything is told apart by form and words, nothing by colour: readings are dots, readings that the others contradict
crosses, the estimate a line, its 95 % band two faint dotted lines, work a dashed upright with a number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from standwatch.papers.blocks import Chart, Step
from standwatch.papers.pen import Pen
from standwatch.papers.pieces import Piece, in_rows, text_piece
from standwatch.papers.scales import Tick, day_ticks, gathered, value_ticks

_TITLE, _FIGURE, _LIST = 9.5, 7.0, 7.5
_LEFT, _RIGHT, _BELOW, _ABOVE = 15.0, 2.0, 5.0, 4.5
_HOUR = timedelta(hours=1)
_IN_TWO, _BETWEEN = 16, 5.0
"""So many marks are listed in two columns, more in three; mm between them."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where the chart's values and times lie on the page, mm."""

    left: float
    top: float
    width: float
    height: float
    first: datetime
    last: datetime
    ticks: tuple[Tick, ...]
    """Of the values, the lowest and the highest at the frame's foot and top."""

    @property
    def low(self) -> float:
        return self.ticks[0].value

    @property
    def high(self) -> float:
        return self.ticks[-1].value

    def x(self, at: datetime) -> float:
        return self.left + self.width * ((at - self.first) / (self.last - self.first))

    def y(self, value: float) -> float:
        return self.top + self.height * (1 - (value - self.low) / (self.high - self.low))

    def within(self, value: float) -> float:
        return min(max(value, self.low), self.high)


def when(at: datetime, zone: str) -> str:
    """A time on a paper, without its year: "Fri 6 Nov 08:05"."""
    there = at.astimezone(ZoneInfo(zone))
    return f"{there:%a} {there.day} {there:%b %H:%M}"


def numbered_marks(chart: Chart, zone: str) -> list[str]:
    """The list under a chart: "1  Fri 20 Nov 08:05  wound"."""
    return [f"{number}  {when(mark.at, zone)}  {mark.words}" for number, mark in enumerate(chart.marks, 1)]


def title_words(chart: Chart) -> str:
    """The title with unit and sides: "Error (s, + fast, − slow)"."""
    return f"{chart.title} ({chart.unit}, + {chart.above}, − {chart.below})"


def key_words(chart: Chart) -> str:
    """What the signs of a chart mean, only those that are in it."""
    told = []
    if chart.dots:
        bars = any(dot.low is not None for dot in chart.dots)
        told.append("dots: as read" if chart.line else "dots: estimates, bars: 95 %" if bars else "dots: as read")
    if any(not dot.sound for dot in chart.dots):
        told.append("crosses: readings that the others contradict")
    if chart.line:
        told.append("line: estimate, dotted: its 95 % interval")
    told += [f"broken lines: {words}" for _, words in chart.limits if words]
    if chart.marks:
        told.append("numbers: what was done, below")
    return "; ".join(told).capitalize() + "." if told else ""


def chart_pieces(pen: Pen, chart: Chart, zone: str) -> list[Piece]:
    """Title and drawing in one piece, and held by it the caption and the list of marks."""
    if not chart.dots and not chart.line:
        return []
    title = text_piece(pen, title_words(chart), pen.room, _TITLE, bold=True)
    above = title.height + 0.5

    def draw(pen: Pen, x: float, y: float) -> None:
        title.draw(pen, x, y)
        _drawn(pen, chart, zone, _frame(pen, chart, x, y + above))

    marks = numbered_marks(chart, zone)
    told = " ".join(text for text in (key_words(chart), chart.caption) if text)
    caption = text_piece(pen, told, pen.room, _LIST)
    pieces = [Piece(above + _height(pen, chart), draw, glued=True), caption]
    columns = 2 if len(marks) <= _IN_TWO else 3
    width = (pen.room - _BETWEEN * (columns - 1)) / columns
    offsets = [column * (width + _BETWEEN) for column in range(columns)]
    rows = -(-len(marks) // columns)
    for row in range(rows):
        pieces += in_rows([text_piece(pen, text, width, _LIST) for text in marks[row::rows]], columns, offsets)
    return [*(replace(piece, glued=True) for piece in pieces[:-1]), pieces[-1]]


def _height(pen: Pen, chart: Chart) -> float:
    """Its height in mm: where letters must be set smaller, a chart gives way first."""
    return chart.height_mm * pen.scale**2


def _frame(pen: Pen, chart: Chart, x: float, y: float) -> _Frame:
    times = [dot.at for dot in chart.dots] + [at.at for at in chart.line] + [mark.at for mark in chart.marks]
    first, last = min(times), max(times)
    around = max((last - first) * 0.02, _HOUR)
    low, high = _reach(chart)
    return _Frame(
        left=x + _LEFT,
        top=y + _ABOVE,
        width=pen.room - _LEFT - _RIGHT,
        height=_height(pen, chart) - _ABOVE - _BELOW,
        first=first - around,
        last=last + around,
        ticks=tuple(value_ticks(low, high, chart.unit)),
    )


def _reach(chart: Chart) -> tuple[float, float]:
    """The values' reach; of doubts and what is contradicted a fifth of it further: hours would flatten the rest."""
    values = [dot.value for dot in chart.dots if dot.sound] + [at.value for at in chart.line] + [0.0]
    values += [value for value, _ in chart.limits]
    low, high = min(values), max(values)
    reach = max(high - low, 1.0)
    ends = [end for at in chart.line for end in (at.low, at.high)] + [dot.value for dot in chart.dots]
    ends += [end for dot in chart.dots for end in (dot.low, dot.high) if end is not None]
    return max(min([low, *ends]), low - reach / 5), min(max([high, *ends]), high + reach / 5)


def _drawn(pen: Pen, chart: Chart, zone: str, frame: _Frame) -> None:
    _grid(pen, chart, zone, frame)
    _marks(pen, chart, frame)
    for stretch in _stretches(chart.line):
        _stretch(pen, stretch, frame)
    for dot in chart.dots:
        x, y = frame.x(dot.at), frame.y(frame.within(dot.value))
        if dot.low is not None and dot.high is not None:
            low, high = frame.within(dot.low), frame.within(dot.high)
            pen.rule((x, frame.y(low)), (x, frame.y(high)), weight=0.25)
            for end in (low, high):
                pen.rule((x - 0.6, frame.y(end)), (x + 0.6, frame.y(end)), weight=0.25)
        if dot.sound:
            pen.dot(x, y, 0.6)
        else:
            pen.cross(x, y, 0.9)


def _grid(pen: Pen, chart: Chart, zone: str, frame: _Frame) -> None:
    half = pen.line_height(_FIGURE) / 2
    right, foot = frame.left + frame.width, frame.top + frame.height
    for tick in frame.ticks:
        y = frame.y(tick.value)
        nought = tick.value == 0
        pen.rule((frame.left, y), (right, y), weight=0.2 if nought else 0.1, grey=0 if nought else 200)
        pen.write(frame.left - _LEFT, y - half, tick.words, _FIGURE, width=_LEFT - 1.2, align="R")
    most = max(2, int(frame.width / (pen.width_of("30 Nov", _FIGURE) + 4.0)))
    for at, words in day_ticks(frame.first, frame.last, zone, most):
        x = frame.x(at)
        pen.rule((x, foot), (x, foot + 1.0), weight=0.15)
        width = pen.width_of(words, _FIGURE)
        start = min(max(x - width / 2, frame.left), right - width)
        pen.write(start, foot + 1.2, words, _FIGURE)
    pen.box(frame.left, frame.top, frame.width, frame.height, weight=0.15, grey=90)
    for value, _ in chart.limits:
        y = frame.y(value)
        pen.rule((frame.left, y), (right, y), weight=0.25, dash=(2.0, 1.2))


def _marks(pen: Pen, chart: Chart, frame: _Frame) -> None:
    places = [frame.x(mark.at) for mark in chart.marks]
    for x in dict.fromkeys(round(place, 2) for place in places):
        pen.rule((x, frame.top), (x, frame.top + frame.height), weight=0.12, grey=110, dash=(0.8, 1.0))
    free = frame.left
    top = frame.top - pen.line_height(_FIGURE)
    for group in gathered(places, 6.0):
        first, last = group[0] + 1, group[-1] + 1
        words = str(first) if first == last else f"{first}–{last}"
        width = pen.width_of(words, _FIGURE)
        start = max(places[group[0]] - width / 2, free)
        start = min(start, frame.left + frame.width - width)
        pen.write(start, top, words, _FIGURE)
        free = start + width + 1.0


def _stretches(line: Sequence[Step]) -> list[list[Step]]:
    stretches: list[list[Step]] = []
    for step in line:
        if step.starts or not stretches:
            stretches.append([])
        stretches[-1].append(step)
    return stretches


def _stretch(pen: Pen, stretch: Sequence[Step], frame: _Frame) -> None:
    def bounded(value: float) -> float:
        return frame.y(frame.within(value))

    xs = [frame.x(step.at) for step in stretch]
    pen.path([*zip(xs, [bounded(step.value) for step in stretch], strict=True)], weight=0.3)
    for values in ([step.low for step in stretch], [step.high for step in stretch]):
        pen.path([*zip(xs, map(bounded, values), strict=True)], weight=0.15, grey=60, dash=(0.3, 0.7))
