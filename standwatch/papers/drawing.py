"""Each block as pieces: how headings, words, pairs, tables, boxes to tick, rules to write on, cautions, tags look."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import groupby
from types import MappingProxyType

import segno

from standwatch.papers.blocks import (
    Blanks,
    Block,
    Caution,
    Chart,
    Heading,
    PageBreak,
    Pairs,
    Sheet,
    Table,
    TagMark,
    Ticks,
    Weight,
    Words,
)
from standwatch.papers.charting import chart_pieces
from standwatch.papers.pen import Pen
from standwatch.papers.pieces import MOST_LINES, Piece, begun, in_rows, side_by_side, text_piece

BODY, SMALL, LABEL, HEADING, LARGE, TAG = 9.5, 7.5, 8.0, 11.5, 17.0, 34.0
_WEIGHTS: MappingProxyType[Weight, tuple[float, bool]] = MappingProxyType(
    {"small": (SMALL, False), "plain": (BODY, False), "strong": (BODY, True), "large": (LARGE, True)}
)
_GUTTER = 5.0
"""mm between columns."""
_CELL = 1.6
"""mm left free at each side of a table's cell."""


def pieces_of(pen: Pen, sheet: Sheet) -> list[Piece]:
    """All of a sheet's blocks as pieces, the room between them included."""
    pieces: list[Piece] = []
    breaks = False
    for cut, run in groupby(sheet.blocks, key=lambda block: isinstance(block, TagMark) and block.cut):
        blocks = [*run]
        if cut:
            pieces += begun(_labels(pen, blocks), 3.0, breaks=breaks)
            breaks = False
            continue
        for block in blocks:
            if isinstance(block, PageBreak):
                breaks = True
            elif made := _block_pieces(pen, block, sheet.zone):
                pieces += begun(made, _GAPS.get(type(block), 2.2), breaks=breaks)
                breaks = False
    return pieces


_GAPS: MappingProxyType[type, float] = MappingProxyType({Heading: 4.2, Caution: 3.0, Chart: 3.0, TagMark: 3.0})


def _block_pieces(pen: Pen, block: Block, zone: str) -> list[Piece]:
    match block:
        case Heading(text):
            return _heading(pen, text)
        case Words(text, weight):
            return _words(pen, text, weight)
        case Pairs():
            return _pairs(pen, block)
        case Table():
            return _table(pen, block)
        case Ticks(items, columns):
            return _columns(pen, items, columns, _tick)
        case Blanks(labels, columns):
            return _columns(pen, labels, columns, _blank)
        case Caution():
            return _caution(pen, block)
        case TagMark():
            return [_tag(pen, block, pen.room)]
        case Chart():
            return chart_pieces(pen, block, zone)
        case _:
            return []


def _heading(pen: Pen, text: str) -> list[Piece]:
    words = text_piece(pen, text, pen.room, HEADING, bold=True)

    def draw(pen: Pen, x: float, y: float) -> None:
        words.draw(pen, x, y)
        pen.rule((x, y + words.height + 0.4), (x + pen.room, y + words.height + 0.4), weight=0.3)

    return [Piece(words.height + 0.8, draw, glued=True)]


def _words(pen: Pen, text: str, weight: Weight) -> list[Piece]:
    size, bold = _WEIGHTS[weight]
    made = [
        text_piece(pen, line, pen.room, size, bold=bold) if line else Piece(pen.line_height(size) / 2, _nothing)
        for line in pen.lines(text, pen.room, size, bold=bold)
    ]
    whole = len(made) <= MOST_LINES
    return [*(replace(piece, glued=whole) for piece in made[:-1]), replace(made[-1], glued=bold)]


def _nothing(_pen: Pen, _x: float, _y: float) -> None:
    """Room left free."""


def _column_offsets(pen: Pen, columns: int) -> tuple[float, list[float]]:
    width = (pen.room - (columns - 1) * _GUTTER) / columns
    return width, [column * (width + _GUTTER) for column in range(columns)]


def _columns(pen: Pen, items: Sequence[str], columns: int, of: Callable[[Pen, str, float], Piece]) -> list[Piece]:
    width, offsets = _column_offsets(pen, columns)
    return in_rows([of(pen, item, width) for item in items], columns, offsets)


def _pairs(pen: Pen, block: Pairs) -> list[Piece]:
    width, offsets = _column_offsets(pen, block.columns)
    widest = max((pen.width_of(pen.letters.printable(label), LABEL) for label, _ in block.pairs), default=0.0)
    aside = min(widest + 3.0, width * 0.42)
    lower = (pen.line_height(BODY) - pen.line_height(LABEL)) * 0.7

    def cell(label: str, value: str) -> Piece:
        name = text_piece(pen, label, aside - 2.0, LABEL)
        told = text_piece(pen, value, width - aside, BODY)

        def draw(pen: Pen, x: float, y: float) -> None:
            name.draw(pen, x, y + lower)
            told.draw(pen, x + aside, y)

        return Piece(max(name.height + lower, told.height) + 0.5, draw)

    return in_rows([cell(*pair) for pair in block.pairs], block.columns, offsets)


