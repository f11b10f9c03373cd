"""The clocks at their owners': called, come back, taken back to the stand."""

import shutil
from pathlib import Path

import pytest

from standwatch.model.facts import Clock
from standwatch.model.words import KindName
from standwatch.tui.app import StandwatchApp
from standwatch.tui.delivering import back_cells, call_cells, left_there
from standwatch.tui.screens.delivered import DeliveredScreen
from standwatch.tui.screens.rates import RatesScreen
from standwatch.tui.screens.stand import StandScreen
from tests.tui.home_shop import make_home_book
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, text_of, type_in
from tests.tui.shop import NOW
from tests.tui.test_golden import name_of


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The shop whose regulators went home, made once."""
    return make_home_book(tmp_path_factory.mktemp("home") / "book.sqlite")


@pytest.fixture
def home_book(made: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return Path(shutil.copy(made, tmp_path / "book.sqlite"))


async def test_where_nothing_went_home_it_says_how(shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (app, pilot):
        await press(pilot, "d")
        assert "No clock is at its owner's" in text_of(app)


async def test_on_the_stand_only_while_its_call_is_due_with_no_weight_left_to_wind(home_book: Path) -> None:
    async with running(home_book, WIDE) as (app, _):
        rows = [line for line in text_of(app).splitlines() if "2341 regulator" in line or "2344 regulator" in line]
        assert len(rows) == 2
        assert all("released" in row and "due" not in row and "!" not in row for row in rows)


def about(app: StandwatchApp) -> str:
    """What the page says of the chosen clock."""
    return text_of(app).partition("─")[2]


async def test_called_came_back_taken_back_and_undone(home_book: Path) -> None:
    tag = "2341"  # whose call is due first
    async with running(home_book, SMALL) as (app, pilot):
        await press(pilot, "d", "c", "enter")
        assert "type what was said" in text_of(app)
        await type_in(pilot, "stopped on the fifth day")
        await press(pilot, "enter")
        steps = await app.backroom.ask(lambda stand: [step.body for step in stand.steps(tag)])
        assert (steps[-1].what, steps[-1].stopped, steps[-1].reason) == ("called", True, "on the fifth day")
        await press(pilot, "escape")
        assert "stopped" in text_of(app)
        await press(pilot, "b")
        await type_in(pilot, "9")
        await press(pilot, "enter")
        assert "set-up, mechanical, user or cosmetic" in text_of(app)
        await press(pilot, "escape", "b", "2", "enter", "escape")
        assert "mechanical" in about(app)
        await press(pilot, "u", "u", "escape")
        assert "mechanical" not in about(app)
        await press(pilot, "o")
        await type_in(pilot, "stopped at home")
        await press(pilot, "enter", "escape", "escape")
        assert isinstance(app.screen, StandScreen)
        assert app.assessment(tag) is not None


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("+5 goes well", {"error_s": 5.0, "reason": "goes well"}),
        ("-1:02 stopped", {"error_s": -62.0, "stopped": "yes", "reason": "-1:02 stopped"}),
        ("out-of-step since Monday", {"chime": "out-of-step", "reason": "since Monday"}),
        ("all is well, stopped only for dusting", {"reason": "all is well, stopped only for dusting"}),
        ("  ", {}),
    ],
)
def test_what_was_said(text: str, cells: dict[str, object]) -> None:
    assert call_cells(text) == cells


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
async def test_what_is_known_of_the_chosen_one(size: tuple[int, int], home_book: Path) -> None:
    async with running(home_book, size) as (app, pilot):
        await press(pilot, "d")
        check_golden(f"delivered-shop-{name_of(size)}", text_of(app))
        assert "expected 0:02 fast ±0:3" in text_of(app)  # what it was left with, and what the move may do in two days
        await press(pilot, "down", "down")
        page = text_of(app)
        assert "2330  regulator for Tarn" in page
        assert "set-up" in page
        assert "cleaned and oiled" in page
        await press(pilot, "end")
        assert "› –         2301" in text_of(app)


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
async def test_call_back_rates(size: tuple[int, int], home_book: Path) -> None:
    async with running(home_book, size) as (app, pilot):
        await press(pilot, "d", "r")
        assert isinstance(app.screen, RatesScreen)
        check_golden(f"rates-{name_of(size)}", text_of(app))
        assert "of 8: 25 %, 7 to 59 %" in text_of(app)
        assert "none of 3 (0 to 63 %)" in text_of(app)  # bushes: 1 - 0.05^(1/3) = 0.632
        await press(pilot, "end")
        assert "cosmetic" in text_of(app)
        assert "more" not in text_of(app)
        await press(pilot, "home", "pagedown", "up", "escape")
        assert isinstance(app.screen, DeliveredScreen)


async def test_rates_of_a_shop_of_which_nothing_went_home_yet(shop_book: Path) -> None:
    async with running(shop_book, SMALL) as (app, pilot):
        await press(pilot, "d", "r")
        assert "No clock has gone home yet" in text_of(app)
        await press(pilot, "down", "end", "escape", "escape")
        assert isinstance(app.screen, StandScreen)


async def test_a_call_that_is_kept_shows_at_once_with_what_was_expected(home_book: Path) -> None:
    async with running(home_book, WIDE) as (app, pilot):
        await press(pilot, "d", "c")
        await type_in(pilot, "+40 gains, all is well")
        await press(pilot, "enter", "escape", "home")
        while "Quillane" not in text_of(app).split("warranty")[0].splitlines()[-1]:
            await press(pilot, "down")
        assert "Fri 20 Nov 0:40 fast, expected" in text_of(app)


async def test_a_reading_there_long_after_the_last_call(home_book: Path) -> None:
    async with running(home_book, WIDE) as (app, pilot):
        await press(pilot, "d", "end", "space")
        await type_in(pilot, "+1:30")
        await press(pilot, "enter")
        assert "1:30 fast" in text_of(app)
        facts = await app.backroom.ask(lambda stand: stand.facts("2301"))
        assert (facts[-1].body.error_s, facts[-1].body.at) == (90, NOW)
        await press(pilot, "escape", "end")
        assert "Fri 20 Nov 1:30 fast, expected" in text_of(app)


async def test_came_back_with_words_says_the_warranty(home_book: Path) -> None:
    async with running(home_book, WIDE) as (app, pilot):
        await press(pilot, "d", "b")
        await type_in(pilot, "2 stopped, the line came off")
        await press(pilot, "enter")
        assert "within its warranty, which ends on 4 Nov 2027" in text_of(app)
        steps = await app.backroom.ask(lambda stand: [step.body for step in stand.steps("2341")])
        assert (steps[-1].code, steps[-1].stopped, steps[-1].reason) == (
            "mechanical",
            True,
            "stopped, the line came off",
        )


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("2", {"code": "mechanical"}),
        ("set-up", {"code": "set-up"}),
        ("3 wound backwards", {"code": "user", "reason": "wound backwards"}),
        ("1 Stopped: level", {"code": "set-up", "stopped": "yes", "reason": "Stopped: level"}),
        ("", {"code": ""}),
    ],
)
def test_why_it_came_back(text: str, cells: dict[str, object]) -> None:
    assert back_cells(text) == cells


LONGCASE = Clock(tag="T1", kind=KindName.LONGCASE, weight_order="strike;going")


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("", {}),
        ("+2 a2.6 b1.5 wall", {"error_s": 2.0, "amplitude_deg": 2.6, "beat_error_pct": 1.5, "fixed_to_wall": "yes"}),
        ("l20 r30 nowall", {"strike_mm": 20.0, "going_mm": 30.0, "fixed_to_wall": "no"}),
        (
            "by the owner n level, wound by day",
            {"wound_by": "the owner", "reason": "level, wound by day"},
        ),
        ("wall n to the wall", {"fixed_to_wall": "yes", "reason": "to the wall"}),
    ],
)
def test_how_it_was_left(text: str, cells: dict[str, object]) -> None:
    entry = left_there(text, LONGCASE)
    assert (entry.problem, entry.cells) == (None, cells)


@pytest.mark.parametrize("text", ["i2", "h7", "t19", "+2 +3", "wall nowall", "nonsense", "c20"])
def test_what_is_no_part_of_how_it_was_left(text: str) -> None:
    assert left_there(text, LONGCASE).problem
