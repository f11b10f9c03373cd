"""One PDF being drawn: letters, rules, boxes and dots at places in mm from the upper left corner of the page.

With `directions` and `fonts` the only module that knows the PDF library. What it writes holds nothing of the time, the
place or the process it is written in. Letters that join, turn or stack (Arabic, Hebrew, Devanagari, marks) are shaped.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from types import MappingProxyType
from typing import Self

from fpdf import FPDF
from fpdf.enums import XPos, YPos

from standwatch.model.text import parted
from standwatch.papers.directions import Run, visual_runs
from standwatch.papers.fonts import FAMILY, Fonts, close

PAPERS = MappingProxyType({"A4": (210.0, 297.0), "Letter": (215.9, 279.4)})
"""Width and height in mm, upright (ISO 216; ANSI Y14.1 size A)."""
MARGIN = 15.0
"""mm on every side."""
POINT_MM = 25.4 / 72
_LEADING = 1.28
_SHAPED = re.compile("[^\\x00-\u02ff\u0370-\u0482\u048a-\u052f\u1e00-\u1fff\u2010-\u20cf\u2100-\u2bff]")
"""Letters that join, turn or stack. Latin, Greek, Cyrillic and signs don't: each is set by itself, to the right."""
_LEFTWARDS = re.compile("[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff\U00010800-\U00010fff\U0001e800-\U0001efff]")
"""Letters that may be read to the left."""


def _runs(text: str) -> list[Run]:
    """Its runs from left to right; nearly always one."""
    return visual_runs(text) if _LEFTWARDS.search(text) else [Run(text, leftwards=False)]


