"""One run of the command line: which book, which now, and how a person's words become values."""

from __future__ import annotations

import math
import os
import sys
from collections.abc import Iterable
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import click

from standwatch.cli.house import House
from standwatch.model.errors import BadValue

if TYPE_CHECKING:
    from standwatch.service.stand import Stand

_TIME_COLUMNS = {"at", "on_stand_at"}


class Session:
    """What the common options say, and the stand they lead to. A stand is opened once, by the first that asks."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.book_option: str | None = None
        self.now_option: str | None = None
        self._stand: Stand | None = None
        self._empty = False  # opened to look where no book is

    @property
    def book(self) -> Path:
        """The book's file: --book, else $STANDWATCH_BOOK, else in the user's data folder."""
        given = self.book_option or os.environ.get("STANDWATCH_BOOK")
        return Path(given).expanduser() if given else self.house.default_book()

    def writing(self) -> Stand:
        """The stand, its book created where it is missing."""
        if self._empty:
            self.close()
        return self._keep(self._stand or self.house.open_stand(self.book))

    def needed(self) -> Stand:
        """The stand of a book that must be there."""
        return self._keep(self._stand or self.house.need_stand(self.book))

    def looking(self) -> Stand:
        """The stand to look at: empty, and said so, where no book is."""
        if self._stand is None:
            self._empty = not self.book.exists()
            if self._empty and self.book_option is not None:
                self.say(f"{self.book} is not there yet; it is begun by the first clock")
        return self._keep(self._stand or self.house.look_at(self.book))

    def _keep(self, stand: Stand) -> Stand:
        self._stand = stand
        return stand

    def close(self) -> None:
        """Let go of the book."""
        if self._stand is not None:
            self._stand.close()
        self._stand, self._empty = None, False

    @cached_property
    def now(self) -> datetime:
        """--now, or the computer's time."""
        if self.now_option is None:
            return datetime.now(UTC)
        return self.time(self.now_option)

    def time(self, text: str) -> datetime:
        """A time as typed; without offset it is in the book's zone."""
        stand = self._stand or self.looking()
        moment, said = stand.shop.read_time(text)
        if said:
            self.say(said)
        return moment

    def cells(self, pairs: Iterable[str]) -> dict[str, str | None]:
        """COLUMN=VALUE words as cells; an empty value is None, and times are read in the book's zone."""
        cells: dict[str, str | None] = {}
        for pair in pairs:
            column, equals, value = pair.partition("=")
            if not equals or not column.strip():
                raise click.UsageError(f"{pair!r} is not COLUMN=VALUE")
            name = column.strip()
            timed = name in _TIME_COLUMNS and value.strip()
            cells[name] = self.time(value).isoformat() if timed else value or None
        return cells

    def say(self, text: str) -> None:
        """Tell the person, not the program that reads our output."""
        click.echo(text, err=True)


pass_session = click.make_pass_decorator(Session)


def number(text: str, name: str) -> float:
    """A finite number as typed; BadValue, naming it, where it is none."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if "_" in text or not math.isfinite(value):
        raise BadValue(f"{name} {text!r} is not a number; give one such as 2.5")
    return value


def to_terminal() -> bool:
    """Whether a person watches stderr."""
    return sys.stderr.isatty()
