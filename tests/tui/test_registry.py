"""The one registry: every key of every screen is in it, with words and help, and can be found where it works."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest
from textual.binding import Binding
from textual.dom import DOMNode

import standwatch.tui.screens
from standwatch.tui.actions import ACTIONS, Place, at
from standwatch.tui.app import StandwatchApp
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.screens.help import HelpScreen
from standwatch.tui.widgets.bar import Bar, EntryLine, WorkPicker
from tests.tui.screens import SMALL, WIDE, press, running, text_of

PLACES: tuple[Place, ...] = tuple(place for place in get_args(Place) if at(place))
OURS = "standwatch.tui"


def nodes() -> Iterator[type[DOMNode]]:
    """Every screen and widget of ours that has keys of its own."""
    for found in pkgutil.walk_packages(standwatch.tui.screens.__path__, f"{standwatch.tui.screens.__name__}."):
        importlib.import_module(found.name)
    waiting: list[type[DOMNode]] = [DOMNode]
    while waiting:
        node = waiting.pop()
        waiting += node.__subclasses__()
        if node.__module__.startswith(OURS) and node.__dict__.get("BINDINGS"):
            yield node


NODES = sorted(set(nodes()), key=lambda node: node.__qualname__)


def test_every_place_s_keys_are_those_of_a_screen_or_a_widget() -> None:
    bound = {str(each.id).partition(".")[0] for node in NODES for each in node.BINDINGS if isinstance(each, Binding)}
    assert bound >= set(PLACES)


@pytest.mark.parametrize("node", NODES, ids=lambda node: node.__name__)
def test_a_screen_s_keys_come_from_the_registry_alone(node: type[DOMNode]) -> None:
    known = {f"{place}.{action.id}": action for place in PLACES for action in at(place)}
    for each in node.BINDINGS:
        assert isinstance(each, Binding), each
        assert each.id in known, each
        assert (each.action, each.tooltip) == (known[each.id].id, known[each.id].help)


@pytest.mark.parametrize("node", [node for node in NODES if issubclass(node, HandsScreen)], ids=lambda n: n.__name__)
def test_every_action_of_a_screen_can_be_done(node: type[DOMNode]) -> None:
    """Textual passes over an action that nobody has, without a word."""
    for each in node.BINDINGS:
        assert isinstance(each, Binding)
        name = each.action.partition("(")[0]
        owner = StandwatchApp if name.startswith("app.") else node
        assert hasattr(owner, f"action_{name.removeprefix('app.')}"), each.action


@pytest.mark.parametrize("place", PLACES)
def test_every_action_has_words_and_a_sentence(place: Place) -> None:
    for action in at(place):
        assert action.words, action.id
        assert action.shown, action.id
        assert action.help[0].isupper(), action.id
        assert action.help.endswith((".", "?")), action.id
        assert len(action.help.split()) >= 2, action.id


@pytest.mark.parametrize("place", [place for place in PLACES if place not in {"works", "help"}])
def test_every_place_has_a_key_for_help(place: Place) -> None:
    assert any(action.words == "help" for action in at(place))


@pytest.mark.parametrize("place", ["works", "help"])
def test_a_place_without_help_shows_all_of_its_keys(place: Place) -> None:
    assert all(action.foot for action in at(place))


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
async def test_help_of_every_place_names_every_key_of_it(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        for place in PLACES:
            app.show_help(place)
            await press(pilot)
            assert isinstance(app.screen, HelpScreen)
            page = " ".join(str(app.screen.query_one("#help-page").render()).split())
            assert "KEYS here" not in page or place in {"works", "help"}, f"{place} has no title"
            for action in at(place):
                assert " ".join(action.help.split()) in page, action.id
                assert action.shown in page, action.id
            await press(pilot, "escape")


async def test_what_help_doesn_t_reach_the_bottom_line_shows(shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (app, pilot):
        await press(pilot, "t")
        assert "Esc leave" in text_of(app).splitlines()[-1]


def test_no_action_stands_twice_at_a_place() -> None:
    for place in PLACES:
        names = [action.id for action in at(place)]
        assert len(names) == len(set(names)), place


def test_places_have_no_keys_that_only_the_palette_s_users_find() -> None:
    """A movement is in help alone; everything else is in the bottom line or in the palette as well."""
    hidden = [action.id for action in ACTIONS if not (action.foot or action.palette)]
    assert {name.partition("(")[0] for name in hidden} <= {"move", "page", "end", "quiet", "app.quit"}


# the mouse


async def test_the_bottom_line_can_be_clicked_in_every_mode(shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (app, pilot):
        app.follow("2417")

        async def click(words: str) -> None:
            await press(pilot)
            line = text_of(app).splitlines()[-1]
            await pilot.click(offset=(line.index(words), app.size.height - 1))
            await press(pilot)

        await click("t touched")
        assert app.screen.query_one(Bar).mode == "works"
        assert isinstance(app.focused, WorkPicker)
        await click("Esc leave")
        assert app.screen.query_one(Bar).mode == "rest"
        await click("Space read")
        assert isinstance(app.focused, EntryLine)
        await click("Enter take")
        assert "nothing typed yet" in text_of(app)
        await click("Esc leave")
        assert app.screen.query_one(Bar).mode == "rest"
        await click("Enter clock")
        await press(pilot, "escape")
        await click("? help")
        assert isinstance(app.screen, HelpScreen)


async def test_the_text_of_the_stand_can_be_copied(shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (app, pilot):
        app.screen.text_select_all()
        await pilot.pause()
        copied = app.screen.get_selected_text() or ""
        for word in ("STAND", "NEED YOU", "2417", "floor chm", "lower bob"):
            assert word in copied
        assert "\x1b" not in copied
        await press(pilot, "ctrl+c")
        assert "2417" in app.clipboard
