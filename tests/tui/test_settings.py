"""The person's settings on the real screens: keys, themes, what is wrong, and what is kept."""

import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from standwatch.service.personal.file import read_settings
from standwatch.service.personal.settings import settings_of
from standwatch.service.reference import ReferenceTime, by_kernel
from standwatch.tui.actions import ACTIONS, at
from standwatch.tui.app import StandwatchApp
from standwatch.tui.keys import Keys, key_words, keys_of
from standwatch.tui.personal import Own
from standwatch.tui.screens.clock import ClockScreen
from standwatch.tui.screens.help import HelpScreen
from standwatch.tui.widgets.bar import Bar
from tests.tui.screens import SMALL, WIDE, press, settle, text_of, type_in
from tests.tui.shop import NOW, open_shop

UNKEPT = by_kernel(5, 0x40, 16_000_000)


@asynccontextmanager
async def opened(
    book: Path,
    text: str = "",
    size: tuple[int, int] = SMALL,
    *,
    file: Path | None = None,
    ask: ReferenceTime | None = None,
) -> AsyncIterator[tuple[StandwatchApp, Pilot[Any]]]:
    """The app of a person with these settings."""
    own = Own(settings_of(text), file, None if ask is None else lambda: ask)
    app = StandwatchApp.over(lambda: open_shop(book), clock=lambda: NOW, own=own)
    async with app.run_test(size=size, notifications=True) as pilot:
        await settle(pilot)
        yield app, pilot


async def told(app: StandwatchApp, pilot: Pilot[Any]) -> str:
    """What is said, once something is."""
    for _ in range(40):
        if app._notifications:
            break
        await pilot.pause(0.05)
    return said(app)


def said(app: StandwatchApp) -> str:
    return " ".join(note.message for note in app._notifications)


# keys


def test_no_key_means_two_things_at_a_place() -> None:
    for place in {place for action in ACTIONS for place in action.places}:
        taken: dict[str, str] = {}
        for action in at(place):
            for key in action.keys:
                assert taken.setdefault(key, action.id) == action.id, f"{place}: {key}"


def test_a_moved_key_is_called_as_a_person_calls_it() -> None:
    keys, wrong = keys_of(settings_of('[keys]\nstand.read = ["ctrl+r", "kp"]\nstand.undo = "/"\nstand.find = "+"\n'))
    assert [each.line for each in wrong] == [2]
    shown = {action.id: keys.shown("stand", action) for action in at("stand")}
    assert (shown["undo"], shown["find"], shown["read"]) == ("/", "+", "Space")
    assert [key_words(key) for key in ("escape", "pageup", "question_mark", "ctrl+r", "f5", "R")] == [
        "Esc", "PgUp", "?", "Ctrl+R", "F5", "R",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "mend"),
    [
        ('stand.undo = "t"', "'t' is the key of stand.touched there already; give another, or move that too"),
        ('stand.undo = "sapce"', "did you mean space?"),
        ('stand.undoo = "z"', "no action is called 'stand.undoo'; did you mean stand.undo?"),
        ('here.undo = "z"', "no action is called 'here.undo'"),
        ('stand.undo = "ctrl+p"', "opens the command palette everywhere"),
        ('entry.save = "s"', "is typed into the line there"),
        ('works.leave = "w"', "picks a work there"),
        ('winding.number = "z"', "these are figures and stay"),
        ('stand.undo = ""', "is no key"),
    ],
)
def test_a_key_that_can_t_be_is_named_with_its_line(line: str, mend: str) -> None:
    settings = settings_of(f"[keys]\n\n{line}\n")
    keys, wrong = keys_of(settings)
    [told] = [*settings.wrong, *wrong]
    assert told.line == 3
    assert mend in told.sentence
    assert keys == Keys({})


def test_two_may_change_places_and_of_two_on_one_key_the_later_is_refused() -> None:
    keys, wrong = keys_of(settings_of('[keys]\nstand.undo = "t"\nstand.touched = "u"\n'))
    assert (dict(keys.moved), wrong) == ({"stand.undo": ("t",), "stand.touched": ("u",)}, ())
    keys, wrong = keys_of(settings_of('[keys]\nstand.undo = "z"\nstand.touched = "z"\n'))
    assert dict(keys.moved) == {"stand.undo": ("z",)}
    assert [told.line for told in wrong] == [3]


