"""A ledger's book.csv: the settings of the book it came from."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import TYPE_CHECKING

from standwatch.model.errors import BadValue
from standwatch.model.text import clean
from standwatch.store.ledger_read import LedgerFile
from standwatch.store.ledger_row import Row
from standwatch.store.reading import settings
from standwatch.store.writing import write_setting

if TYPE_CHECKING:
    from sqlite_utils import Database


class LedgerSettings:
    """Settings that come with a ledger: a book without facts takes them, any other keeps its own and says so.

    `notes` has a sentence for each difference. Make it before the first row of the ledger is written.
    """

    def __init__(self, db: Database, at: datetime, check: Callable[[str, str], str] | None) -> None:
        self._db = db
        self._at = at
        self._check = check
        self._fresh = db.execute("SELECT 1 FROM facts LIMIT 1").fetchone() is None
        self._kept = settings(db)
        self._zones: tuple[str, str] | None = None
        self.notes: list[str] = []

    def take(self, file: LedgerFile) -> None:
        """Take the rows of one book.csv. Raises BadValue with its place."""
        seen: dict[str, str] = {}
        for line, cells in file.rows:
            told = file.cells(line, cells)
            if not told:
                continue
            file.row_count += 1
            name, value = (clean(told.get(column, "")) for column in ("name", "value"))
            try:
                kept = self._checked(name, value, seen)
            except BadValue as error:
                error.column = error.column or "value"
                raise file.bad_cell(line, cells, error) from None
            self._take(file, name, kept)

    def _checked(self, name: str, value: str, seen: dict[str, str]) -> str:
        """The value as the book keeps it. Raises BadValue with its column."""
        if not name:
            raise BadValue("name is not given; give a setting's name", column="name")
        if seen.setdefault(name, value) != value:
            raise BadValue(f"the setting {name} stands twice with different values; keep one", column="name")
        return self._check(name, value) if self._check else value

    def _take(self, file: LedgerFile, name: str, value: str) -> None:
        own = self._kept.get(name)
        if (own or "") == value:
            return
        if self._fresh:
            self._kept[name] = value
            write_setting(self._db, name, value, self._at)
            file.added += 1
            return
        if name == "zone" and own:
            self._zones = (value, own)
        stays = f"stays {own}" if own else "is not set here and stays so"
        self.notes.append(f"{name} {stays}; the ledger has {value or 'nothing'}: `standwatch set` changes it")

    def refuse_dial(self, row: Row) -> None:
        """Raise BadValue, with its place, for a dial told in another zone than the book's."""
        if self._zones is not None and "dial" in row.stored:
            there, here = self._zones
            sentence = (
                f"dial {row.stored['dial']} is told in the zone {there} and this book's is {here}; "
                "give error_s instead, or import into a book of that zone"
            )
            raise row.bad(BadValue(sentence, column="dial"))
