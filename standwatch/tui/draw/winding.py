"""Winding: two large counts, the cautions, and a line a train with a bar to its run-out and the next round across."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Size

from standwatch.model.answers import Moment
from standwatch.model.words import Drive
from standwatch.service.bench.winding import CAUTIONS, EXPLAIN, WIND_RESTART, Key, TrainLine, WindingBoard
from standwatch.tui.draw import words
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.paint import ERROR, HERE, MUTED, PLAIN, WARNING, Lines, Part, fit, line, spread, stack, strong

_TINT = "on $primary 22%"
_BRIEF = {WIND_RESTART: "wind", EXPLAIN: "explain"}
_HOURS_MOST = 999
_LEGEND = "┫ runs out   ┣╌╌┫ the 95 % interval; a spring is known to a day, not to an hour   · nobody here"


@dataclass(frozen=True, slots=True)
class Listed:
    """The board as it is looked at: the cursor's line, the first line shown, what is marked, and the zone."""

    board: WindingBoard
    zone: ZoneInfo
    cursor: int = 0
    first: int = 0
    marked: Collection[Key] = ()


@dataclass(frozen=True, slots=True)
class _Shape:
    """Cells of each column; `because` 0 where there is no room for it. `days` are those that the bars span."""

    value: int
    slot: int
    tag: int
    bar: int
    do: int
    because: int
    days: float


def _shape(board: WindingBoard, width: int) -> _Shape:
    slot = max([4, *(cell_len(each.slot) for each in board.lines)])
    tag = max([3, *(cell_len(each.tag) for each in board.lines)])
    wide = width >= 110
    value, do, because = (12, 13, 21) if wide else (9, 11, 0)
    fixed = 3 + value + 1 + 5 + 1 + slot + 1 + tag + 1 + 6 + 1 + 6 + 1 + 1 + do
    bar = width - fixed - (because + 1 if because else 0)
    if bar < 24 and because:
        bar, because = bar + because + 1, 0
    return _Shape(value, slot, tag, max(bar, 8), do, because, 9.0 if bar >= 36 else 8.0)


def head(board: WindingBoard, now: datetime, zone: ZoneInfo, width: int) -> Content:
    """The top line."""
    local = now.astimezone(zone)
    left = line((" WINDING  ", strong(PLAIN)), (f"{words.day_words(now, zone)} {local:%H:%M:%S}", PLAIN))
    return spread(left, line((f"next round {words.round_words(board.next_round, now, zone)} ", MUTED)), width)


def counts(board: WindingBoard, zone: ZoneInfo, size: Size, *, cautions: bool) -> Content:
    """How many trains run out before the next round, and how long until the first; beside them what to mind."""
    running = board.running_out
    slots = list(dict.fromkeys(each.slot or each.tag for each in running))
    colour = WARNING if running else MUTED
    until = f"before {words.round_words(board.next_round, board.now, zone)}"
    first = _count(str(len(running)), colour, ["TRAINS RUN OUT", until, " ".join(slots)])
    second = _first_count(board, zone, brief=size.width < 110)
    shares = (26, 29) if size.width < 110 else (32, 42)
    rest = size.width - sum(shares) - 2
    told = _cautions(rest) if cautions else []
    rows = []
    for n in range(3):
        third = told[n] if n < len(told) else Content("")
        parts = [_cut(first[n], shares[0] - 1), _cut(second[n], shares[1] - 1), third]
        rows.append(line(*(Content(" ") + part for part in parts)))
    return stack(rows)


def _cut(content: Content, width: int) -> Content:
    return content.truncate(width, ellipsis=True, pad=True)


def _count(figure: str, colour: str, told: Sequence[str]) -> Lines:
    glyphs = small(figure)
    styles = (strong(PLAIN), MUTED, MUTED)
    return [line((glyphs[n], strong(colour)), (f" {told[n] if n < len(told) else ''}", styles[n])) for n in range(3)]


def _first_count(board: WindingBoard, zone: ZoneInfo, *, brief: bool) -> Lines:
    """The time to the first run-out: of a spring in days, since it is known no better."""
    if board.first is None:
        return _count("?", MUTED, ["FIRST RUN-OUT", "no wind told yet", ""])
    first, moment = board.first
    hours = max((moment.at - board.now) / timedelta(hours=1), 0.0)
    days = first.drive is Drive.SPRING or hours > _HOURS_MOST
    figure = f"{hours / 24:.0f}" if days else f"{hours:.0f}"
    who = f"{first.slot or first.tag}, {words.moment_words(moment, board.now, zone, first.drive)}"
    alone = ""
    if moment.at < board.next_round and board.closed(moment.at.astimezone(zone).date()):
        alone = "nobody here then" if brief else f"nobody here until {board.next_round.astimezone(zone):%A}"
    colour = WARNING if first.before_round else PLAIN
    return _count(figure, colour, [f"{'DAYS' if days else 'HOURS'} TO THE FIRST", who, alone])