def test_a_refusal_that_brings_another_clash_is_refused_too() -> None:
    text = '[keys]\nstand.undo = "t"\nstand.touched = "g"\n'
    keys, wrong = keys_of(settings_of(text))
    assert not keys.moved, "touched can't have regulate's key, so undo can't have touched's"
    assert {told.line for told in wrong} == {2, 3}


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
async def test_a_moved_key_works_and_is_shown_and_the_old_one_doesn_t(size: tuple[int, int], shop_book: Path) -> None:
    text = '[keys]\nstand.touched = "x"\nclock.facts = ["f2"]\nworks.leave = "f9"\nentry.leave = "f9"\n'
    async with opened(shop_book, text, size) as (app, pilot):
        assert said(app) == ""
        assert "x touched" in text_of(app).splitlines()[-1]
        await press(pilot, "t")
        assert app.screen.query_one(Bar).mode == "rest"
        await press(pilot, "x")
        assert app.screen.query_one(Bar).mode == "works"
        await press(pilot, "f9")
        assert app.screen.query_one(Bar).mode == "rest"
        await press(pilot, "space", "f9")
        assert app.screen.query_one(Bar).mode == "rest"
        assert "touched (x)" in [command.title for command in app.get_system_commands(app.screen)]
        await press(pilot, "question_mark")
        page = str(app.screen.query_one("#help-page").render())
        assert re.search(r"^ x +Record work", page, re.MULTILINE)
        await press(pilot, "escape", "enter", "f2")
        assert isinstance(app.screen, ClockScreen)
        assert "standwatch correct" in text_of(app)
        if size == WIDE:
            assert "F2 facts" in text_of(app).splitlines()[-1]


async def test_of_a_screen_with_several_places_only_the_one_s_key_is_moved(shop_book: Path) -> None:
    async with opened(shop_book, '[keys]\nround.stopped = "s"\nround.note = "m"\n', WIDE) as (app, pilot):
        await press(pilot, "r")
        bound = app.screen._bindings.key_to_bindings
        assert [each.id for each in bound["s"]] == ["round.stopped"]
        assert {each.id for each in bound["x"]} >= {"round-take.stopped", "round-surprise.stopped"}
        assert "round.stopped" not in {each.id for each in bound["x"]}
        assert [each.id for each in bound["m"]][-1] == "round.note", "another place's m goes before"


def test_the_page_s_example_moves_its_keys() -> None:
    page = (Path(__file__).parents[2] / "docs" / "settings.md").read_text("utf-8")
    keys, wrong = keys_of(settings_of(page.split("```toml\n")[1].split("```")[0]))
    assert wrong == ()
    assert keys.moved


# what is wrong is said, and the rest holds


async def test_the_screens_open_with_the_rest_and_say_what_is_wrong(shop_book: Path) -> None:
    text = 'theme = "standwatch-lihgt"\nbell = maybe\n[keys]\nstand.undo = "t"\nstand.touched = "x"\n'
    async with opened(shop_book, text) as (app, pilot):
        first = await told(app, pilot)
        assert "settings.toml:1: no theme is called 'standwatch-lihgt'; did you mean standwatch-light?" in first
        assert "more: the end of the help lists them" in said(app)
        assert app.theme == "standwatch-dark"
        await press(pilot, "x")
        assert app.screen.query_one(Bar).mode == "works"
        await press(pilot, "escape", "question_mark")
        assert isinstance(app.screen, HelpScreen)
        app.screen.query_one("#help-scroll").scroll_end(animate=False)
        await pilot.pause()
        shown = text_of(app)
        assert "settings.toml:2:" in shown
        assert [told.line for told in app.wrong] == [1, 2]


