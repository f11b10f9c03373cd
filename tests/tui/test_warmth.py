"""What warmth a rate holds for, beside the rate on a clock's page, where there is room and it matters."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.tui.screens import SMALL, WIDE, press, running, text_of

Books = Callable[[str], Path]


@pytest.mark.parametrize("size", [SMALL, WIDE])
async def test_with_a_thermometer_a_rate_holds_at_20_degrees(size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow("2398")
        await press(pilot, "enter")
        assert "at 20 °C" in text_of(app)


@pytest.mark.parametrize(("size", "said"), [(SMALL, False), (WIDE, True)])
async def test_without_one_it_holds_as_warm_as_it_is_now(size: tuple[int, int], said: bool, shop_book: Path) -> None:  # noqa: FBT001
    async with running(shop_book, size) as (app, pilot):
        app.follow("2398")
        await press(pilot, "enter")
        assert "at 20 °C" not in text_of(app)
        assert ("as warm as now" in text_of(app)) is said
