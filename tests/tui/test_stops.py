"""What the screens say of a clock found hanging: the next step, and each stop with its odds."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.tui.screens import SMALL, WIDE, press, running, text_of


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_hanging_clock_says_when_it_stopped(size: tuple[int, int], books: Callable[[str], Path]) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow("2411")
        await press(pilot, "enter")
        # 3:49 less some two and a half minutes that it was fast
        when = r"it stopped Thu 19 Nov 15:4[67] or Fri 20 Nov 03:4[67] by its dial"
        assert re.search(when, " ".join(text_of(app).split()))
        await press(pilot, "n", "end")
        told = " ".join(text_of(app).split())
        assert re.search(r"■ found hanging Fri 20 Nov 08:03 at 3:49: it stopped Thu 19 Nov 15:4[67] \(50 %\)", told)
        assert "once its cause is known: standwatch correct " in told


async def test_a_clock_that_goes_has_no_stops_to_tell(books: Callable[[str], Path]) -> None:
    async with running(books("demo"), WIDE) as (app, pilot):
        app.follow("2398")
        await press(pilot, "enter", "n", "end")
        assert "STOPS" not in text_of(app)
