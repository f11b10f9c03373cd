"""A sheet as plain text, 80 columns: every word and number of the PDF, charts as tables of what they show."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from zoneinfo import ZoneInfo

from standwatch.model.text import columns, parted
from standwatch.model.units import signed
from standwatch.papers.blocks import (
    Blanks,
    Block,
    Caution,
    Chart,
    Dot,
    Heading,
    PageBreak,
    Pairs,
    Sheet,
    Step,
    Table,
    TagMark,
    Ticks,
    Words,
)
from standwatch.papers.charting import numbered_marks, title_words
from standwatch.papers.missing import inert

WIDTH = 80


def text_of(sheet: Sheet) -> str:
    """The sheet as text; user text is inert in it, and whole. Ends with a line feed."""
    lines = [*wrapped(f"{sheet.tag}  {sheet.title}".strip(), WIDTH), "=" * WIDTH]
    for block in sheet.blocks:
        made = _lines_of(block, sheet.zone)
        if made:
            lines += ["", *made]
    if sheet.foot:
        lines += ["", "-" * WIDTH, *wrapped(sheet.foot, WIDTH)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def wrapped(text: str, width: int) -> list[str]:
    """`text`, inert, in lines of `width` columns at most."""
    return parted(inert(text, lines=True), lambda line: columns(line) <= width)


def _lines_of(block: Block, zone: str) -> list[str]:
    match block:
        case Heading(text):
            return _ruled(text)
        case Words(text):
            return wrapped(text, WIDTH)
        case Pairs(pairs):
            return _pairs(pairs)
        case Table():
            return _table(block)
        case Ticks(items):
            return [line for item in items for line in _hung("[ ] ", item)]
        case Blanks(labels):
            return [line for label in labels for line in _blank(label)]
        case Caution(items, title):
            body = [line for item in items for line in _hung("! ", item)]
            return [f"!! {line}" for line in wrapped(title.upper(), WIDTH - 3)] + body
        case TagMark(tag, lines):
            return [*wrapped(tag, WIDTH), *(part for line in lines for part in wrapped(line, WIDTH))]
        case PageBreak():
            return ["- " * (WIDTH // 2)]
        case Chart():
            return _chart(block, zone)


def _ruled(text: str) -> list[str]:
    lines = wrapped(text, WIDTH)
    return [*lines, "-" * max(columns(line) for line in lines)]


def _hung(lead: str, text: str, width: int = WIDTH) -> list[str]:
    first, *rest = wrapped(text, width - len(lead))
    return [lead + first, *(" " * len(lead) + line for line in rest)]


def _blank(label: str) -> list[str]:
    *above, last = wrapped(label, WIDTH - 20)
    return [*above, f"{last} {'_' * (WIDTH - columns(last) - 1)}"]


def _padded(text: str, width: int, *, right: bool = False) -> str:
    space = " " * (width - columns(text))
    return space + text if right else text + space


def _pairs(pairs: Sequence[tuple[str, str]]) -> list[str]:
    aside = min(max(columns(inert(label)) for label, _ in pairs) + 2, 30) if pairs else 0
    return _beside(pairs, (aside - 2, WIDTH - aside), frozenset())


def _beside(
    rows: Iterable[Sequence[str]], widths: Sequence[int], right: frozenset[int], joint: str = "  "
) -> list[str]:
    """Rows of cells, each wrapped in its width, `joint` between them."""
    lines = []
    for row in rows:
        cells = [wrapped(text, width) for text, width in zip(row, widths, strict=True)]
        for number in range(max(len(cell) for cell in cells)):
            parts = [
                _padded(cell[number] if number < len(cell) else "", width, right=column in right)
                for column, (cell, width) in enumerate(zip(cells, widths, strict=True))
            ]
            lines.append(joint.join(parts).rstrip())
    return lines


def _table(block: Table) -> list[str]:
    rows = [block.head, *block.rows]
    cells = [[inert(row[column]) for row in rows] for column in range(len(block.head))]
    wanted = [max(columns(text) for text in column) for column in cells]
    words = [max(columns(word) for text in column for word in text.split(" ")) for column in cells]
    joints = len(cells) - 1
    joint = "  " if sum(words) <= WIDTH - 2 * joints else " "  # a word parted is worse than a narrow joint
    widths = _shared(wanted, words, WIDTH - len(joint) * joints)
    return [
        *_beside([block.head], widths, block.right, joint),
        *_beside([["-" * width for width in widths]], widths, frozenset(), joint),
        *_beside(block.rows, widths, block.right, joint),
    ]


def _shared(wanted: Sequence[int], words: Sequence[int], free: int) -> list[int]:
    """`free` columns shared out: to each its longest word where all have room, then first to those that lack least."""
    widths = list(words) if sum(words) <= free else [min(4, width) for width in wanted]
    left, open_ = free - sum(widths), sorted(range(len(wanted)), key=lambda column: wanted[column] - widths[column])
    while open_:
        column = open_.pop(0)
        more = min(wanted[column] - widths[column], max(0, left // (len(open_) + 1)))
        widths[column], left = widths[column] + more, left - more
    return widths


def _chart(chart: Chart, zone: str) -> list[str]:
    """One row a day: what was read last and the estimate nearest to it with its 95 % interval, else the day's last."""
    place = ZoneInfo(zone)
    dots: dict[date, Dot] = {dot.at.astimezone(place).date(): dot for dot in chart.dots}
    line: dict[date, Step] = {step.at.astimezone(place).date(): step for step in chart.line}
    days = sorted(dots.keys() | line.keys())
    if not days:
        return []
    told: list[tuple[str, ...]] = []
    for day in days:
        cells = [f"{day:%a} {day.day} {day:%b}"]
        if chart.dots:
            cells.append(_dot(dots.get(day)))
        if chart.line:
            read = dots.get(day)
            cells.append(_step(line.get(day) if read is None else _nearest(chart.line, read)))
        told.append(tuple(cells))
    head = (
        "day",
        *(["read" if chart.line else "value"] if chart.dots else []),
        *(["estimate (95 %)"] if chart.line else []),
    )
    lines = [*wrapped(title_words(chart), WIDTH), *_table(Table(head, tuple(told)))]
    if len(chart.dots) > len(dots):
        lines += wrapped("Of a day with several, the last.", WIDTH)
    lines += [line for _, words in chart.limits if words for line in wrapped(f"Broken line: {words}.", WIDTH)]
    lines += wrapped(chart.caption, WIDTH) if chart.caption else []
    return lines + [line for mark in numbered_marks(chart, zone) for line in _hung("", mark)]


def _nearest(line: Sequence[Step], dot: Dot) -> Step:
    """What was estimated when it was read: of two alike, the one before its work."""
    return min(line, key=lambda step: abs(step.at - dot.at))


def _value(value: float) -> str:
    return signed(value, 1)


def _dot(dot: Dot | None) -> str:
    if dot is None:
        return ""
    told = _value(dot.value)
    if dot.low is not None and dot.high is not None:
        told += f" ({_value(dot.low)} to {_value(dot.high)})"
    return told if dot.sound else f"{told}, the others contradict it"


def _step(step: Step | None) -> str:
    return "" if step is None else f"{_value(step.value)} ({_value(step.low)} to {_value(step.high)})"
