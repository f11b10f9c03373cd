"""Papers by keys: of a clock let go, labels, the round on paper. The files are read back."""

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader
from textual.pilot import Pilot

from standwatch.tui.app import StandwatchApp
from standwatch.tui.personal import Own
from standwatch.tui.widgets.bar import Bar, EntryLine
from tests.tui.home_shop import make_home_book
from tests.tui.screens import SMALL, press, settle, text_of, type_in
from tests.tui.shop import NOW, open_shop

Books = Callable[[str], Path]


@asynccontextmanager
async def printing(book: Path, papers: Path) -> AsyncIterator[tuple[StandwatchApp, Pilot[Any]]]:
    """The app over `book`, which proposes the folder `papers`."""
    app = StandwatchApp.over(lambda: open_shop(book), clock=lambda: NOW, own=Own(papers=papers))
    async with app.run_test(size=SMALL, notifications=True) as pilot:
        await settle(pilot)
        while app.view is None:
            await pilot.pause(0.02)
        yield app, pilot


def read_back(path: Path) -> str:
    """The words of a PDF."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


async def test_the_ready_clock_goes_from_the_stand_to_its_papers_by_keys(books: Books, tmp_path: Path) -> None:
    """Sixteen keys: its tag and Enter, e, its tag with the initials and Enter, p and Enter."""
    keys = [*"2398", "enter", "e", *"2398", "space", *"JQ", "enter", "p", "enter"]
    assert len(keys) == 16
    async with printing(books("demo"), tmp_path / "papers") as (app, pilot):
        await press(pilot, *keys)
        told = " ".join(text_of(app).split())
        assert "PRINTED" in told
        assert "2398-release-record" in told
    files = sorted(path.name for path in (tmp_path / "papers").iterdir())
    names = ("fitters-sheet", "label", "owners-card", "release-record")
    assert files == [f"2398-{name}.{ending}" for name in names for ending in ("pdf", "txt")]
    record = read_back(tmp_path / "papers" / "2398-release-record.pdf")
    assert "by JQ" in record
    assert "continuous running" in record
    for name in names:
        assert "2398" in read_back(tmp_path / "papers" / f"2398-{name}.pdf")


async def test_before_it_is_let_go_there_is_no_record_but_a_label(books: Books, tmp_path: Path) -> None:
    async with printing(books("demo"), tmp_path) as (app, pilot):
        app.follow("2417")
        await press(pilot, "enter", "p")
        assert "2417 is not let go, so it has no record to print" in text_of(app)
        assert list(tmp_path.iterdir()) == []
        await press(pilot, "p", "enter")
        await settle(pilot)
        assert "PRINTED" in text_of(app)
        assert "2417-label, as PDF and as text." in " ".join(text_of(app).split())
        assert "┈┈┈┈" in text_of(app)  # the chart of its page, in the room that the bar leaves
    assert "floor chiming" in (tmp_path / "2417-label.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize(("key", "name", "words"), [("s", "round-sheet", "watch"), ("y", "labels", "2409")])
async def test_the_stand_on_paper(key: str, name: str, words: str, books: Books, tmp_path: Path) -> None:
    async with printing(books("demo"), tmp_path) as (app, pilot):
        await press(pilot, key, "enter")
        assert "PRINTED" in text_of(app)
    told = read_back(tmp_path / f"{name}.pdf")
    assert words in told
    assert "2417" in told


async def test_a_folder_that_is_typed_is_proposed_again_and_one_that_can_t_be_is_said(
    books: Books, tmp_path: Path
) -> None:
    (tmp_path / "file").write_text("in the way")
    async with printing(books("demo"), tmp_path / "file" / "papers") as (app, pilot):
        await press(pilot, "s", "enter")
        assert "can't be written to" in text_of(app)
        entry = app.screen.query_one(EntryLine)
        entry.value = str(tmp_path / "elsewhere")
        await press(pilot, "enter")
        assert (tmp_path / "elsewhere" / "round-sheet.pdf").exists()
        await press(pilot, "s")
        assert app.screen.query_one(EntryLine).value == str(tmp_path / "elsewhere")
        entry = app.screen.query_one(EntryLine)
        entry.value = ""
        await press(pilot, "enter")
        assert "type the folder" in text_of(app)
        await press(pilot, "escape")
        assert app.screen.query_one(Bar).mode == "rest"


async def test_the_earlier_job_s_papers_are_two_keys_from_its_page(tmp_path: Path) -> None:
    book = make_home_book(tmp_path / "book.sqlite")
    stand = open_shop(book)
    stand.change_clock("2344", {"earlier_tag": "2304"}, NOW)
    stand.close()
    async with printing(book, tmp_path / "papers") as (app, pilot):
        await press(pilot, *"2344", "enter", "enter", "p", "enter")
        assert "PRINTED" in text_of(app)
        record = read_back(tmp_path / "papers" / "2304-release-record.pdf")
        assert "Ostler" in record
        assert "looked at in the spring" in record, "the waiver's reason"
        await press(pilot, "escape", "escape", "escape", "d", "end", "p", "enter")
        assert app.screen.query_one(Bar).mode == "told"
    assert len(list((tmp_path / "papers").glob("*-release-record.pdf"))) == 2, "from Delivered as well"


async def test_letters_that_no_font_has_are_named(books: Books, tmp_path: Path) -> None:
    book = books("demo")
    stand = open_shop(book)
    stand.change_clock("2398", {"owner": "Tessaly \U00013000"}, NOW)
    stand.close()
    async with printing(book, tmp_path) as (app, pilot):
        app.follow("2398")
        await press(pilot, "e", "e")
        await type_in(pilot, "2398 JQ")
        await press(pilot, "enter", "p", "enter")
        assert "U+13000" in text_of(app)
