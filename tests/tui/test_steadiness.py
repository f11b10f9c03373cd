"""How steadily a clock goes, under the chart of its rate."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.tui.screens import SMALL, WIDE, press, running, text_of

Books = Callable[[str], Path]
pytestmark = pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])


async def test_it_stands_under_the_rate_alone(size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow("2391")
        await press(pilot, "enter")
        assert "wanders" not in text_of(app)
        await press(pilot, "v")
        lines = text_of(app).splitlines()
        (first,) = [n for n, line in enumerate(lines) if "wanders day to day" in line]
        assert "week to week" in lines[first + 1]
        assert "ISO 3159 mean " in lines[first + 2]
        assert sum("●" in line for line in lines) >= 3, "the chart keeps its room"
        await press(pilot, "a")
        assert "wanders" not in text_of(app)


async def test_too_few_readings_say_what_is_wanted(size: tuple[int, int], books: Books) -> None:
    async with running(books("one"), size) as (app, pilot):
        await press(pilot, "enter", "v")
        (told,) = [line for line in text_of(app).splitlines() if "wanders" in line]
        assert "wanders not yet known" in told
        assert ("no three readings a day apart so far" in told) is (size == WIDE)


@pytest.mark.parametrize(
    ("tag", "words"),
    [("2398", "each wind costs it 9"), ("2396", "its wind bends the rate by under"), ("2402", "")],
    ids=["weights", "spring", "no loss"],
)
async def test_what_a_wind_does_stands_under_the_rates(
    tag: str, words: str, size: tuple[int, int], books: Books
) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow(tag)
        await press(pilot, "enter", "v")
        told = [line for line in text_of(app).splitlines() if line.strip().startswith("winding")]
        assert bool(told) == bool(words) or size == SMALL  # where room is short the chart has it
        assert all(words in line for line in told)
