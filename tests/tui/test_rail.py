"""Near-equal neighbours, on the page of each."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.tui.screens import SMALL, WIDE, press, running, text_of


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
async def test_each_names_the_other(size: tuple[int, int], books: Callable[[str], Path]) -> None:
    async with running(books("demo"), size) as (app, pilot):
        for tag, other in (("2420", "2402 in A6"), ("2402", "2420 in A5")):
            app.follow(tag)
            await press(pilot, "enter", "n", "end")
            told = " ".join(text_of(app).split())
            assert "RAIL ──" in told
            assert f"{other} swings alike, " in told
            assert "isolate before judging" in told
            await press(pilot, "escape", "escape")


async def test_where_none_swings_alike_there_is_no_such_section(books: Callable[[str], Path]) -> None:
    async with running(books("demo"), WIDE) as (app, pilot):
        app.follow("2418")  # alone on its rail with a pendulum of that length
        await press(pilot, "enter", "n", "end")
        assert "RAIL" not in text_of(app)
