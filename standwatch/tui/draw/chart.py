"""A chart in a terminal: plotext draws bare dots, frame and words are ours. Pure and slow enough for a worker."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.text import Text
from textual.content import Content

from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, Lines, line, strong

Point = tuple[float, float]
_STEPS_60 = (0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600)


@dataclass(frozen=True, slots=True)
class Chart:
    """What is drawn, in the data's own units: x in days, y as `y_words` says.

    `traces` are unbroken runs of a line, `readings` single points, `works` uprights with their word, `edges` the two
    sides of a forecast, `levels` y values that get a line of their own (a limit), `x_words` (x, word) below.
    """

    x_low: float
    x_high: float
    traces: tuple[tuple[Point, ...], ...]
    readings: tuple[Point, ...]
    works: tuple[tuple[float, str], ...]
    edges: tuple[tuple[Point, ...], ...]
    levels: tuple[tuple[float, str], ...]
    x_words: tuple[tuple[float, str], ...]
    now: float | None
    y_words: Callable[[float], str]
    sixties: bool


Grid = list[list[tuple[str, str]]]


def draw(chart: Chart, width: int, height: int) -> Lines:
    """`chart` in `height` lines of `width`: words of works above, days below, units at the left."""
    traces, readings, edges = (_finite(part) for part in (chart.traces, (chart.readings,), chart.edges))
    values = [y for run in (*traces, *readings, *edges) for _, y in run]
    rows = height - 2
    if not values or rows < 3 or width < 16:
        return [Content(" ")] * (height // 2) + [line(("no reading to draw yet", MUTED))]
    low, high = _range(values)
    ticks = _ticks(low, high, rows, sixties=chart.sixties)
    labels = [(value, chart.y_words(value)) for value in ticks or (low, high)] + [
        (value, word) for value, word in chart.levels if low <= value <= high
    ]
    margin = max(cell_len(word) for _, word in labels) + 1
    across = width - margin
    frame = _Frame(chart.x_low, chart.x_high, low, high, across, rows)
    grid: Grid = [[(" ", PLAIN)] * across for _ in range(rows)]
    names: dict[int, str] = {}
    for value, word in labels:
        row = frame.row(value)
        names[row] = word
        for x in range(across):
            grid[row][x] = ("┈", MUTED)
    above = _uprights(chart, frame, grid)
    for runs, style in ((traces, PLAIN), (edges, HERE)):
        _overlay(grid, _dots(runs, frame), style)
    for at, error in (point for run in readings for point in run):
        if frame.x_low <= at <= frame.x_high:
            grid[frame.row(error)][frame.column(at)] = ("●", strong(PLAIN))
    told = [line((" " * margin + above, MUTED))]
    told += [line((names.get(n, "").rjust(margin - 1) + " ", MUTED), *_joined(cells)) for n, cells in enumerate(grid)]
    marks = [*chart.x_words, *([] if chart.now is None else [(chart.now, "now")])]
    told.append(line((" " * margin + _placed(marks, frame, centred=True), MUTED)))
    return told


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where a point of the data falls among the cells."""

    x_low: float
    x_high: float
    y_low: float
    y_high: float
    across: int
    rows: int

    def column(self, x: float) -> int:
        part = (x - self.x_low) / (self.x_high - self.x_low)
        return min(max(round(part * (self.across - 1)), 0), self.across - 1)

    def row(self, y: float) -> int:
        part = (self.y_high - y) / (self.y_high - self.y_low)
        return min(max(round(part * (self.rows - 1)), 0), self.rows - 1)


def _finite(runs: Iterable[Sequence[Point]]) -> list[list[Point]]:
    """The one place where what is not finite is left out: plotext raises on it."""
    kept = [[(x, y) for x, y in run if math.isfinite(x) and math.isfinite(y)] for run in runs]
    return [run for run in kept if run]


def _range(values: Sequence[float]) -> tuple[float, float]:
    """The span drawn: the values' own, with a little room on each side."""
    low, high = min(values), max(values)
    room = max((high - low) * 0.06, 0.5 if high == low else 0.0)
    return low - room, high + room


def _ticks(low: float, high: float, rows: int, *, sixties: bool) -> list[float]:
    """Round values inside the span, one every three rows at most, two at least."""
    most = max(rows // 3, 2)
    span = high - low
    power = 10 ** math.floor(math.log10(span)) / 10
    steps = _STEPS_60 if sixties else tuple(power * ten * m for ten in (1, 10) for m in (1, 2, 5))
    for step in steps:
        first, last = math.ceil(low / step), math.floor(high / step)
        if last - first + 1 <= most:
            break
    else:
        step, first, last = steps[-1], math.ceil(low / steps[-1]), math.floor(high / steps[-1])
    return [n * step for n in range(first, last + 1)]


def _uprights(chart: Chart, frame: _Frame, grid: Grid) -> str:
    """Work as dotted uprights, now as a whole one; the line of words above them."""
    inside = [(x, word) for x, word in chart.works if frame.x_low <= x <= frame.x_high]
    for x, _ in inside:
        for row in grid:
            row[frame.column(x)] = ("┊", MUTED)
    if chart.now is not None:
        for row in grid:
            row[frame.column(chart.now)] = ("│", MUTED)
    return _placed(inside, frame, centred=False)


def _placed(words: Sequence[tuple[float, str]], frame: _Frame, *, centred: bool) -> str:
    """Words at their columns on one line; one that would touch another is left out, later ones first to stay."""
    cells = [" "] * frame.across
    for x, word in reversed(words):
        size = cell_len(word)
        start = frame.column(x) - size // 2
        start = min(max(start, 0), frame.across - size)
        around = cells[max(start - 1, 0) : start + size + 1]
        if start < 0 or any(cell != " " for cell in around):
            continue
        cells[start : start + size] = list(word)
    return "".join(cells) if centred else "".join(cells).rstrip()


def _dots(runs: Sequence[Sequence[Point]], frame: _Frame) -> list[str]:
    """plotext's dots for unbroken runs, thinned to two points a column."""
    import plotext._figure as plotext_figure  # noqa: PLC0415  # 70 ms that the first paint can do without

    figure = plotext_figure._figure_class()  # noqa: SLF001  # a private figure: the public one is global state
    figure._limit_size(False, False)  # noqa: SLF001  # else it is cut to the size of the terminal it guesses
    figure.plot_size(frame.across, frame.rows)
    figure.frame(False)
    figure.xfrequency(0)
    figure.yfrequency(0)
    figure.xlim(frame.x_low, frame.x_high)
    figure.ylim(frame.y_low, frame.y_high)
    for run in runs:
        thinned = _thin(run, 2 * frame.across)
        figure.plot([x for x, _ in thinned], [y for _, y in thinned], marker="braille")
    return [Text.from_ansi(row).plain for row in figure.build().splitlines()]


def _thin(run: Sequence[Point], most: int) -> Sequence[Point]:
    every = max(1, math.ceil(len(run) / most))
    return run if every == 1 else [*run[:-1:every], run[-1]]


def _overlay(grid: Grid, dots: Sequence[str], style: str) -> None:
    for row, told in zip(grid, dots, strict=False):
        for n, char in enumerate(told[: len(row)]):
            if char not in {" ", "⠀"}:
                row[n] = (char, style)


def _joined(cells: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Neighbouring cells of one style as one part."""
    parts: list[tuple[str, str]] = []
    for char, style in cells:
        if parts and parts[-1][1] == style:
            parts[-1] = (parts[-1][0] + char, style)
        else:
            parts.append((char, style))
    return parts
