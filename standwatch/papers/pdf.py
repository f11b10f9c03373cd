"""A sheet as a PDF: each page with tag, title and "1 of 2" at its head, the foot below, nothing outside the margins."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain

from standwatch.model.errors import BadValue
from standwatch.papers.blocks import Sheet
from standwatch.papers.drawing import SMALL, pieces_of
from standwatch.papers.fonts import Fonts
from standwatch.papers.missing import sentence
from standwatch.papers.pen import MARGIN, PAPERS, Pen
from standwatch.papers.pieces import Piece, Placed, filled, text_piece

_LEAST_SCALE, _STEP = 0.8, 0.05
"""Of all letters: the largest is taken at which a sheet takes no more than its pages, down to the least."""
_HEAD, _TITLE = 15.0, 12.0
_HEAD_MM = 10.0


def pdf_of(sheet: Sheet, paper: str = "A4") -> bytes:
    """The sheet as a PDF on A4 or Letter; the same sheet gives the same bytes. BadValue for another paper."""
    return pdfs_of([sheet], paper)[0]


def pdfs_of(sheets: Iterable[Sheet], paper: str = "A4") -> list[bytes]:
    """Each sheet as its `pdf_of`, in order; the fonts are laid out once."""
    if paper not in PAPERS:
        raise BadValue(f"paper {paper!r} is not known; give {' or '.join(PAPERS)}", column="paper")
    with Fonts() as fonts:
        return [_printed(fonts, sheet, paper) for sheet in sheets]


def _printed(fonts: Fonts, sheet: Sheet, paper: str) -> bytes:
    with Pen(fonts, paper, title=f"{sheet.title} {sheet.tag}".strip(), made_at=sheet.made_at) as pen:
        laid = _Laid(sheet, pen, sheet.letters)
        while len(laid.pages) > sheet.pages and laid.scale > _LEAST_SCALE + _STEP / 2:
            laid = _Laid(sheet, pen, laid.scale - _STEP)
        return laid.drawn()


def lacking(sheets: Iterable[Sheet]) -> tuple[str, ...]:
    """The characters in `sheets` that the papers' font has no letter for, each once; printed by their numbers."""
    told = [*sheets]
    if not told:
        return ()
    with Fonts() as fonts, Pen(fonts, "A4", title="", made_at=told[0].made_at) as pen:
        return tuple(dict.fromkeys(chain.from_iterable(pen.letters.lacking(sheet) for sheet in told)))


class _Laid:
    """A sheet laid out on its pages at a scale; the head and the foot of a page are never larger than usual."""

    def __init__(self, sheet: Sheet, pen: Pen, scale: float) -> None:
        self.sheet = sheet
        self.pen = pen
        self.scale = scale
        pen.scale = min(scale, 1.0)
        told = [sheet.foot, sentence(self.pen.letters.lacking(sheet))]
        self.foot: list[Piece] = [text_piece(self.pen, text, self.pen.room, SMALL - 0.5) for text in told if text]
        self.foot_height = sum(piece.height for piece in self.foot) + 1.5 if self.foot else 0.0
        room = self.pen.height - 2 * MARGIN - _HEAD_MM - self.foot_height - 1.0
        pen.scale = scale
        self.pages: list[list[Placed]] = filled(pieces_of(self.pen, sheet), room)

    def drawn(self) -> bytes:
        """The PDF."""
        for number, page in enumerate(self.pages, 1):
            self.pen.page()
            self.pen.scale = min(self.scale, 1.0)
            self._head(f"{number} of {len(self.pages)}")
            self._foot()
            self.pen.scale = self.scale
            for placed in page:
                placed.piece.draw(self.pen, self.pen.left, MARGIN + _HEAD_MM + placed.top)
        return self.pen.finish()

    def _head(self, count: str) -> None:
        pen, sheet = self.pen, self.sheet
        tag_size = pen.fitting(sheet.tag, pen.room * 0.5, _HEAD, bold=True)
        tag = _first(pen.lines(sheet.tag, pen.room * 0.55, tag_size, bold=True))
        pen.write(pen.left, MARGIN, tag, tag_size, bold=True)
        begin = pen.left + pen.width_of(tag, tag_size, bold=True) + (5.0 if tag else 0.0)
        free = pen.left + pen.room - begin - pen.width_of(count, _TITLE) - 4.0
        lower = pen.line_height(tag_size) * 0.78
        title_size = pen.fitting(sheet.title, free, _TITLE, least=8.0)
        title = _first(pen.lines(sheet.title, free - pen.width_of(" …", title_size), title_size))
        pen.write(begin, MARGIN + lower - pen.line_height(title_size) * 0.78, title, title_size)
        width = pen.width_of(count, 10.0)
        top = MARGIN + lower - pen.line_height(10.0) * 0.78
        pen.write(pen.left + pen.room - width, top, count, 10.0)
        foot = MARGIN + _HEAD_MM - 2.6
        pen.rule((pen.left, foot), (pen.left + pen.room, foot), weight=0.5)

    def _foot(self) -> None:
        top = self.pen.height - MARGIN - self.foot_height
        if self.foot:
            self.pen.rule((self.pen.left, top), (self.pen.left + self.pen.room, top), weight=0.15)
            top += 1.0
        for piece in self.foot:
            piece.draw(self.pen, self.pen.left, top)
            top += piece.height


def _first(lines: list[str]) -> str:
    """A line of a page's head; what it has no room for stands whole elsewhere."""
    return lines[0] if len(lines) == 1 else f"{lines[0]} …"
