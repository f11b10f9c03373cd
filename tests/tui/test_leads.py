"""What is worth looking into, on a clock's page."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.tui.screens import SMALL, WIDE, press, running, text_of

Books = Callable[[str], Path]
pytestmark = pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])


async def test_a_falling_swing_is_named_beside_where_to_look(size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow("2417")
        await press(pilot, "enter")
        text = text_of(app)
        assert "the swing falls 5 % a week at equal wind" in text
        assert "look at endshake and the escape pivots" in " ".join(text.replace("│", " ").split())
        assert ("look into  the swing" in text) is (size == SMALL)
        assert sum("●" in line for line in text.splitlines()) >= 3, "the chart keeps its room"
        assert "NEEDED ──" in text
        await press(pilot, "n", "end")
        told = text_of(app)
        assert "LOOK INTO ──" in told
        assert "patterns, no verdicts" in told
        assert "escape pivots" in told


async def test_a_sound_clock_has_no_such_section(size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow("2398")
        await press(pilot, "enter")
        assert "look into" not in text_of(app).lower()
        await press(pilot, "n", "end")
        assert "LOOK INTO" not in text_of(app)


async def test_a_bob_window_ahead_stands_under_the_weights(size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow("2418")
        await press(pilot, "enter")
        assert "level with bob Sat 21 to Sun 22 Nov" in text_of(app)
        app.follow("2417")
        await press(pilot, "escape", "enter")
        assert "level with bob Thu 19 to Sun 22 Nov !" in text_of(app)  # now
