"""From blocks to pieces: what is drawn whole on one page, with its height, and how pieces fill pages."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from standwatch.papers.pen import Pen

Draw = Callable[[Pen, float, float], None]
"""Draws at (x, y), its upper left, in mm."""
MOST_LINES = 14
"""Lines of one cell or value; what is longer is cut with a sign, and whole in the plain text."""


@dataclass(frozen=True, slots=True)
class Piece:
    """Something `height` mm high that is never parted, with `gap` mm before it where it doesn't begin a page.

    `glued`: the next piece stays with it. `head` is drawn first where the piece begins a page. `breaks`: it begins one.
    """

    height: float
    draw: Draw
    gap: float = 0.0
    glued: bool = False
    head: Piece | None = None
    breaks: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """A piece and how far its upper edge lies under the top of the page's room, mm."""

    piece: Piece
    top: float


def filled(pieces: Sequence[Piece], room: float) -> list[list[Placed]]:
    """`pieces` on pages with `room` mm each, in order."""
    pages: list[list[Placed]] = [[]]
    used = 0.0
    for number, piece in enumerate(pieces):
        if pages[-1] and (piece.breaks or used + piece.gap + _together(pieces[number:]) > room):
            pages.append([])
            used = 0.0
        if not pages[-1] and piece.head is not None:
            pages[-1].append(Placed(piece.head, 0.0))
            used = piece.head.height
        gap = piece.gap if pages[-1] else 0.0
        pages[-1].append(Placed(piece, used + gap))
        used += gap + piece.height
    return pages


def _together(pieces: Sequence[Piece]) -> float:
    """The height of the first piece and of those that it, and they, hold."""
    height = pieces[0].height
    for before, after in pairwise(pieces):
        if not before.glued or after.breaks:
            break
        height += after.gap + after.height
    return height


def side_by_side(cells: Sequence[Piece], offsets: Sequence[float]) -> Piece:
    """`cells` as one piece, each `offsets` mm from the left."""

    def draw(pen: Pen, x: float, y: float) -> None:
        for cell, offset in zip(cells, offsets, strict=False):
            cell.draw(pen, x + offset, y)

    return Piece(max(cell.height for cell in cells), draw)


def in_rows(cells: Sequence[Piece], columns: int, offsets: Sequence[float]) -> list[Piece]:
    """`cells` row by row in `columns`."""
    return [side_by_side(cells[first : first + columns], offsets) for first in range(0, len(cells), columns)]


def begun(pieces: Iterable[Piece], gap: float, *, breaks: bool = False) -> list[Piece]:
    """`pieces` with `gap` mm before the first, which begins a page where `breaks`."""
    first, *rest = pieces
    return [replace(first, gap=gap, breaks=breaks or first.breaks), *rest]


def text_piece(pen: Pen, text: str, width: float, size: float, *, bold: bool = False, align: str = "L") -> Piece:
    """`text` wrapped in `width`, whole; cut with a sign where it is longer than a paper has room for."""
    lines = pen.lines(text, width, size, bold=bold)
    if len(lines) > MOST_LINES:
        lines = [*lines[: MOST_LINES - 1], "… (whole in the plain text)"]
    step = pen.line_height(size)

    def draw(pen: Pen, x: float, y: float) -> None:
        for number, line in enumerate(lines):
            pen.write(x, y + number * step, line, size, bold=bold, width=width, align=align)

    return Piece(len(lines) * step, draw)
