"""Driving the real app over a real book, and reading what it shows as plain text."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import datetime
from difflib import unified_diff
from pathlib import Path
from time import monotonic
from typing import Any

from textual.pilot import Pilot
from textual.worker import WorkerCancelled

from standwatch.tui.app import StandwatchApp
from tests.tui.shop import NOW, open_shop

GOLDEN = Path(__file__).parent / "golden"
SMALL, WIDE, HUGE = (80, 24), (120, 36), (160, 50)


@asynccontextmanager
async def running(
    book: Path, size: tuple[int, int], *, now: Callable[[], datetime] = lambda: NOW, banner: str | None = None
) -> AsyncIterator[tuple[StandwatchApp, Pilot[Any]]]:
    """The app over `book`, worked out and at rest."""
    app = StandwatchApp.over(lambda: open_shop(book), clock=now, banner=banner)
    async with app.run_test(size=size, notifications=True) as pilot:
        await settle(pilot)
        begun = monotonic()
        while app.view is None and monotonic() - begun < 10:  # on a busy computer the first look begins late
            await pilot.pause(0.02)
            await settle(pilot)
        yield app, pilot


async def settle(pilot: Pilot[Any]) -> None:
    """Until workers and what they post are through."""
    through = 0
    while through < 2:
        try:
            await pilot.app.workers.wait_for_complete()
            through += 1
        except WorkerCancelled:  # a chart that was asked for anew: another draws it
            through = 0
        await pilot.pause()


async def press(pilot: Pilot[Any], *keys: str) -> None:
    """Keys one after another; each is through before the next."""
    await settle(pilot)
    for key in keys:
        await pilot.press(key)
        await settle(pilot)


async def type_in(pilot: Pilot[Any], text: str) -> None:
    """Text into the entry line, without waiting between its letters."""
    await pilot.press(*({" ": "space"}.get(letter, letter) for letter in text))
    await settle(pilot)


def text_of(app: StandwatchApp) -> str:
    """The screen as plain text, without colour."""
    strips = app.screen._compositor.render_strips()
    return "\n".join(strip.text.rstrip() for strip in strips) + "\n"


async def comes_to_golden(pilot: Pilot[Any], app: StandwatchApp, name: str) -> None:
    """The screen is, or within some seconds becomes, the golden screen `name`: a chart may come late."""
    path, begun = GOLDEN / f"{name}.txt", monotonic()
    while path.exists() and text_of(app) != path.read_text(encoding="utf-8") and monotonic() - begun < 5:
        await pilot.pause(0.05)
    check_golden(name, text_of(app))


def check_golden(name: str, text: str) -> None:
    """Compare with the golden screen `name`; STANDWATCH_GOLDEN=write rewrites it, to be read in the diff."""
    path = GOLDEN / f"{name}.txt"
    if os.environ.get("STANDWATCH_GOLDEN") == "write":
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    assert path.exists(), f"no golden screen {name}; write it with STANDWATCH_GOLDEN=write"
    wanted = path.read_text(encoding="utf-8")
    assert text == wanted, "\n".join(unified_diff(wanted.splitlines(), text.splitlines(), "golden", "shown", "", "", 0))