def _cautions(width: int) -> Lines:
    """What to mind, in three lines; the first whole at any width."""
    text = " ".join(CAUTIONS)
    lines = Content.styled(text, WARNING).wrap(max(width, 10))
    if len(lines) <= 3:
        return lines
    short = ["Weight clear, feet clear", "Turn nothing while it", "strikes. Wear gloves."]
    return [line((part, WARNING)) for part in short]


def rows_shown(board: WindingBoard, height: int) -> int:
    """Trains that fit in a board of `height`: its heads and the next round take a line each, what is below another."""
    room = height - 2
    return max(room if len(board.lines) <= room else room - 1, 1)


def table(listed: Listed, size: Size) -> Content:
    """The heads, a line a train, the next round between them."""
    board = listed.board
    if not board.lines:
        return line((" No train to wind: add a clock on the stand with a.", MUTED))
    shape = _shape(board, size.width)
    room = rows_shown(board, size.height)
    shown = board.lines[listed.first : listed.first + room]
    lines: Lines = [_heads(board, shape, listed.zone, listed.first)]
    for n, each in enumerate(shown, start=listed.first):
        if n == board.above:
            lines.append(_round_line(listed, size.width))
        lines.append(_row(listed, each, shape, chosen=n == listed.cursor))
    if board.above == len(board.lines):
        lines.append(_round_line(listed, size.width))
    below = len(board.lines) - listed.first - room
    if below > 0:
        lines = [*lines[: size.height - 1], line((_below(board, below), MUTED))]
    return stack(lines, size.height)


def legend(size: Size) -> Content:
    """What the bars mean."""
    return line(("  " + fit(_LEGEND, size.width - 2), MUTED))


def _below(board: WindingBoard, below: int) -> str:
    known = [(each, each.runs_out) for each in board.lines[-below:] if isinstance(each.runs_out, Moment)]
    told = f"   ▼ {below} more train{'' if below == 1 else 's'}"
    if not known:
        return told
    last, moment = known[-1]
    days = (moment.at - board.now) / timedelta(days=1)
    return f"{told}, down to {last.slot or last.tag} in about {days:.0f} days"


def _round_line(listed: Listed, width: int) -> Content:
    board, zone = listed.board, listed.zone
    at = board.next_round.astimezone(zone)
    closed = any(board.closed(day) for day in _days(board.now, board.next_round, zone))
    last = "last the closed days" if closed else "last until then"
    if closed and at.weekday() == 0:
        last = "last the weekend"
    said = f"next round {words.day_words(board.next_round, zone)} {at:%H:%M}; below this line they {last}"
    return line((f" ━━ {said} " + "━" * max(width - len(said) - 6, 0), strong(WARNING)))


def _days(start: datetime, end: datetime, zone: ZoneInfo) -> Iterator[datetime]:
    day = start.astimezone(zone)
    while day.date() < end.astimezone(zone).date():
        day += timedelta(days=1)
        yield day.replace(hour=0, minute=0, second=0, microsecond=0)


def _heads(board: WindingBoard, shape: _Shape, zone: ZoneInfo, first: int) -> Content:
    above = f"▲{first}"[:3] if first else ""
    parts: list[Part] = [
        (fit(f"{above:<3}RUNS OUT", 3 + shape.value + 6), MUTED),
        (f" {fit('SLOT', shape.slot)} {fit('TAG', shape.tag)} {fit('TRAIN', 6)} {fit('WOUND', 6)} ", MUTED),
        *_day_names(board, shape, zone),
        (f" {fit('DO', shape.do)}", MUTED),
    ]
    if shape.because:
        parts.append((f" {fit('BECAUSE', shape.because)}", MUTED))
    return line(*parts)


def _day_names(board: WindingBoard, shape: _Shape, zone: ZoneInfo) -> list[Part]:
    """Each day's name from its midnight on; those on which nobody is here in the colour of their dots."""
    letters = 3 if shape.bar / shape.days >= 4 else 2
    cells: list[Part] = [(" ", MUTED)] * shape.bar
    for midnight in _days(board.now, board.now + timedelta(days=shape.days), zone):
        x = _column(board, shape, midnight)
        name = f"{midnight:%a}"[:letters]
        style = WARNING if board.closed(midnight.date()) else MUTED
        if x + len(name) <= shape.bar:
            cells[x : x + len(name)] = [(letter, style) for letter in name]
    return _joined(cells)


