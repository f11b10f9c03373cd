"""Stoppage: as it looks, and every key of it over a real book, at both sizes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.model.facts import CheckIn
from standwatch.model.words import Work
from standwatch.tui.app import StandwatchApp
from standwatch.tui.screens.clock import ClockScreen
from standwatch.tui.screens.stoppage import StoppageScreen
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, settle, text_of, type_in
from tests.tui.shop import NOW, open_shop
from tests.tui.test_winding import facts

Books = Callable[[str], Path]
pytestmark = pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])


def current(book: Path, tag: str) -> list[CheckIn]:
    """The facts that count, in order of time."""
    stand = open_shop(book)
    try:
        return [record.body for record in stand.facts(tag)]
    finally:
        stand.close()


def stopping(book: Path, *, hangs: bool = False) -> None:
    """A longcase that stopped five times just before the hour, each stop set going again; one of them explained."""
    stand = open_shop(book)
    stand.add_clock({"tag": "2430", "kind": "longcase", "position": "D1", "bob_below_top_mm": 900}, NOW)
    begun = NOW - timedelta(days=26)
    stand.check_in({"tag": "2430", "at": begun, "work": "wound", "error_s": 0}, NOW)
    for n, dial in enumerate(["5:56", "9:57", "2:57", "11:58", "6:57"]):
        at = begun + timedelta(days=4 * n + 1)
        stand.check_in({"tag": "2430", "at": at, "error_s": 2 * n, "going_mm": 165}, NOW)
        found = at + timedelta(days=1)
        cells: dict[str, object] = {"work": "stopped", "dial": dial, "going_mm": 165 + 20 * n}
        if n == 1:
            cells |= {"explained": "yes", "note": "line off its pulley"}
        stand.check_in({"tag": "2430", "at": found, **cells}, NOW)
        if hangs and n == 4:
            break
        stand.check_in({"tag": "2430", "at": found + timedelta(minutes=5), "work": "restarted"}, NOW)
        stand.check_in({"tag": "2430", "at": found + timedelta(minutes=6), "work": "wound", "error_s": 0}, NOW)
    stand.close()


async def open_at(app: StandwatchApp, tag: str, pilot: object, *keys: str) -> None:
    app.follow(tag)
    await press(pilot, "enter", "o", *keys)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "tag", "keys"),
    [
        ("hangs", "2411", ["escape"]),
        ("caught", "2411", []),
        ("dial", "2418", []),
        ("weight", "2418", ["3", "4", "7", "8", "2"]),
        ("told", "2418", [*"347", *"440", *"440", "minus", "enter", "1"]),
    ],
)
async def test_how_it_looks(name: str, tag: str, keys: list[str], size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        await open_at(app, tag, pilot, *keys)
        check_golden(f"stoppage-{name}-{size[0]}x{size[1]}", text_of(app))


@pytest.mark.parametrize("name", ["gathered", "again"])
async def test_how_stops_that_gather_look(name: str, size: tuple[int, int], books: Books) -> None:
    book = books("empty")
    stopping(book, hangs=name == "again")
    async with running(book, size) as (app, pilot):
        await press(pilot, "o", *(["escape"] if name == "again" else []))
        check_golden(f"stoppage-{name}-{size[0]}x{size[1]}", text_of(app))


async def test_each_answer_is_kept_at_once(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        before = len(current(book, "2418"))
        await open_at(app, "2418", pilot)
        assert "DIAL?" in text_of(app)
        assert len(current(book, "2418")) == before, "nothing is kept before it is told"
        await press(pilot, "3", "4", "7")
        stop = current(book, "2418")[-1]
        assert (stop.work, stop.dial, stop.at) == (Work.STOPPED, "3:47", NOW)
        assert "left, strike" in text_of(app).lower()
        await type_in(pilot, "820")
        assert current(book, "2418")[-1].strike_mm == 820
        await type_in(pilot, "890")
        await press(pilot, "7", "enter", "enter", "2")
        stop = current(book, "2418")[-1]
        assert (stop.dial, stop.strike_mm, stop.going_mm, stop.moon_age_d) == ("3:47", 820, 890, 7)
        assert (stop.work, stop.note) == (Work.STOPPED, "swings when pushed, then dies")
        assert len(current(book, "2418")) == before + 1, "one stop, corrected"
        assert "WHEN IT STOPPED" in text_of(app)
        assert "%" in text_of(app)


async def test_the_going_weight_tells_whether_it_ran_out(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        await open_at(app, "2418", pilot, "3", "4", "7", "minus")
        await type_in(pilot, "1400")
        await press(pilot, "minus")
        assert "Enter alone: ran out" in text_of(app), "a weight at its floor has run out, as far as a scale tells"
        await press(pilot, "enter")
        assert current(book, "2418")[-1].work is Work.RAN_OUT
        await press(pilot, "escape", "o", "7", "enter", *"900", "minus")
        await press(pilot, "escape", "t", "w", "enter")
        assert current(book, "2418")[-1].work is Work.WOUND


async def test_point_takes_the_last_answer_back(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        before = len(current(book, "2418"))
        await open_at(app, "2418", pilot, "3", "4", "7")
        await type_in(pilot, "820")
        await press(pilot, "full_stop")
        assert current(book, "2418")[-1].strike_mm is None
        assert "left, strike" in text_of(app).lower()
        await press(pilot, "full_stop")
        assert len(current(book, "2418")) == before
        await press(pilot, "4", "0", "7")
        assert current(book, "2418")[-1].dial == "4:07"


async def test_passing_over_everything_keeps_what_is_certain(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        await open_at(app, "2418", pilot, "enter", "enter", "enter", "enter")
        await press(pilot, "1")
        stop = current(book, "2418")[-1]
        assert (stop.work, stop.dial, stop.note) == (Work.STOPPED, None, None)


async def test_figures_typed_in_one_go_are_all_kept(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        await open_at(app, "2418", pilot)
        await type_in(pilot, "347440440-13")
        stop = current(book, "2418")[-1]
        assert (stop.dial, stop.strike_mm, stop.going_mm) == ("3:47", 440, 440)
        assert (stop.work, stop.note) == (Work.STOPPED, "swings on, the escape wheel stands")


async def test_what_no_dial_shows_is_said_and_asked_again(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        before = len(current(book, "2418"))
        await open_at(app, "2418", pilot)
        await type_in(pilot, "1")
        await press(pilot, "enter")
        assert "not what a dial can show" in " ".join(text_of(app).split())
        assert len(current(book, "2418")) == before


async def test_words_say_where_it_was_caught(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        await open_at(app, "2411", pilot)
        await type_in(pilot, "[fly] loose")
        await press(pilot, "enter")
        assert current(book, "2411")[-1].note == "[fly] loose"
        assert "[fly] loose" in text_of(app)


async def test_restarted_and_taken_back(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        await open_at(app, "2411", pilot, "4")
        await press(pilot, "r")
        assert current(book, "2411")[-1].work is Work.RESTARTED
        await press(pilot, "u")
        assert current(book, "2411")[-1].work is Work.STOPPED


async def test_a_stop_is_explained_with_its_reason(size: tuple[int, int], books: Books) -> None:
    book = books("empty")
    stopping(book)
    async with running(book, size) as (app, pilot):
        await press(pilot, "o")
        assert "not explained" in text_of(app)
        await press(pilot, "e", "enter")
        assert "what was it?" in text_of(app)
        await type_in(pilot, "minute hand touched the seconds hand")
        await press(pilot, "enter")
        stops = [fact for fact in current(book, "2430") if fact.work is Work.STOPPED]
        assert (stops[-1].explained, stops[-1].note) == (True, "minute hand touched the seconds hand")
        assert "EXPLAINED" in text_of(app)
        await press(pilot, "u", "u")
        assert [fact for fact in current(book, "2430") if fact.work is Work.STOPPED][-1].explained is None


async def test_a_reason_is_added_to_what_was_seen(size: tuple[int, int], books: Books) -> None:
    book = books("demo")
    async with running(book, size) as (app, pilot):
        await open_at(app, "2411", pilot, "5")
        await press(pilot, "plus")
        await type_in(pilot, "bent")
        await press(pilot, "enter")
        assert current(book, "2411")[-1].note == "hands touch; bent"


async def test_moving_over_earlier_stops(size: tuple[int, int], books: Books) -> None:
    book = books("empty")
    stopping(book)
    async with running(book, size) as (app, pilot):
        await press(pilot, "o")
        screen = app.screen
        assert isinstance(screen, StoppageScreen)
        await press(pilot, "down", "j", "2", "2", "2", "2")
        assert screen._cursor == 4
        assert "5:56" in text_of(app)
        await press(pilot, "up", "k", "8")
        assert screen._cursor == 1
        await press(pilot, "o")
        assert "DIAL?" in text_of(app), "found stopped once more"
        await press(pilot, "escape", "slash")
        assert not isinstance(app.screen, StoppageScreen)


async def test_from_a_clocks_page_and_back(size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        await open_at(app, "2398", pilot, "escape", "escape")
        assert isinstance(app.screen, ClockScreen)


async def test_what_gathers_is_named(size: tuple[int, int], books: Books) -> None:
    book = books("empty")
    stopping(book)
    async with running(book, size) as (app, pilot):
        await press(pilot, "o")
        await settle(pilot)
        assert "all 4 at 56 to 58 minutes past" in " ".join(text_of(app).split())


def test_facts_are_read_in_the_order_recorded(size: tuple[int, int], books: Books) -> None:
    book = books("empty")
    stopping(book)
    assert facts(book, "2430")[0].work is Work.WOUND