class Pen:
    """Draws on the pages of one PDF, in a `with`. Greys run from 0 (black) to 255; sizes are points times `scale`."""

    def __init__(self, fonts: Fonts, paper: str, *, title: str, made_at: datetime) -> None:
        self.width, self.height = PAPERS[paper]
        self.scale = 1.0
        pdf = FPDF(unit="mm", format=(self.width, self.height))
        pdf.set_auto_page_break(auto=False)
        pdf.set_margin(0)
        pdf.c_margin = 0
        pdf.alias_nb_pages("")  # else "{nb}" in anyone's text becomes a number
        self.letters = fonts.add_to(pdf)
        pdf.set_creation_date(made_at)
        pdf.set_title(title)
        pdf.set_creator("standwatch")
        pdf.set_lang("en")
        self._pdf = pdf
        pdf.set_text_color(0)
        self._widths: dict[tuple[str, float, bool], float] = {}

    def __enter__(self) -> Self:
        """Itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """The fonts' files are closed."""
        close(self._pdf)

    @property
    def left(self) -> float:
        """The left margin, mm."""
        return MARGIN

    @property
    def room(self) -> float:
        """Between the side margins, mm."""
        return self.width - 2 * MARGIN

    def page(self) -> None:
        """Begin a page."""
        self._pdf.add_page()

    def finish(self) -> bytes:
        """The whole PDF."""
        return bytes(self._pdf.output())

    def line_height(self, size: float) -> float:
        """mm from one line to the next."""
        return size * self.scale * POINT_MM * _LEADING

    def _font(self, run: Run, size: float, *, bold: bool) -> None:
        self._pdf.set_font(FAMILY, "B" if bold else "", size * self.scale)
        shaped = run.leftwards or _SHAPED.search(run.text) is not None
        self._pdf.set_text_shaping(use_shaping_engine=shaped, direction="rtl" if run.leftwards else "ltr")

    def width_of(self, text: str, size: float, *, bold: bool = False) -> float:
        """mm that printable `text` takes on one line."""
        key = (text, size * self.scale, bold)
        if key not in self._widths:
            self._widths[key] = sum(self._run_width(run, size, bold=bold) for run in _runs(text))
        return self._widths[key]

    def _run_width(self, run: Run, size: float, *, bold: bool) -> float:
        self._font(run, size, bold=bold)
        return float(self._pdf.get_string_width(run.text))

    def lines(self, text: str, width: float, size: float, *, bold: bool = False) -> list[str]:
        """`text` in printable lines no wider than `width` mm."""
        printable = self.letters.printable(text, lines=True)
        return parted(printable, lambda line: self.width_of(line, size, bold=bold) <= width)

    def write(
        self, x: float, y: float, text: str, size: float, *, bold: bool = False, width: float = 0.0, align: str = "L"
    ) -> None:
        """One printable line with its upper edge at `y`; from `x` on, or within `width` by `align` (L, C, R)."""
        if not text.strip():
            return
        free = width - self.width_of(text, size, bold=bold) if width else 0.0
        begin = x + free * {"L": 0.0, "C": 0.5, "R": 1.0}[align]
        for run in _runs(text):
            taken = self._run_width(run, size, bold=bold)
            self._pdf.set_xy(begin, y)
            self._pdf.cell(taken, self.line_height(size), run.text, align="L", new_x=XPos.RIGHT, new_y=YPos.TOP)
            begin += taken

    def fitting(self, text: str, width: float, size: float, *, bold: bool = False, least: float = 6.0) -> float:
        """The size up to `size` at which `text` takes no more than `width` mm, `least` at least."""
        taken = self.width_of(self.letters.printable(text), size, bold=bold)
        return size if taken <= width else max(least, size * width / taken * 0.99)

    @contextmanager
    def _stroke(self, weight: float, grey: int, dash: tuple[float, float] | None) -> Iterator[None]:
        self._pdf.set_draw_color(grey)
        self._pdf.set_line_width(weight)
        if dash:
            self._pdf.set_dash_pattern(*dash)
        yield
        if dash:
            self._pdf.set_dash_pattern()

    def rule(
        self,
        start: tuple[float, float],
        end: tuple[float, float],
        *,
        weight: float = 0.2,
        grey: int = 0,
        dash: tuple[float, float] | None = None,
    ) -> None:
        """A straight line; `dash` is (mark, gap) in mm."""
        with self._stroke(weight, grey, dash):
            self._pdf.line(*start, *end)

    def path(
        self,
        points: list[tuple[float, float]],
        *,
        weight: float = 0.3,
        grey: int = 0,
        dash: tuple[float, float] | None = None,
    ) -> None:
        """A line through `points`."""
        if len(points) > 1:
            with self._stroke(weight, grey, dash):
                self._pdf.polyline(points)

    def box(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        *,
        weight: float = 0.25,
        grey: int = 0,
        fill: int | None = None,
        dash: tuple[float, float] | None = None,
    ) -> None:
        """A rectangle; `fill` is its grey, `weight` 0 leaves the edge out."""
        if fill is not None:
            self._pdf.set_fill_color(fill)
        style = ("D" if weight else "") + ("F" if fill is not None else "")
        with self._stroke(weight or 0.1, grey, dash):
            self._pdf.rect(x, y, width, height, style=style)

    def dot(self, x: float, y: float, radius: float, *, filled: bool = True) -> None:
        """A round dot about a middle."""
        self._pdf.set_fill_color(0 if filled else 255)
        with self._stroke(0.2, 0, None):
            self._pdf.circle(x, y, radius, style="DF")

    def cross(self, x: float, y: float, reach: float) -> None:
        """An x about a middle."""
        self.rule((x - reach, y - reach), (x + reach, y + reach), weight=0.25)
        self.rule((x - reach, y + reach), (x + reach, y - reach), weight=0.25)

    def triangle(self, x: float, y: float, side: float) -> None:
        """A triangle on its base with a stroke and a dot in it; `x`, `y` is the upper left of its square."""
        with self._stroke(0.4, 0, None):
            self._pdf.polygon([(x + side / 2, y), (x + side, y + side), (x, y + side)])
        middle = x + side / 2
        self.rule((middle, y + side * 0.38), (middle, y + side * 0.68), weight=0.45)
        self.dot(middle, y + side * 0.84, 0.2)
