"""What a paper is made of: blocks that `pdf.pdf_of` and `plain.text_of` both print, so that the two say the same.

A block holds words that are ready to print: units, signs and dates are in them, in the zone of its sheet's shop. Text
of users goes in as it is; whoever prints makes it inert and names what no font has. Times of charts are aware, UTC.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Weight = Literal["small", "plain", "strong", "large"]


@dataclass(frozen=True, slots=True)
class Heading:
    """Begins a part of the sheet; never left alone at the foot of a page."""

    text: str


@dataclass(frozen=True, slots=True)
class Words:
    """One paragraph, wrapped; "\\n" begins a new line. `large` is for the one line that matters most."""

    text: str
    weight: Weight = "plain"


@dataclass(frozen=True, slots=True)
class Pairs:
    """Labels with what belongs to each, in one to three columns side by side, filled row by row."""

    pairs: tuple[tuple[str, str], ...]
    columns: int = 1


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under a head, each cell wrapped, no row parted between pages; the head is printed again on the next.

    `widths` are shares of the sheet's width (equal where empty); the columns in `right` are set to the right; a row
    whose number is in `strong` (0 = the first under the head) is set in bold. `least_mm` is a row's least height, for
    writing by hand, and `ruled` draws uprights between the columns.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...] = ()
    right: frozenset[int] = frozenset()
    strong: frozenset[int] = frozenset()
    least_mm: float = 0.0
    ruled: bool = False


@dataclass(frozen=True, slots=True)
class Ticks:
    """Things to do or see, each with a box to tick, in the order they are done."""

    items: tuple[str, ...]
    columns: int = 1


@dataclass(frozen=True, slots=True)
class Blanks:
    """Labels, each with a rule to write on by hand."""

    labels: tuple[str, ...]
    columns: int = 2


@dataclass(frozen=True, slots=True)
class Caution:
    """Framed and marked CAUTION in words: what can hurt someone, or the clock. One sentence or two an item."""

    items: tuple[str, ...]
    title: str = "Caution"


@dataclass(frozen=True, slots=True)
class TagMark:
    """The tag, large, with its QR (the tag's text and nothing else: a scanner types it) and lines of words beside it.

    `cut`: within a dashed frame to be cut out along, two side by side where there are several in a row.
    """

    tag: str
    lines: tuple[str, ...] = ()
    cut: bool = False


@dataclass(frozen=True, slots=True)
class PageBreak:
    """What follows begins on a new page (in plain text: a rule)."""


@dataclass(frozen=True, slots=True)
class Dot:
    """One value at a time, in the chart's unit, with a bar from `low` to `high` where given; `sound` no: a cross."""

    at: datetime
    value: float
    low: float | None = None
    high: float | None = None
    sound: bool = True


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a line with its 95 % band, in the chart's unit; `starts` where the line begins anew."""

    at: datetime
    value: float
    low: float
    high: float
    starts: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """Something done at a time, in a few words; printed as a number in the chart, the words under it."""

    at: datetime
    words: str


@dataclass(frozen=True, slots=True)
class Chart:
    """Values over days: dots, a line with its band, works as numbered marks, limits as broken lines with words.

    `above` and `below` say what the two sides of nought are ("fast", "slow"); `unit` is printed with the axis, as
    "s" or "s/day". `limits` are (value, words); the words are printed once, under the chart.
    """

    title: str
    unit: str
    above: str
    below: str
    dots: tuple[Dot, ...] = ()
    line: tuple[Step, ...] = ()
    marks: tuple[Mark, ...] = ()
    limits: tuple[tuple[float, str], ...] = ()
    caption: str = ""
    height_mm: float = 55.0


Block = Heading | Words | Pairs | Table | Ticks | Blanks | Caution | TagMark | PageBreak | Chart


@dataclass(frozen=True, slots=True)
class Sheet:
    """One paper: one or two pages. `name` names its file, a slug of ours; `made_at` is UTC and goes into the PDF.

    `tag` is empty where it is of several clocks. `pages` is how many it may take; `letters` is how much larger than
    usual it is set, as far as it fits on them.

    `made_at` is the time of what it prints (the release's, or the stand's), never of the printing: the same record
    gives the same bytes. `zone` (IANA) is for the charts' days. `foot` is printed at each page's foot.
    """

    name: str
    title: str
    tag: str
    blocks: tuple[Block, ...]
    made_at: datetime
    zone: str = "UTC"
    foot: str = ""
    pages: int = 2
    letters: float = 1.0
