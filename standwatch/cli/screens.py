"""Opening the terminal face, and the demo's ticking clock."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import click

from standwatch.cli.house import House
from standwatch.cli.session import Session


def ticking_from(begins: datetime) -> Callable[[], datetime]:
    """A clock that shows `begins` now and goes on as the computer does."""
    start = time.monotonic()

    def now() -> datetime:
        return begins + timedelta(seconds=time.monotonic() - start)

    return now


def need_terminal(instead: str) -> None:
    """Refuse to open screens where nobody can see or press them."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise click.UsageError(f"the screens need a terminal; `{instead}` prints the stand instead")


def open_screens(session: Session) -> None:
    """The stand of the session's book, at --now (and ticking on) or at the computer's time."""
    need_terminal("standwatch status")
    if session.now_option is None:
        run(session.house, session.book, lambda: datetime.now(UTC), None)
        return
    begins = session.now
    session.close()
    run(session.house, session.book, ticking_from(begins), f"as of {begins:%Y-%m-%d %H:%M} UTC")


def run(house: House, book: Path, clock: Callable[[], datetime], banner: str | None) -> None:
    """Run the terminal face until the user leaves."""
    house.run_screens(book, clock, banner, None)
