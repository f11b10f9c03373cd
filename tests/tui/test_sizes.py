"""Every screen from a tiny terminal to a huge one: nothing breaks, and no tag is cut."""

from collections.abc import Callable
from pathlib import Path

import pytest

from standwatch.tui.screens.stand import StandScreen
from tests.tui.screens import press, running, settle, text_of
from tests.tui.shop import NOW, open_shop

Books = Callable[[str], Path]
SIZES = [(40, 12), (53, 16), (79, 23), (99, 30), (131, 40), (200, 60)]
SCREENS = {
    "stand": [],
    "stand reading": ["space"],
    "stand touched": ["t"],
    "stand finding": ["slash", "2"],
    "stand by place": ["p"],
    "clock": ["enter"],
    "clock facts": ["enter", "f"],
    "clock needed": ["enter", "n"],
    "clock rate": ["enter", "v"],
    "clock table": ["enter", "m"],
    "help": ["question_mark"],
    "round": ["r"],
    "round taken": ["r", "space", "4"],
    "listening": ["l"],
    "winding": ["w"],
    "regulate": ["g"],
    "release": ["e"],
    "delivered": ["d"],
    "stoppage": ["o"],
    "first hour": ["enter", "b"],
}


@pytest.mark.parametrize("name", SCREENS)
async def test_at_every_size(name: str, books: Books) -> None:
    async with running(books("shop"), (80, 24)) as (app, pilot):
        app.follow("2417")
        await press(pilot, *SCREENS[name])
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await settle(pilot)
            lines = text_of(app).splitlines()
            assert len(lines) == size[1]
            assert max(map(len, lines)) <= size[0]
            assert any(line.strip() for line in lines), f"{name} at {size} shows nothing"


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_no_tag_is_cut(size: tuple[int, int], books: Books) -> None:
    async with running(books("odd"), size) as (app, pilot):
        assert isinstance(app.screen, StandScreen)
        tags = [told.tag for told in app.view.assessments] if app.view else []
        for _ in tags:
            chosen = app.screen.table.chosen
            assert chosen is not None
            row = next(line for line in text_of(app).splitlines() if "›" in line)
            assert f" {chosen} " in row.replace("›", " ", 1) + " ", row
            await press(pilot, "down")


@pytest.mark.parametrize(
    "keys", [["enter"], ["e"], ["g"], ["enter", "f"], ["enter", "b"], ["o"], ["space"], ["t"]], ids="-".join
)
async def test_whose_screen_it_is_stands_there_whole(keys: list[str], books: Books) -> None:
    book, tag = books("one"), "No. 17/2026 Quillane (b)"
    stand = open_shop(book)
    stand.add_clock({"tag": tag, "kind": "longcase", "position": "A2"}, NOW)
    stand.check_in({"tag": tag, "error_s": 3}, NOW)
    stand.close()
    async with running(book, (80, 24)) as (app, pilot):
        app.follow(tag)
        await press(pilot, *keys)
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await settle(pilot)
            assert tag in text_of(app), f"{keys} at {size}"