def _table(pen: Pen, block: Table) -> list[Piece]:
    shares = block.widths or (1.0,) * len(block.head)
    widths = [pen.room * share / sum(shares) for share in shares]
    offsets = [sum(widths[:column]) for column in range(len(widths))]

    def row(cells: Sequence[str], size: float, *, bold: bool, under: float, grey: int, least: float = 0.0) -> Piece:
        aligns = ["R" if column in block.right else "L" for column in range(len(widths))]
        made = [
            text_piece(pen, text, width - 2 * _CELL, size, bold=bold, align=align)
            for text, width, align in zip(cells, widths, aligns, strict=True)
        ]
        whole = side_by_side(made, [offset + _CELL for offset in offsets])
        height = max(whole.height + 1.4, least * pen.scale)

        def draw(pen: Pen, x: float, y: float) -> None:
            whole.draw(pen, x, y + 0.7)
            pen.rule((x, y + height), (x + pen.room, y + height), weight=under, grey=grey)
            for offset in offsets[1:] if block.ruled else []:
                pen.rule((x + offset, y), (x + offset, y + height), weight=0.12, grey=grey)

        return Piece(height, draw)

    head = row(block.head, LABEL, bold=True, under=0.3, grey=0)
    rows = [
        replace(
            row(cells, BODY - 0.5, bold=number in block.strong, under=0.12, grey=150, least=block.least_mm), head=head
        )
        for number, cells in enumerate(block.rows)
    ]
    return [replace(head, glued=True), *rows]


def _tick(pen: Pen, text: str, width: float) -> Piece:
    side = pen.line_height(BODY) * 0.78
    words = text_piece(pen, text, width - side - 2.5, BODY)

    def draw(pen: Pen, x: float, y: float) -> None:
        pen.box(x + 0.2, y + 0.5, side, side, weight=0.3)
        words.draw(pen, x + side + 2.5, y + 0.1)

    return Piece(max(words.height, side + 0.6) + 1.1, draw)


def _blank(pen: Pen, text: str, width: float) -> Piece:
    words = text_piece(pen, text, width * 0.62, LABEL)
    last = pen.lines(text, width * 0.62, LABEL)[-1]
    begin = pen.width_of(last, LABEL) + 2.0
    height = max(words.height, 7.5 * pen.scale)

    def draw(pen: Pen, x: float, y: float) -> None:
        words.draw(pen, x, y + height - words.height)
        pen.rule((x + begin, y + height - 0.8), (x + width, y + height - 0.8), weight=0.15)

    return Piece(height, draw)


def _caution(pen: Pen, block: Caution) -> list[Piece]:
    """The frame's sides belong to each item, so that a long caution may run on to the next page."""
    inside, indent = pen.room - 12.0, 9.5
    step = pen.line_height(BODY)
    title = text_piece(pen, block.title.upper(), inside, BODY, bold=True)
    items = [text_piece(pen, item, inside, BODY) for item in block.items]
    parts = [title, *items]

    def framed(number: int, part: Piece) -> Piece:
        first, last = number == 0, number == len(parts) - 1
        above, below = (1.6, 0.2) if first else (0.2, 1.8 if last else 0.3)
        height = above + part.height + below

        def draw(pen: Pen, x: float, y: float) -> None:
            pen.rule((x, y), (x, y + height), weight=1.2)
            pen.rule((x + pen.room, y), (x + pen.room, y + height), weight=0.3)
            if first:
                pen.rule((x, y), (x + pen.room, y), weight=0.3)
                pen.triangle(x + 3.0, y + above + step * 0.06, step * 0.86)
            elif not last or len(parts) > 1:
                pen.dot(x + 5.0, y + above + step * 0.5, 0.45)
            if last:
                pen.rule((x, y + height), (x + pen.room, y + height), weight=0.3)
            part.draw(pen, x + indent, y + above)

        return Piece(height, draw, glued=first)

    return [framed(number, part) for number, part in enumerate(parts)]


def _tag(pen: Pen, block: TagMark, width: float, side: float = 26.0) -> Piece:
    """The QR at the left, the tag large beside it, words under it."""
    beside = width - side - 5.0
    size = pen.fitting(block.tag, beside, TAG, bold=True, least=9.0)
    name = [text_piece(pen, block.tag, beside, size, bold=True)]
    lines = [text_piece(pen, line, beside, BODY) for line in block.lines]
    height = max(side, sum(piece.height for piece in (*name, *lines)) + 1.0)

    def draw(pen: Pen, x: float, y: float) -> None:
        _qr(pen, block.tag, x, y, side)
        top = y
        for piece in (*name, *lines):
            piece.draw(pen, x + side + 5.0, top)
            top += piece.height

    return Piece(height, draw)


def _qr(pen: Pen, text: str, x: float, y: float, side: float) -> None:
    """`text` as a QR (ISO/IEC 18004), its quiet zone of four modules inside `side` mm."""
    code = segno.make_qr(text, error="m")
    matrix = [[bool(cell) for cell in row] for row in code.matrix]
    module = side / (len(matrix) + 8)
    for number, row in enumerate(matrix):
        column = 0
        for dark, run in groupby(row):
            length = len([*run])
            if dark:
                left, top = x + (4 + column) * module, y + (4 + number) * module
                pen.box(left, top, length * module, module * 1.02, weight=0, fill=0)
            column += length


def _labels(pen: Pen, blocks: Sequence[Block]) -> list[Piece]:
    """Tags to cut out, two beside each other."""
    width = (pen.room - 4.0) / 2
    inner = [_tag(pen, block, width - 8.0) for block in blocks if isinstance(block, TagMark)]
    made = []
    for first in range(0, len(inner), 2):
        row = inner[first : first + 2]
        height = max(piece.height for piece in row) + 8.0
        made.append(side_by_side([_framed(piece, width, height) for piece in row], [0.0, width + 4.0]))
    return made


def _framed(piece: Piece, width: float, height: float) -> Piece:
    def draw(pen: Pen, x: float, y: float) -> None:
        pen.box(x, y, width, height, weight=0.2, grey=90, dash=(2.0, 1.5))
        piece.draw(pen, x + 4.0, y + 4.0)

    return Piece(height + 4.0, draw)
