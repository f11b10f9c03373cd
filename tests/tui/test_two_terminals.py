"""Two terminals on one book: each follows the other, and neither loses what the other wrote."""

from collections.abc import Callable
from pathlib import Path
from time import monotonic
from typing import Any

from textual.pilot import Pilot

from standwatch.tui.app import StandwatchApp
from standwatch.tui.widgets.bar import EntryLine
from standwatch.tui.widgets.table import StandTable
from tests.tui.screens import SMALL, WIDE, press, running, text_of, type_in
from tests.tui.shop import open_shop


async def until(pilot: Pilot[Any], seen: Callable[[], bool]) -> float:
    """How long it takes until something is seen; three seconds at most."""
    begun = monotonic()
    while not seen() and monotonic() - begun < 3:
        await pilot.pause(0.05)
    assert seen()
    return monotonic() - begun


def unread(app: StandwatchApp, tag: str) -> bool:
    told = app.assessment(tag)
    return told is None or told.unread_today


async def test_each_follows_the_other(shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (first, at_first), running(shop_book, WIDE) as (second, at_second):
        first.follow("2418")
        second.follow("2407")
        await press(at_first, "space")
        await type_in(at_first, "+3")
        await press(at_first, "enter")
        took = await until(at_second, lambda: not unread(second, "2418"))
        assert took < 2
        await press(at_second, "space")
        await type_in(at_second, "-50")
        await press(at_second, "enter")
        await until(at_first, lambda: not unread(first, "2407"))
        assert second.screen.query_one(StandTable).chosen == "2407", "each keeps its own cursor"
        assert first.screen.query_one(StandTable).chosen == "2418"


async def test_what_is_being_typed_stays_while_the_other_writes(shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (first, at_first), running(shop_book, SMALL) as (second, at_second):
        first.follow("2418")
        second.follow("2407")
        await press(at_second, "space")
        await type_in(at_second, "-5")
        await press(at_first, "space")
        await type_in(at_first, "+3")
        await press(at_first, "enter")
        await until(at_second, lambda: not unread(second, "2418"))
        assert second.screen.query_one(EntryLine).value == "-5"
        assert isinstance(second.focused, EntryLine)
        await type_in(at_second, "0")
        await press(at_second, "enter")
    stand = open_shop(shop_book)
    kept = {tag: max(stand.facts(tag), key=lambda record: record.sequence).body.error_s for tag in ("2418", "2407")}
    stand.close()
    assert kept == {"2418": 3, "2407": -50}


async def test_what_one_takes_back_is_gone_for_the_other(shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (first, at_first), running(shop_book, SMALL) as (second, at_second):
        for app, pilot in ((first, at_first), (second, at_second)):
            app.follow("2418")
            await press(pilot)
        await press(at_first, "space")
        await type_in(at_first, "+3")
        await press(at_first, "enter")
        await until(at_second, lambda: not unread(second, "2418"))
        await press(at_second, "u")
        assert "TAKE THIS BACK?" in text_of(second)
        await press(at_second, "u")
        await until(at_first, lambda: unread(first, "2418"))
