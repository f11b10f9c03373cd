"""What is due while the screens are open: begun once the stand is painted, told in a notice, ended with the app."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from standwatch.jobs.nightly import backups_of
from standwatch.tui.app import StandwatchApp
from tests.stories import at
from tests.tui.screens import SMALL, press, settle, text_of
from tests.tui.shop import open_shop

Books = Callable[[str], Path]


@asynccontextmanager
async def with_due(
    book: Path, now: datetime, *, banner: str | None = None, keys: tuple[str, ...] = ()
) -> AsyncIterator[tuple[StandwatchApp, Pilot[Any]]]:
    """The app with its jobs, some keys pressed at once."""
    app = StandwatchApp.over(lambda: open_shop(book), clock=lambda: now, banner=banner, due=True)
    async with app.run_test(size=SMALL, notifications=True) as pilot:
        await press(pilot, *keys)
        for _ in range(40):
            await settle(pilot)
            if app._notifications:
                break
            await asyncio.sleep(0.05)
        await settle(pilot)
        yield app, pilot


async def test_the_listening_is_told_before_the_first_voice(books: Books) -> None:
    async with with_due(books("demo"), at("11-20 08:56:48")) as (app, _):
        shown = " ".join(text_of(app).split())
        assert "Nine o'clock: listen to C1" in shown
        assert "then C4" in shown


async def test_the_winding_is_told_before_one_leaves(books: Books) -> None:
    async with with_due(books("demo"), at("11-20 17:10")) as (app, _):
        told = [notice.message for notice in app._notifications]
        assert any(message.startswith("Before you go: ") for message in told)


async def test_on_the_listening_screen_no_notice_covers_it(books: Books) -> None:
    async with with_due(books("demo"), at("11-20 08:51:00"), keys=("l",)) as (app, pilot):
        due = app._due
        assert due is not None
        due._call("Nine o'clock: listen to C1", ring=True)
        await settle(pilot)
        assert "listen to C1" not in text_of(app)
        await press(pilot, "escape")
        due._call("Nine o'clock: listen to C1", ring=True)
        await settle(pilot)
        assert "listen to C1" in text_of(app)


async def test_the_book_is_backed_up_but_not_the_demo(books: Books) -> None:
    night = at("11-20 22:00")
    book = books("demo")
    async with with_due(book, night):
        pass
    assert [day.isoformat() for day, _ in backups_of(book)] == ["2026-11-20"]
    other = books("demo")
    async with with_due(other, night, banner="demo"):
        pass
    assert backups_of(other) == []


async def test_the_jobs_end_with_the_app(books: Books) -> None:
    async with with_due(books("empty"), at("11-20 08:56:48")) as (app, _):
        due = app._due
        assert due is not None
        assert due._calendar._scheduler is not None
    assert due._calendar._scheduler is None
