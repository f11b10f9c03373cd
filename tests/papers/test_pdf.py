"""PDFs read back by pypdf: pages, margins, fonts, greys, the same bytes anywhere."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from functools import cache
from itertools import chain
from pathlib import Path

import pytest
import segno
from pypdf import PageObject
from pypdf.generic import ContentStream

from standwatch.model.errors import BadValue
from standwatch.papers.blocks import (
    Blanks,
    Block,
    Caution,
    Chart,
    Dot,
    Heading,
    Mark,
    PageBreak,
    Pairs,
    Sheet,
    Step,
    Table,
    TagMark,
    Ticks,
    Words,
)
from standwatch.papers.fonts import Fonts
from standwatch.papers.pdf import pdf_of
from standwatch.papers.pen import MARGIN, PAPERS, Pen
from standwatch.papers.release_record import release_record
from tests.papers.reading import MM, placed, reader, words
from tests.papers.records import AT, every_record

ROOT = Path(__file__).parents[2]
RECORDS = every_record()
_HAIR = 0.75
"""mm that half of a frame's thickest line may stand out, and a measured width may be off."""


def long_words(count: int) -> str:
    return " ".join(f"word{n}" for n in range(count))


def every_block(tag: str = "2398") -> Sheet:
    """Each block at its most awkward: long words, many rows, empty cells."""
    return Sheet(
        name="all",
        title="Every block there is, with a title that is longer than the head of a page has room for",
        tag=tag,
        made_at=AT,
        zone="Europe/London",
        foot="a foot " * 30,
        blocks=(
            TagMark(tag, ("one line", long_words(20))),
            Heading("A heading " + long_words(20)),
            Words(long_words(60)),
            Words("x" * 400, "small"),
            Words("Large " + long_words(8), "large"),
            Pairs((("label", "value"), ("a much longer label than that", long_words(30)), ("empty", ""))),
            Pairs((("label", "value" * 30), ("another", "v"), ("third", "v")), columns=2),
            Table(
                ("one", "two", "three"),
                (("1", long_words(15), "3"), ("", "", ""), ("a", "b" * 90, "c")),
                (1, 3, 1),
                right=frozenset({2}),
                strong=frozenset({1}),
            ),
            Ticks((long_words(30), "short", "c")),
            Ticks(("a", "b", "c"), columns=2),
            Blanks(("height", "beat error " + long_words(12), "initials")),
            Caution((long_words(40), "short")),
            chart(),
            wild_chart(),
            PageBreak(),
            Heading("Again"),
            *(TagMark(f"{tag}-{n}", ("longcase", "A1"), cut=True) for n in range(5)),
        ),
    )


def chart() -> Chart:
    at = [datetime(2026, 10, 20 + n, 7, 0, tzinfo=UTC) for n in range(11)]
    return Chart(
        title="Error",
        unit="s",
        above="fast",
        below="slow",
        dots=tuple(Dot(t, 40.0 * n, sound=n != 4) for n, t in enumerate(at)),
        line=tuple(Step(t, 40.0 * n, 40.0 * n - 9000, 40.0 * n + 9000, starts=n == 5) for n, t in enumerate(at)),
        marks=tuple(Mark(t, "wound to the top") for t in at),
        limits=((100.0, "as far as it may go"),),
    )


def wild_chart() -> Chart:
    """A reading hours off that the others contradict, a rate with a doubt of hours, two works in one minute."""
    at = datetime(2026, 11, 20, 8, 0, tzinfo=UTC)
    return Chart(
        title="Wild",
        unit="s",
        above="fast",
        below="slow",
        dots=(Dot(at, 3.0), Dot(at, -21600.0, sound=False), Dot(at, 2.0, -90000.0, 90000.0)),
        marks=(Mark(at, "beat set"), Mark(at, "levelled")),
    )


def sheets() -> dict[str, Sheet]:
    told = {name: release_record(record) for name, record in RECORDS.items()}
    return {**told, "every block": every_block(), "long tag": every_block("W" * 24)}


SHEETS = sheets()


@cache
def printed(name: str, paper: str = "A4") -> bytes:
    return pdf_of(SHEETS[name], paper)


BOTH = pytest.mark.parametrize("paper", list(PAPERS))
EACH = pytest.mark.parametrize("name", list(SHEETS))


@BOTH
@pytest.mark.parametrize("name", list(RECORDS))
def test_a_record_takes_one_page_or_two(name: str, paper: str) -> None:
    pages = reader(printed(name, paper)).pages
    assert len(pages) in {1, 2}
    for page in pages:
        size = float(page.mediabox.width) / MM, float(page.mediabox.height) / MM
        assert size == pytest.approx(PAPERS[paper], abs=0.1)


@BOTH
@EACH
def test_each_page_bears_the_tag_and_its_number(name: str, paper: str) -> None:
    pages = reader(printed(name, paper)).pages
    for number, page in enumerate(pages, 1):
        text = page.extract_text()
        assert SHEETS[name].tag in text.splitlines()[0] or SHEETS[name].tag in text[:80]
        assert f"{number} of {len(pages)}" in text


@BOTH
@EACH
def test_no_text_stands_outside_the_margins(name: str, paper: str) -> None:
    width, height = PAPERS[paper]
    with Fonts() as fonts, Pen(fonts, paper, title="", made_at=AT) as pen:
        for run in chain.from_iterable(placed(printed(name, paper))):
            assert run.x >= MARGIN - 0.05, run
            assert MARGIN - 0.05 <= run.y <= height - MARGIN, run
            end = run.x + min(pen.width_of(run.text, run.size, bold=bold) for bold in (False, True))
            assert end <= width - MARGIN + _HAIR, run


