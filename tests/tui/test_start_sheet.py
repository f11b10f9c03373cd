"""What a clock's start sheet lacks, on its page."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.tui.screens import SMALL, WIDE, press, running, text_of


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
async def test_what_nobody_told_stands_under_the_reasons(size: tuple[int, int], books: Callable[[str], Path]) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow("2409")  # a cuckoo whose unlocking point nobody looked for
        await press(pilot, "enter", "n", "end")
        told = text_of(app)
        assert "START SHEET ──" in told
        assert "? no unlocking point: the swing can't be judged; two minutes with the bob" in told


async def test_a_complete_sheet_is_not_shown(books: Callable[[str], Path]) -> None:
    async with running(books("demo"), WIDE) as (app, pilot):
        app.follow("2398")
        await press(pilot, "enter", "n", "end")
        assert "START SHEET" not in text_of(app)
