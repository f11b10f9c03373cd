"""`/` on the stand: by tag, slot, owner and words; what a wedge scanner types opens the clock."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from textual import events
from textual.widgets import Input

from standwatch.service.finding import find
from standwatch.tui.screens.clock import ClockScreen
from standwatch.tui.screens.stand import StandScreen
from standwatch.tui.widgets.bar import Bar
from standwatch.tui.widgets.table import StandTable
from tests.tui.screens import SMALL, WIDE, press, running, text_of, type_in
from tests.tui.shop import NOW, SHOP, make_book, open_shop

Books = Callable[[str], Path]


@pytest.mark.parametrize(
    ("typed", "tags", "sure"),
    [
        ("2417", ["2417"], True),
        ("  2417 ", ["2417"], True),
        ("a3", ["2417"], True),
        ("quill", ["2417"], True),
        ("orrin longc", ["2398"], True),
        ("longcase", ["2398", "2420", "2418"], False),
        ("240", ["2405", "2402", "2409", "2407"], False),
        ("nobody", [], False),
        ("   ", [], False),
    ],
)
def test_what_fits(typed: str, tags: list[str], sure: bool, shop_book: Path) -> None:  # noqa: FBT001  # a table
    stand = open_shop(shop_book)
    view = stand.view(NOW)
    stand.close()
    found = find(typed, sorted(view.assessments, key=lambda told: told.estimates.history.position or ""))
    assert [told.tag for told in found.clocks] == tags
    assert found.sure == sure


def test_a_whole_tag_goes_before_a_slot_that_reads_alike(tmp_path: Path) -> None:
    shop = (replace(SHOP[0], tag="A2", position="B1"), replace(SHOP[1], tag="7", position="A2"))
    stand = open_shop(make_book(tmp_path / "book.sqlite", shop))
    found = find("a2", stand.view(NOW).assessments)
    stand.close()
    assert [told.tag for told in found.clocks] == ["A2", "7"]
    assert found.sure


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
@pytest.mark.parametrize("keys", [["slash", *"2417"], [*"2417"]], ids=["after /", "at once"])
async def test_a_scanner_types_a_tag_and_enter(keys: list[str], size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        await pilot.press(*keys, "enter")
        await press(pilot)
        assert isinstance(app.screen, ClockScreen)
        assert app.screen.chosen is not None
        assert app.screen.chosen.tag == "2417"
        await press(pilot, "escape")
        assert isinstance(app.screen, StandScreen)
        assert app.screen.query_one(StandTable).chosen == "2417", "the stand came along"
        assert app.screen.query_one(Bar).mode == "rest"


@pytest.mark.parametrize("keys", ["/2417", "2417"], ids=["after /", "at once"])
async def test_a_scanner_types_faster_than_the_screen_follows(keys: str, shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (app, pilot):
        for key in keys:
            name = {"/": "slash"}.get(key, key)
            app.post_message(events.Key(name, key))  # all of them before the first is seen
        app.post_message(events.Key("enter", "\r"))
        await press(pilot)
        assert isinstance(app.screen, ClockScreen)
        assert app.screen.chosen is not None
        assert app.screen.chosen.tag == "2417"


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
async def test_what_is_typed_so_far_says_whom_it_fits(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        await press(pilot, "slash")
        await type_in(pilot, "longcase")
        shown = text_of(app)
        assert "A5 2420" in shown.split("FIND")[1]
        assert "and 1 more; type more of it" in shown
        await press(pilot, "enter")
        assert "3 clocks fit: " in text_of(app)
        assert isinstance(app.screen, StandScreen)
        await press(pilot, "escape")
        assert app.screen.query_one(Bar).mode == "rest"


async def test_whom_nothing_fits_the_book_is_asked(shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (app, pilot):
        await press(pilot, "slash")
        app.screen.query_one(Input).value = "24171"
        await press(pilot, "enter")
        assert "no clock is called '24171'" in text_of(app)
        await press(pilot, "escape", "slash", "enter")
        assert "nothing typed yet" in text_of(app)


async def test_brackets_scanned_are_text(books: Books) -> None:
    async with running(books("odd"), SMALL) as (app, pilot):
        await press(pilot, "slash")
        app.screen.query_one(Input).value = "[bold]no 1[/]"
        await press(pilot)
        assert "[bold]No 1[/]" in text_of(app).split("FIND")[1]
        await press(pilot, "enter")
        assert isinstance(app.screen, ClockScreen)