@BOTH
@EACH
def test_nothing_is_drawn_outside_the_margins(name: str, paper: str) -> None:
    width, height = PAPERS[paper]
    for page in reader(printed(name, paper)).pages:
        for x, y in drawn(page):
            assert MARGIN - _HAIR <= x <= width - MARGIN + _HAIR, (x, y)
            assert MARGIN - _HAIR <= y <= height - MARGIN + _HAIR, (x, y)


def drawn(page: PageObject) -> Iterator[tuple[float, float]]:
    """Every point of every line, curve and box, mm from the lower left."""
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        told = [float(number) / MM for number in operands if isinstance(number, int | float)]
        if operator == b"re":
            yield told[0], told[1]
            yield told[0] + told[2], told[1] + told[3]
        elif operator in {b"m", b"l", b"c"}:
            yield from zip(told[::2], told[1::2], strict=True)


@EACH
def test_every_font_is_embedded(name: str) -> None:
    found = 0
    for page in reader(printed(name)).pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            descendant = font.get_object()["/DescendantFonts"][0].get_object()
            descriptor = descendant["/FontDescriptor"].get_object()
            assert {"/FontFile2", "/FontFile3"} & set(descriptor), descriptor["/FontName"]
            found += 1
    assert found


@EACH
def test_there_are_greys_and_no_colours(name: str) -> None:
    for page in reader(printed(name)).pages:
        for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
            assert operator not in {b"k", b"K", b"sc", b"SC", b"scn", b"SCN"}
            if operator in {b"rg", b"RG"}:
                assert len(set(operands)) == 1


def test_rows_and_boxes_stand_whole_on_one_page() -> None:
    """Fifty rows of three lines each: both lines' ends of every row are on one page, and each page has the head."""
    rows = tuple((f"begin{n} {'middle ' * 16}end{n}",) for n in range(30))
    data = pdf_of(Sheet("t", "Rows", "2398", (Table(("what there is",), rows, (1,)),), AT))
    pages = [page.extract_text() for page in reader(data).pages]
    assert len(pages) == 2
    for n in range(30):
        assert [f"begin{n} " in page for page in pages] == [f"end{n}\n" in page + "\n" for page in pages]
    assert all("what there is" in page for page in pages)


def test_a_sheet_that_is_a_little_too_long_is_set_smaller() -> None:
    def size(count: int) -> float:
        pages = placed(pdf_of(Sheet("t", "Long", "2398", (Words(long_words(count)),), AT)))
        assert len(pages) <= 2
        return next(run.size for run in pages[0] if run.text.startswith("word0"))

    assert size(1500) < size(200)


def test_a_heading_never_ends_a_page() -> None:
    for lines in (0, 2, 33, 34, 35, 36, 37, 38):
        blocks: tuple[Block, ...] = (
            *(Words(f"line {n}") for n in range(lines)),
            Heading("The heading"),
            Words("and its words"),
        )
        for page in reader(pdf_of(Sheet("t", "Heads", "2398", blocks, AT))).pages:
            text = page.extract_text()
            assert ("The heading" in text) == ("and its words" in text)


def test_the_same_record_gives_the_same_bytes_in_another_process_and_zone() -> None:
    told = (
        "import hashlib; from tests.papers.records import full_longcase;"
        "from standwatch.papers.pdf import pdf_of; from standwatch.papers.release_record import release_record;"
        "print(hashlib.sha256(pdf_of(release_record(full_longcase()), 'A4')).hexdigest())"
    )
    here = hashlib.sha256(printed("longcase")).hexdigest()
    for zone, seed in (("Pacific/Auckland", "1"), ("America/Lima", "2")):
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "TZ": zone, "PYTHONHASHSEED": seed}
        done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True, env=environment)
        assert done.stdout.strip() == here


def test_the_date_in_it_is_the_release_s() -> None:
    told = reader(printed("longcase")).metadata
    assert told is not None
    assert told.creation_date == AT
    assert told.title == "Release record 2398"


def test_another_paper_is_refused() -> None:
    with pytest.raises(BadValue, match="give A4 or Letter"):
        pdf_of(SHEETS["longcase"], "A5")


def test_the_qr_is_the_tag_s_and_nothing_else_s() -> None:
    """The dark boxes, put back on the grid, are the QR (ISO/IEC 18004) of the tag alone, upright."""
    tag = "K 17/b"
    data = pdf_of(Sheet("t", "Tag", tag, (TagMark(tag),), AT))
    [page] = reader(data).pages
    boxes = [
        [float(number) / MM for number in operands]
        for operands, operator in ContentStream(page.get_contents(), page.pdf).operations
        if operator == b"re"
    ]
    code = segno.make_qr(tag, error="m")
    side = len(code.matrix)
    module = 26.0 / (side + 8)
    left = MARGIN + 4 * module
    top = max(y for _, y, _, _ in boxes)
    found = [[False] * side for _ in range(side)]
    for x, y, width, _ in boxes:
        row, column = round((top - y) / module), round((x - left) / module)
        for cell in range(round(width / module)):
            found[row][column + cell] = True
    assert found == [[bool(cell) for cell in row] for row in code.matrix]


def test_what_a_user_wrote_is_neither_markup_nor_command() -> None:
    text = "**bold** __u__ --x-- {nb} \\n (paren \x1b[2J \u202eevil \u2028end"
    told = words(pdf_of(Sheet("t", "Inert", "2398", (Words(text),), AT)))
    assert "**bold** __u__ --x-- {nb} \\n (paren [2J evil end" in re.sub(r"\s+", " ", told)
