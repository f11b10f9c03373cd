"""The clocks at their owners': called, come back, taken back to the stand."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from textual.pilot import Pilot

from standwatch.service.stand import Stand
from standwatch.tui.app import StandwatchApp
from standwatch.tui.screens.delivered import call_cells
from standwatch.tui.screens.stand import StandScreen
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, settle, text_of, type_in
from tests.tui.shop import NOW
from tests.tui.test_golden import name_of

Books = Callable[[str], Path]


async def send_home(app: StandwatchApp, pilot: Pilot[None]) -> str:
    """A clock of the demo that may go is let go and delivered, an hour ago."""
    assert app.view is not None
    tag = app.view.may_go[0].tag
    then = NOW - timedelta(hours=1)

    def job(stand: Stand) -> None:
        stand.release(tag, by="JQ", waive={}, now=then)
        stand.deliver(tag, {"at": then + timedelta(minutes=30), "error_s": 2.0}, NOW)

    await app.backroom.ask(job)
    await app.look().wait()
    await settle(pilot)
    return tag


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
async def test_how_it_looks(size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        await press(pilot, "d")
        assert "No clock is at its owner's" in text_of(app)
        await press(pilot, "escape")
        await send_home(app, pilot)
        await press(pilot, "d", "c")
        await type_in(pilot, "+5 goes well, wound on Sundays")
        await press(pilot, "enter", "escape")
        check_golden(f"delivered-{name_of(size)}", text_of(app))


async def test_called_came_back_taken_back_and_undone(books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        tag = await send_home(app, pilot)
        await press(pilot, "d", "c", "enter")
        assert "type what was said" in text_of(app)
        await type_in(pilot, "stopped on the fifth day")
        await press(pilot, "enter")
        steps = await app.backroom.ask(lambda stand: [step.body for step in stand.steps(tag)])
        assert (steps[-1].what, steps[-1].stopped, steps[-1].reason) == ("called", True, "on the fifth day")
        await press(pilot, "escape")
        assert "stopped" in text_of(app)
        await press(pilot, "b")
        await type_in(pilot, "9")
        await press(pilot, "enter")
        assert "set-up, mechanical, user or cosmetic" in text_of(app)
        await press(pilot, "escape", "b", "2", "enter", "escape")
        assert "mechanical" in text_of(app)
        await press(pilot, "u", "u", "escape")
        assert "mechanical" not in text_of(app)
        await press(pilot, "o")
        await type_in(pilot, "stopped at home")
        await press(pilot, "enter", "escape", "escape")
        assert isinstance(app.screen, StandScreen)
        assert app.assessment(tag) is not None


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("+5 goes well", {"error_s": 5.0, "reason": "goes well"}),
        ("-1:02 stopped", {"error_s": -62.0, "stopped": "yes", "reason": "-1:02 stopped"}),
        ("out-of-step since Monday", {"chime": "out-of-step", "reason": "since Monday"}),
        ("all is well, stopped only for dusting", {"reason": "all is well, stopped only for dusting"}),
        ("  ", {}),
    ],
)
def test_what_was_said(text: str, cells: dict[str, object]) -> None:
    assert call_cells(text) == cells