async def test_a_thousand_wrong_lines_are_each_in_help(shop_book: Path) -> None:
    lines = [f'stand.a{n} = "x"' if n % 2 else f"nonsense {n}" for n in range(1000)]
    async with opened(shop_book, "[keys]\n" + "\n".join(lines)) as (app, pilot):
        assert [told.line for told in app.wrong] == list(range(2, 1002))
        await press(pilot, "question_mark")
        page = str(app.screen.query_one("#help-page").render())
        assert all(f"settings.toml:{n}: " in page for n in range(2, 1002))


# themes

MINE = """
theme = "workshop"
[themes.workshop]
dark = false
background = "#FFFFFF"
foreground = "#000000"
primary = "#0000AA"
error = "#AA0000"
warning = "#775500"
success = "#005500"
"""


async def test_the_person_s_own_theme(shop_book: Path) -> None:
    async with opened(shop_book, MINE) as (app, _):
        assert said(app) == ""
        assert app.theme == "workshop"
        assert app.theme_variables["background"] == "#FFFFFF"
        assert app.theme_variables["text-error"] == "#AA0000"


async def test_the_environment_goes_before_the_file(shop_book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TEXTUAL_THEME", "standwatch-light")
    async with opened(shop_book, MINE) as (app, _):
        assert app.theme == "standwatch-light"
    monkeypatch.setenv("TEXTUAL_THEME", "no such")
    async with opened(shop_book, MINE) as (app, _):
        assert app.theme == "workshop"


async def test_a_chosen_theme_is_remembered(shop_book: Path, tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    text = 'theme = "standwatch-dark"  # for the evening\nbell = true\n'
    file.write_text(text, "utf-8")
    async with opened(shop_book, text, file=file) as (app, pilot):
        assert file.read_text("utf-8") == text, "opening writes nothing"
        await press(pilot, "ctrl+p")
        await type_in(pilot, "theme")
        await press(pilot, "enter")
        await type_in(pilot, "standwatch-light")
        await press(pilot, "down", "enter")
        await settle(pilot)
        assert app.theme == "standwatch-light"
    assert file.read_text("utf-8") == text.replace("standwatch-dark", "standwatch-light")
    assert read_settings(file).theme == "standwatch-light"


async def test_where_it_can_t_be_kept_it_is_said(shop_book: Path, tmp_path: Path) -> None:
    file = tmp_path / "settings.toml"
    file.write_text("[keys\n", "utf-8")
    async with opened(shop_book, file=file) as (app, pilot):
        app.theme = "standwatch-light"
        await pilot.pause()
        await told(app, pilot)
        assert "the theme is not kept: settings.toml:1: " in said(app)
    assert file.read_text("utf-8") == "[keys\n"


# the computer's clock


@pytest.mark.parametrize(
    ("reference", "size", "shown"),
    [
        (by_kernel(0, 0, 43_500), WIDE, "08:20:14 good to 0.05 s   read"),
        (by_kernel(0, 0, 43_500), SMALL, "08:20:14 ±0.05 s   read"),
        (UNKEPT, WIDE, "08:20:14 clock not synchronised   read"),
        (UNKEPT, SMALL, "08:20:14 ±16 s   read"),
        (ReferenceTime("unknown"), SMALL, "08:20:14 ±?   read"),
    ],
)
async def test_the_head_says_how_well_the_clock_is_kept(
    reference: ReferenceTime, size: tuple[int, int], shown: str, shop_book: Path
) -> None:
    async with opened(shop_book, size=size, ask=reference) as (app, pilot):
        await pilot.pause(1.1)
        top = text_of(app).splitlines()[0]
        assert shown in top
        assert top.endswith("next round Mon 08:00")


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
async def test_against_a_clock_that_nothing_keeps_a_reading_says_so(size: tuple[int, int], shop_book: Path) -> None:
    async with opened(shop_book, size=size, ask=UNKEPT) as (app, pilot):
        app.follow("2418")
        await press(pilot, "space")
        await type_in(pilot, "8:20:20")
        await press(pilot, "enter")
        assert "the computer's clock is not synchronised" in " ".join(text_of(app).split())
    stand = open_shop(shop_book)
    last = max(stand.facts("2418"), key=lambda record: record.sequence).body
    stand.close()
    assert last.error_u_s is not None
    assert last.error_u_s > 9
