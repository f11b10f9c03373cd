"""Regulate: as it looks, and every key of it over a real book, at both sizes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.model.words import Work
from standwatch.tui.screens.clock import ClockScreen
from standwatch.tui.screens.regulate import RegulateScreen
from standwatch.tui.screens.stand import StandScreen
from standwatch.tui.widgets.bar import EntryLine
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, text_of, type_in
from tests.tui.shop import NOW, open_shop
from tests.tui.test_winding import facts

Books = Callable[[str], Path]
pytestmark = pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])


@pytest.mark.parametrize(
    ("name", "tag", "keys"),
    [
        ("turn", "2405", []),
        ("again", "2417", []),
        ("leave", "2398", []),
        ("unknown", "2425", []),
        ("index", "2419", []),
        ("asked", "2405", ["enter"]),
        ("turned", "2405", ["enter", "enter"]),
    ],
)
async def test_how_it_looks(name: str, tag: str, keys: list[str], size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow(tag)
        await press(pilot, "g", *keys)
        check_golden(f"regulate-{name}-{size[0]}x{size[1]}", text_of(app))


async def test_from_the_stand_and_from_a_clocks_page(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2405")
        await press(pilot, "g")
        assert "LOWER THE BOB" in text_of(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, StandScreen)
        await press(pilot, "enter", "g")
        assert "LOWER THE BOB" in text_of(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, ClockScreen)
        await press(pilot, "escape")
        app.follow("2425")
        await press(pilot, "g")
        assert "LEAVE IT" in text_of(app)


async def test_enter_twice_keeps_what_was_advised(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2405")
        before = len(facts(shop_book, "2405"))
        await press(pilot, "g", "enter")
        advised = float(app.screen.query_one(EntryLine).value)
        assert "lowers the bob" in text_of(app)
        assert len(facts(shop_book, "2405")) == before, "seen before it is kept"
        await press(pilot, "enter")
        fact = facts(shop_book, "2405")[-1]
        assert (fact.work, fact.amount, fact.at) == (Work.NUT, advised, NOW)
        assert advised < 0
        assert "Read it once more now" in text_of(app)
        assert "settles until" in text_of(app)
        await press(pilot, "u")
        assert len(facts(shop_book, "2405")) == before
        assert "LOWER THE BOB" in text_of(app)


@pytest.mark.parametrize(
    ("keys", "amount"), [("3/8", -0.375), ("+0.5", 0.5), (".25", None), ("0.25", -0.25), ("-1 1/2", -1.5)]
)
async def test_figures_say_how_far(keys: str, amount: float | None, size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2405")
        await press(pilot, "g")
        before = len(facts(shop_book, "2405"))
        await type_in(pilot, keys)
        await press(pilot, "enter")
        if amount is None:
            assert len(facts(shop_book, "2405")) == before
            assert "not understood" in text_of(app)
        else:
            assert facts(shop_book, "2405")[-1].amount == amount


async def test_without_advice_the_way_is_asked(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2425")
        await press(pilot, "g", "5", "enter")
        assert "which way?" in text_of(app)
        await press(pilot, "escape", "plus", "5", "enter")
        assert (facts(shop_book, "2425")[-1].work, facts(shop_book, "2425")[-1].amount) == (Work.NUT, 5)


async def test_a_reading_is_taken_blind_here_too(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2405")
        await press(pilot, "g", "space")
        assert "Read first" in text_of(app)
        await type_in(pilot, "+90")
        await press(pilot, "enter")
        assert facts(shop_book, "2405")[-1].error_s == 90
        await press(pilot, "t")
        assert "TOUCHED" in text_of(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, RegulateScreen)


async def test_a_turn_the_other_way_is_turned_round_by_one_key(size: tuple[int, int], books: Books) -> None:
    book = books("empty")
    stand = open_shop(book)
    stand.add_clock({"tag": "2426", "kind": "longcase"}, NOW)
    for ago in range(30, -1, -1):
        error = 10 * (30 - ago) if ago >= 20 else 100 + 20 * (20 - ago)
        cells: dict[str, object] = {"tag": "2426", "at": NOW - timedelta(days=ago), "error_s": error}
        stand.check_in(cells | ({"work": "nut", "amount": -0.4} if ago == 20 else {}), NOW)
    stand.close()
    async with running(book, size) as (app, pilot):
        await press(pilot, "g")
        assert "the opposite of what was told" in " ".join(text_of(app).split())
        await press(pilot, "x")
        assert [fact.amount for fact in facts(book, "2426") if fact.work is Work.NUT] == [0.4]
        assert "THE OTHER WAY" in text_of(app)
        await press(pilot, "escape")
        assert app.screen.check_action("other_way", ()) is None


async def test_a_reference_is_never_regulated(size: tuple[int, int], empty_book: Path) -> None:
    stand = open_shop(empty_book)
    stand.add_clock({"tag": "REF", "kind": "reference"}, NOW)
    stand.check_in({"tag": "REF", "error_s": 0}, NOW)
    stand.close()
    async with running(empty_book, size) as (app, pilot):
        await press(pilot, "g", "enter", "5")
        assert "LEAVE IT" in text_of(app)
        assert len(facts(empty_book, "REF")) == 1