def _column(board: WindingBoard, shape: _Shape, at: datetime) -> int:
    return math.floor((at - board.now) / timedelta(days=shape.days) * shape.bar)


def _row(listed: Listed, each: TrainLine, shape: _Shape, *, chosen: bool) -> Content:
    board, zone = listed.board, listed.zone
    value, doubt, style = _runs_out(board, each, zone, brief=shape.value < 12)
    wound = "" if each.wound_at is None else words.near_words(each.wound_at, board.now, zone)
    marked = each.key in listed.marked
    do = _BRIEF.get(each.do, each.do) if shape.do < 13 else each.do
    parts: list[Part] = [
        ("›" if chosen else " ", strong(HERE)),
        ("●" if marked else " ", strong(HERE)),
        (f" {fit(value, shape.value)} ", style),
        (fit(doubt, 5), MUTED),
        (f" {fit(each.slot, shape.slot)} {fit(each.tag, shape.tag)}", strong(PLAIN) if each.before_round else PLAIN),
        (f" {fit(each.name, 6)}", PLAIN),
        (f" {fit(wound, 6)} ", MUTED),
        *_bar(board, each, shape, zone),
        (f" {fit(do, shape.do)}", strong(WARNING if each.do.startswith("let") else PLAIN)),
    ]
    if shape.because:
        parts.append((f" {fit(each.because, shape.because)}", MUTED))
    row = line(*parts)
    return row.stylize_before(_TINT) if chosen else row


def _runs_out(board: WindingBoard, each: TrainLine, zone: ZoneInfo, *, brief: bool) -> tuple[str, str, str]:
    """When it runs out, with its doubt, or that it hangs; and the style."""
    if each.hung_since is not None:
        found = words.near_words(each.hung_since, board.now, zone)
        return ("ran out" if each.ran_out else "stopped"), found.partition(" ")[0], strong(ERROR)
    if not isinstance(each.runs_out, Moment):
        return "?", "", MUTED
    told = words.moment_words(each.runs_out, board.now, zone, each.drive)
    value, _, doubt = told.rpartition(" ±")
    if cell_len(doubt) > 4:
        doubt = f"{(each.runs_out.high - each.runs_out.low) / timedelta(days=60):.0f}mo"
    if each.runs_out.at <= board.now:
        value = "due"
    if brief and cell_len(value) > 9:
        value = words.near_words(each.runs_out.at, board.now, zone)
    return value, f"±{doubt}", strong(WARNING) if each.before_round else PLAIN


def _bar(board: WindingBoard, each: TrainLine, shape: _Shape, zone: ZoneInfo) -> list[Part]:
    """The time it runs, then the interval in which it ends; the next round upright; dots where nobody sees it hang."""
    style = WARNING if each.before_round else MUTED
    cells: list[Part] = [(" ", PLAIN)] * shape.bar
    end = 0
    if isinstance(each.runs_out, Moment) and each.hung_since is None:
        low, high = (max(_column(board, shape, at), 0) for at in (each.runs_out.low, each.runs_out.high))
        at = max(_column(board, shape, each.runs_out.at), 0)
        spread_out = high - low >= 2
        end = (high if spread_out else at) + 1
        for x in range(min(end, shape.bar)):
            dashed = spread_out and x > low
            cells[x] = ("╌" if dashed else "━", style)
        for x, mark in [(low, "┣"), (high, "┫")] if spread_out else [(at, "┫")]:
            if x < shape.bar:
                cells[x] = (mark, strong(WARNING) if each.before_round else PLAIN)
        if end > shape.bar:
            cells[-1] = ("→", style)
    _dots(board, shape, zone, cells, end)
    upright = _column(board, shape, board.next_round)
    if upright < shape.bar:
        under = cells[upright][0]
        joint = {"━": "╂", "╌": "┼"}.get(under, under if under in "┣┫→" else "│")
        cells[upright] = (joint, WARNING if joint not in "┣┫→" else cells[upright][1])
    return _joined(cells)


def _dots(board: WindingBoard, shape: _Shape, zone: ZoneInfo, cells: list[Part], end: int) -> None:
    """A dot for each cell of a closed day, before the next round, in which the train hangs."""
    for x in range(end, min(_column(board, shape, board.next_round), shape.bar)):
        middle = board.now + timedelta(days=shape.days) * ((x + 0.5) / shape.bar)
        if board.closed(middle.astimezone(zone).date()):
            cells[x] = ("·", MUTED)


def _joined(cells: Sequence[Part]) -> list[Part]:
    parts: list[Part] = []
    for char, style in cells:
        if parts and parts[-1][1] == style:
            parts[-1] = (parts[-1][0] + char, style)
        else:
            parts.append((char, style))
    return parts
