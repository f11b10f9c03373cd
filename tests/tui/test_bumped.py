"""A bumped rail on the page of a clock that hangs there."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from standwatch.bootstrap import DEMO_BEGINS, open_stand
from tests.tui.screens import SMALL, WIDE, press, running, text_of


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
async def test_it_is_said_under_the_rate(size: tuple[int, int], books: Callable[[str], Path]) -> None:
    book = books("demo")
    stand = open_stand(book)
    stand.check_in({"tag": "2402", "work": "bumped"}, DEMO_BEGINS)
    stand.close()
    async with running(book, size) as (app, pilot):
        app.follow("2398")
        await press(pilot, "enter")
        assert "rail bumped Fri 20 Nov 08:20" in text_of(app)
        await press(pilot, "escape")
        app.follow("2418")
        await press(pilot, "enter")
        assert "CLOCK  C2" in text_of(app)
        assert "rail bumped" not in text_of(app)
