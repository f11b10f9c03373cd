"""Winding: as it looks, and every key of it over a real book, at both sizes."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot

from standwatch.model.facts import CheckIn
from standwatch.model.words import Train, Work
from standwatch.tui.app import StandwatchApp
from standwatch.tui.screens.stand import StandScreen
from standwatch.tui.screens.winding import WindingScreen
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, text_of, type_in
from tests.tui.shop import NOW, open_shop

Books = Callable[[str], Path]
pytestmark = pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])


def facts(book: Path, tag: str) -> list[CheckIn]:
    """In the order in which they were recorded."""
    stand = open_shop(book)
    try:
        return [record.body for record in sorted(stand.facts(tag), key=lambda record: record.sequence)]
    finally:
        stand.close()


def screen_of(app: StandwatchApp) -> WindingScreen:
    assert isinstance(app.screen, WindingScreen)
    return app.screen


def to_line(app: StandwatchApp, tag: str, name: str) -> None:
    """Put the cursor on a train."""
    screen = screen_of(app)
    assert screen._board is not None
    at = next(n for n, each in enumerate(screen._board.lines) if (each.tag, each.name) == (tag, name))
    screen.action_move(at - screen._cursor)


@asynccontextmanager
async def winding(books: Books, size: tuple[int, int]) -> AsyncIterator[tuple[StandwatchApp, Pilot[None], Path]]:
    """The demo stand's winding, opened."""
    book = books("demo")
    async with running(book, size) as (app, pilot):
        await press(pilot, "w")
        yield app, pilot, book


@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("first", []),
        ("asked", ["down", "w"]),
        ("wound", ["down", "down", "down", "down", "1", "2", "enter"]),
        ("let", ["down", "o"]),
        ("marked", ["space", "space", "end"]),
    ],
)
async def test_how_it_looks(name: str, keys: list[str], size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        await press(pilot, "w", *keys)
        check_golden(f"winding-{name}-{size[0]}x{size[1]}", text_of(app))


async def test_how_it_looks_without_a_clock(size: tuple[int, int], books: Books) -> None:
    async with running(books("empty"), size) as (app, pilot):
        await press(pilot, "w", "w", "o", "space", "a", "u", "c", "5", "down", "end")
        assert "No train to wind" in text_of(app)


async def test_enter_alone_is_fully_and_the_press_is_its_time(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, book):
        to_line(app, "2396", "going")
        before = len(facts(book, "2396"))
        await press(pilot, "w")
        assert "Enter alone: fully" in text_of(app)
        await press(pilot, "enter")
        told = facts(book, "2396")
        assert len(told) == before + 1
        assert (told[-1].work, told[-1].train, told[-1].amount, told[-1].at) == (Work.WOUND, Train.GOING, None, NOW)


async def test_a_figure_begins_the_turns(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, book):
        to_line(app, "2396", "strike")
        await press(pilot, "1")
        await type_in(pilot, "2.5")
        assert "12.5 turns of the key" in text_of(app)
        await press(pilot, "enter")
        assert (facts(book, "2396")[-1].train, facts(book, "2396")[-1].amount) == (Train.STRIKE, 12.5)
        before = len(facts(book, "2396"))
        await press(pilot, "u")
        assert len(facts(book, "2396")) == before - 1
        assert "TAKEN BACK" in text_of(app)


async def test_what_is_not_a_number_keeps_nothing(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, book):
        to_line(app, "2396", "strike")
        before = len(facts(book, "2396"))
        await press(pilot, "w")
        await type_in(pilot, "1o")
        await press(pilot, "enter")
        assert "not understood" in text_of(app)
        await press(pilot, "escape")
        assert len(facts(book, "2396")) == before
        assert isinstance(app.screen, WindingScreen)


async def test_the_whole_clock_is_one_key(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, book):
        to_line(app, "2391", "chime")
        await press(pilot, "c")
        fact = facts(book, "2391")[-1]
        assert (fact.work, fact.train, fact.amount) == (Work.WOUND, None, None)


async def test_marked_ones_are_wound_together_and_taken_back_together(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, book):
        assert screen_of(app).check_action("all_marked", ()) is None
        counts = {tag: len(facts(book, tag)) for tag in ("2396", "2419")}
        for tag, name in (("2396", "going"), ("2396", "strike"), ("2419", "strike")):
            to_line(app, tag, name)
            await press(pilot, "space")
        assert "●" in text_of(app)
        await press(pilot, "slash")
        assert [fact.train for fact in facts(book, "2396")[counts["2396"] :]] == [None], "one fact for both"
        assert [fact.train for fact in facts(book, "2419")[counts["2419"] :]] == [Train.STRIKE]
        assert "●" not in text_of(app)
        await press(pilot, "full_stop")
        assert {tag: len(facts(book, tag)) for tag in counts} == counts


async def test_a_mark_is_taken_off_again(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        await press(pilot, "w", "0", "up", "space")
        assert "●" not in text_of(app)


async def test_a_clock_that_ran_out_is_wound_and_set_going(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, book):
        to_line(app, "2409", "both")
        assert screen_of(app).check_action("restarted", ()) is None
        await press(pilot, "plus", "enter")
        to_line(app, "2409", "both")
        await press(pilot, "r")
        assert [fact.work for fact in facts(book, "2409")[-2:]] == [Work.WOUND, Work.RESTARTED]


async def test_one_that_stopped_is_said_to_be_read_first(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, _book):
        to_line(app, "2411", "both")
        await press(pilot, "w")
        assert "read dial and weights before it is wound" in text_of(app).replace("\n ", " ")


async def test_one_that_stopped_is_neither_marked_nor_wound_by_one_key(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, book):
        to_line(app, "2411", "both")
        before = len(facts(book, "2411"))
        await press(pilot, "space")
        assert "NOT MARKED" in text_of(app)
        assert "●" not in text_of(app)
        await press(pilot, "c")
        assert len(facts(book, "2411")) == before, "asked about first"
        await press(pilot, "enter")
        assert facts(book, "2411")[-1].work is Work.WOUND, "he may have read it on paper"


async def test_letting_run_out_only_explains(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, book):
        before = len(facts(book, "2396"))
        to_line(app, "2396", "going")
        await press(pilot, "o")
        assert "LET RUN OUT?  B6  2396  going" in text_of(app)
        await press(pilot, "escape")
        assert "LET RUN OUT?" not in text_of(app)
        assert len(facts(book, "2396")) == before


async def test_cautions_are_said_once_a_day(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, _book):
        assert "Weight clear, feet clear" in text_of(app)
        await press(pilot, "escape", "w")
        assert "Weight clear, feet clear" not in text_of(app)


async def test_moving_over_all_trains(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        await press(pilot, "w", "end")
        screen = screen_of(app)
        assert screen._board is not None
        assert screen._cursor == len(screen._board.lines) - 1
        assert "›" in text_of(app)
        await press(pilot, "pageup", "k", "minus", "home", "j", "enter", "pagedown", "home")
        assert screen._cursor == 0
        await press(pilot, "escape")
        assert isinstance(app.screen, StandScreen)


async def test_a_clock_wound_elsewhere_moves_in_the_list(size: tuple[int, int], books: Books) -> None:
    async with winding(books, size) as (app, pilot, book):
        screen = screen_of(app)
        assert screen._board is not None
        above = screen._board.above
        stand = open_shop(book)
        stand.check_in({"tag": "2396", "work": "wound"}, NOW)
        stand.close()
        app.look()
        await press(pilot)
        assert screen._board.above < above
