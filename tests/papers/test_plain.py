"""The plain-text twin: 80 columns, every word and number of the PDF."""

from __future__ import annotations

import re

import pytest

from standwatch.model.text import columns
from standwatch.papers.blocks import Blanks, Caution, Pairs, Sheet, Table, Ticks, Words
from standwatch.papers.missing import texts
from standwatch.papers.pdf import pdf_of
from standwatch.papers.plain import WIDTH, text_of
from standwatch.papers.release_record import release_record
from tests.papers.reading import reader
from tests.papers.records import AT, every_record
from tests.papers.test_pdf import every_block

SHEETS = {name: release_record(record) for name, record in every_record().items()} | {"every block": every_block()}
EACH = pytest.mark.parametrize("name", list(SHEETS))


@EACH
def test_no_line_is_longer_than_eighty_columns(name: str) -> None:
    text = text_of(SHEETS[name])
    assert text.endswith("\n")
    assert max(columns(line) for line in text.splitlines()) <= WIDTH
    assert not [line for line in text.splitlines() if line != line.rstrip()]


@EACH
def test_every_word_of_the_sheet_is_in_it(name: str) -> None:
    text = text_of(SHEETS[name])
    parted = re.sub(r"\s+", "", text)
    for told in texts(SHEETS[name]):
        for word in told.split():
            assert word in text or word.upper() in text or word[:4] in parted, word


@pytest.mark.parametrize("name", list(every_record()))
def test_every_number_on_the_pdf_is_in_it(name: str) -> None:
    """But for the figures along a chart's axes and the pages' numbers."""
    sheet = SHEETS[name]
    text = text_of(sheet)
    for page in reader(pdf_of(sheet)).pages:
        for line in page.extract_text().splitlines():
            if re.fullmatch(r"[+−]?[\d:.,–]+|\d+ [A-Z][a-z]{2}|\d of \d", line.strip()):
                continue
            for number in re.findall(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.])", line):
                assert number in text, (number, line)


def test_wide_letters_take_two_columns() -> None:
    """UAX 11: East Asian wide letters take two columns, marks none."""
    assert columns("水") == 2
    assert columns("e\u0301") == 1
    text = text_of(Sheet("t", "Wide", "2398", (Words("水" * 90), Pairs((("label", "水" * 60),))), AT))
    assert max(columns(line) for line in text.splitlines()) <= WIDTH
    assert text.count("水") == 150


def test_a_table_keeps_its_columns_in_line() -> None:
    block = Table(("one", "two"), (("123", "a " * 60), ("23", "b")), right=frozenset({0}))
    lines = text_of(Sheet("t", "Table", "2398", (block,), AT)).splitlines()[3:]
    assert lines[:3] == ["one  two", "---  " + "-" * 75, "123  " + ("a " * 38).rstrip()]
    assert " 23  b" in lines


def test_boxes_rules_and_cautions_are_marked() -> None:
    blocks = (Ticks(("pendulum off",)), Blanks(("beat error",)), Caution(("feet clear",)))
    text = text_of(Sheet("t", "Marks", "2398", blocks, AT))
    assert "[ ] pendulum off\n" in text
    assert f"beat error {'_' * 69}\n" in text
    assert "!! CAUTION\n! feet clear\n" in text
