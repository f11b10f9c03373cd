"""Regulate: how a clock is left for its owner's place."""

import re
from pathlib import Path

from tests.tui.screens import WIDE, press, running, text_of
from tests.tui.shop import NOW, open_shop


async def test_the_owner_s_place_is_told_where_it_is_known(shop_book: Path) -> None:
    """Two degrees nearer the pole and 100 m up: about 2 x 4.4 - 1.4 s/day more there (CHECKS: normal gravity)."""
    async with running(shop_book, WIDE) as (app, pilot):
        app.follow("2398")
        await press(pilot, "g")
        assert "For its home" not in text_of(app), "nobody has told where it goes"
    stand = open_shop(shop_book)
    stand.set_settings({"site": "52.1,60"}, NOW)
    stand.change_clock("2398", {"home_site": "54.1,160"}, NOW)
    stand.close()
    async with running(shop_book, WIDE) as (app, pilot):
        app.follow("2398")
        await press(pilot, "g")
        told = re.search(r"For its home: leave it losing ([\d.]+) a day here", text_of(app))
    assert told is not None
    assert 6 < float(told[1]) < 8
