"""First hour: as it looks, and every key of it over a real book, at both sizes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.model.facts import CheckIn, Clock
from standwatch.tui.screens.clock import ClockScreen
from standwatch.tui.screens.first_hour import FirstHourScreen
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, text_of, type_in
from tests.tui.shop import NOW, open_shop

Books = Callable[[str], Path]
pytestmark = pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])


def book_of(path: Path, tag: str) -> tuple[Clock, list[CheckIn]]:
    stand = open_shop(path)
    try:
        return stand.clock(tag).body, [record.body for record in stand.facts(tag)]
    finally:
        stand.close()


def new(book: Path, **columns: object) -> Path:
    """A clock just put on the stand: wound, and read once."""
    stand = open_shop(book)
    stand.add_clock({"tag": "2440", "position": "D1", **columns}, NOW)
    stand.check_in({"tag": "2440", "error_s": 3, "work": "wound"}, NOW)
    stand.close()
    return book


@pytest.mark.parametrize(
    ("name", "kind"),
    [("weights", "floor-chiming"), ("springs", "mantel"), ("balance", "carriage"), ("torsion", "torsion")],
)
async def test_how_it_looks(name: str, kind: str, size: tuple[int, int], books: Books) -> None:
    async with running(new(books("empty"), kind=kind), size) as (app, pilot):
        await press(pilot, "enter", "b")
        check_golden(f"first-hour-{name}-{size[0]}x{size[1]}", text_of(app))


async def test_how_an_answer_looks(size: tuple[int, int], books: Books) -> None:
    async with running(new(books("empty"), kind="longcase"), size) as (app, pilot):
        await press(pilot, "enter", "b", "5")
        check_golden(f"first-hour-asked-{size[0]}x{size[1]}", text_of(app))
        await type_in(pilot, ".4")
        await press(pilot, "enter", "down", "down", "minus")
        await type_in(pilot, "strike line frayed")
        await press(pilot, "enter")
        check_golden(f"first-hour-some-{size[0]}x{size[1]}", text_of(app))


async def test_the_whole_sheet_of_a_longcase_by_the_number_pad(size: tuple[int, int], books: Books) -> None:
    book = new(books("empty"), kind="longcase")
    async with running(book, size, now=lambda: NOW + timedelta(minutes=40)) as (app, pilot):
        await press(pilot, "enter", "b")
        for figures in ("5.4", "6.1", "905"):
            await type_in(pilot, figures)
            await press(pilot, "enter")
        await press(pilot, "plus")
        for figures in ("1.9", "2.1", "2.9"):
            await type_in(pilot, figures)
            await press(pilot, "enter")
        await press(pilot, "plus", "plus", "plus")
        clock, facts = book_of(book, "2440")
        assert (clock.strike_kg, clock.going_kg, clock.bob_below_top_mm) == (5.4, 6.1, 905)
        assert clock.unlock_deg == 2.1, "the worse side"
        assert facts[-5].note == "first hour: unlocks right: 2.1°"
        assert facts[-4].amplitude_deg == 2.9
        assert [fact.note for fact in facts[-3:]] == [
            "first hour: cannon friction: right",
            "first hour: hands: right",
            "first hour: dial and glass: right",
        ]
        assert " MISSING" in text_of(app)
        assert "?" not in "".join(line[:4] for line in text_of(app).splitlines()), "nothing is missing any more"


async def test_an_answer_is_taken_back_whole(size: tuple[int, int], books: Books) -> None:
    book = new(books("empty"), kind="mantel", trains="going")
    async with running(book, size) as (_, pilot):
        await press(pilot, "enter", "b", "asterisk")
        before = len(book_of(book, "2440")[1])
        await type_in(pilot, "4.2")
        await press(pilot, "enter")
        assert book_of(book, "2440")[0].unlock_deg == 4.2
        await press(pilot, "u")
        clock, facts = book_of(book, "2440")
        assert (clock.unlock_deg, len(facts)) == (None, before)


async def test_a_balance_is_one_figure(size: tuple[int, int], books: Books) -> None:
    book = new(books("empty"), kind="carriage", trains="going")
    async with running(book, size) as (app, pilot):
        await press(pilot, "enter", "b", "down", "7")
        assert "is no balance" in text_of(app)
        await press(pilot, "escape", "2")
        assert book_of(book, "2440")[0].balance == "cut"


async def test_what_is_not_right_is_said_and_stays_missing(size: tuple[int, int], books: Books) -> None:
    book = new(books("empty"), kind="torsion")
    async with running(book, size) as (app, pilot):
        await press(pilot, "enter", "b")
        screen = app.screen
        assert isinstance(screen, FirstHourScreen)
        while screen.line is not None and screen.line.title != "hands":
            await press(pilot, "down")
        await press(pilot, "n", "enter")
        assert "nothing typed yet" in text_of(app)
        await type_in(pilot, "[b]minute hand bent")
        await press(pilot, "enter")
        assert book_of(book, "2440")[1][-1].note == "first hour: hands: [b]minute hand bent"
        await press(pilot, "up")
        shown = next(line for line in text_of(app).splitlines() if " hands " in line)
        assert "!" in shown[:4]
        assert "[b]minute" in shown


async def test_what_is_no_figure_keeps_nothing(size: tuple[int, int], books: Books) -> None:
    book = new(books("empty"), kind="longcase")
    async with running(book, size) as (app, pilot):
        await press(pilot, "enter", "b", "enter")
        await type_in(pilot, "heavy")
        await press(pilot, "enter")
        assert "is no figure" in text_of(app)
        assert book_of(book, "2440")[0].strike_kg is None
        await press(pilot, "escape", "9")
        await type_in(pilot, "999")
        await press(pilot, "enter")
        assert "kg" in text_of(app)
        assert book_of(book, "2440")[0].strike_kg is None, "nobody hangs ten tons"


async def test_back_to_the_clocks_page(size: tuple[int, int], books: Books) -> None:
    async with running(new(books("empty"), kind="reference"), size) as (app, pilot):
        await press(pilot, "enter", "b", "enter", "plus", "5", "down", "slash")
        assert "has no start sheet" in text_of(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, ClockScreen)
