"""Whole screens as plain text: what stands where, without colour. Read the diff when one changes."""

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.tui.screens import HUGE, SMALL, WIDE, check_golden, press, running, text_of

Books = Callable[[str], Path]


def name_of(size: tuple[int, int]) -> str:
    return f"{size[0]}x{size[1]}"


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
@pytest.mark.parametrize("name", ["demo", "empty", "forty", "one"])
async def test_the_stand(name: str, size: tuple[int, int], books: Books) -> None:
    async with running(books(name), size) as (app, _):
        check_golden(f"stand-{name}-{name_of(size)}", text_of(app))


@pytest.mark.parametrize("name", ["stand", "clock"])
async def test_a_huge_terminal(name: str, books: Books) -> None:
    async with running(books("demo"), HUGE) as (app, pilot):
        app.follow("2417")
        await press(pilot, *(["enter"] if name == "clock" else []))
        check_golden(f"{name}-demo-{name_of(HUGE)}", text_of(app))


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
@pytest.mark.parametrize("name", ["demo", "one"])
async def test_a_clocks_page(name: str, size: tuple[int, int], books: Books) -> None:
    async with running(books(name), size) as (app, pilot):
        if name == "demo":
            app.follow("2417")
        await press(pilot, "enter")
        check_golden(f"clock-{name}-{name_of(size)}", text_of(app))


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("facts", ["f"]),
        ("needed", ["n"]),
        ("rate", ["v"]),
        ("swing", ["a"]),
        ("table", ["m"]),
        ("spring", ["end"]),
    ],
)
async def test_the_parts_of_a_clocks_page(name: str, keys: list[str], size: tuple[int, int], books: Books) -> None:
    # the demo's rows have no ids of their own: the list that shows them is the test shop's
    async with running(books("shop" if name == "facts" else "demo"), size) as (app, pilot):
        app.follow("2391" if name == "spring" else "2398")
        await press(pilot, "enter", *keys)
        check_golden(f"clock-{name}-{name_of(size)}", text_of(app))


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
@pytest.mark.parametrize(
    ("name", "keys"),
    [
        ("read", ["space"]),
        ("recorded", ["space", "plus", "4", "6", "enter"]),
        ("surprise", ["space", "plus", "5", "colon", "1", "0", "enter"]),
        ("touched", ["t"]),
        ("undo", ["u"]),
        ("help", ["question_mark"]),
    ],
)
async def test_the_bar(name: str, keys: list[str], size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow("2417")
        await press(pilot, *keys)
        check_golden(f"bar-{name}-{name_of(size)}", text_of(app))
