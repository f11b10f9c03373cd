"""Help tells what the shop's own clocks taught, where anything was."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from standwatch.estimate.learned import Learned, NoiseShift
from standwatch.model.words import KindName
from standwatch.tui.app import StandwatchApp
from tests.tui.screens import SMALL, WIDE, press, running, text_of

LEARNED = Learned({KindName.MANTEL: NoiseShift(1.4, 1.4, 1.0, 41)})


@pytest.mark.parametrize("size", [SMALL, WIDE])
async def test_what_was_learned_stands_at_the_end(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        assert app.view is not None
        app.set_reactive(StandwatchApp.view, replace(app.view, learned=LEARNED))
        await press(pilot, "question_mark")
        app.screen.query_one("#help-scroll").scroll_end(animate=False)
        await pilot.pause()
        assert "WHAT YOUR OWN CLOCKS TAUGHT" in text_of(app)
        assert "learned from 41 mantel clocks: they wander 1.4 times the usual" in text_of(app)


async def test_where_nothing_was_learned_nothing_is_said(empty_book: Path) -> None:
    async with running(empty_book, WIDE) as (app, pilot):
        await press(pilot, "question_mark")
        app.screen.query_one("#help-scroll").scroll_end(animate=False)
        await pilot.pause()
        assert "MARKS" in text_of(app)
        assert "TAUGHT" not in text_of(app)
