"""One row of a ledger as a fact on its way, and what the book and the import know of such facts already."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from standwatch.model.errors import BadValue
from standwatch.model.facts import Body
from standwatch.model.records import build
from standwatch.model.text import clean
from standwatch.store.ledger_read import LedgerFile
from standwatch.store.rows import AnySort, Stored, digest_of, stored

if TYPE_CHECKING:
    from sqlite_utils import Database

_LONGEST_ID = 64


@dataclass(slots=True)
class Row:
    """One row that tells a fact, and where it stands. Without `body` it takes `replaces` back."""

    file: LedgerFile
    sort: AnySort
    line: int
    cells: list[str]
    id: str | None
    replaces: str | None
    body: Body | None
    stored: Stored
    digest: bytes | None

    def bad(self, error: BadValue) -> BadValue:
        """`error` with the row's place."""
        return self.file.bad_cell(self.line, self.cells, error)


def row_of(file: LedgerFile, sort: AnySort, line: int, cells: list[str]) -> Row | None:
    """The fact that a row tells; None for a row of empty cells. Raises BadValue with its place."""
    told: dict[str, object] = dict(file.cells(line, cells))
    if not told:
        return None
    try:
        fact_id = _id_cell(told.pop("id", None), "id")
        replaces = _id_cell(told.pop("replaces", None), "replaces")
        if not told and replaces is not None:
            return Row(file, sort, line, cells, fact_id, replaces, None, {}, None)
        body: Body = build(sort.model, told)
    except BadValue as error:
        raise file.bad_cell(line, cells, error) from None
    kept = stored(body)
    return Row(file, sort, line, cells, fact_id, replaces, body, kept, digest_of(sort.name, body.tag, kept))


def _id_cell(text: object, column: str) -> str | None:
    if text is None:
        return None
    cleaned = clean(str(text))
    if not 1 <= len(cleaned) <= _LONGEST_ID:
        raise BadValue(
            f"{column} {text!r} can't be an id; give 1 to {_LONGEST_ID} printable characters, or leave it empty",
            column=column,
        )
    return cleaned


class Known:
    """The facts that are recorded already, by id and by value, so that no row is taken twice.

    `look` before asking about the rows of a batch; `add` each one that is taken.
    """

    def __init__(self, db: Database) -> None:
        self._db = db
        self._held: list[Row] = []
        self._ids: dict[str, tuple[bytes | None, str | None]] = {}
        self._values: dict[bytes | None, set[str | None]] = {}

    def hold(self, row: Row) -> None:
        """Remember a row that is taken but not yet in the book."""
        self._held.append(row)

    def look(self, batch: Sequence[Row]) -> None:
        """Learn what the book has of the rows of `batch`."""
        self._ids.clear()
        self._values.clear()
        for row in self._held:
            self.add(row)
        columns = "id, digest, replaces"
        found = self._select(columns, "id", {row.id for row in batch if row.id is not None})
        self._ids.update((fact_id, (digest, replaces)) for fact_id, digest, replaces in found)
        nameless = [row for row in batch if row.id is None]
        for wanted, name in (
            ({row.digest for row in nameless if row.digest is not None}, "digest"),
            ({row.replaces for row in nameless if row.digest is None}, "replaces"),
        ):
            for _id, digest, replaces in self._select(columns, name, wanted):
                self._values.setdefault(digest, set()).add(replaces)

    def add(self, row: Row) -> None:
        """Remember a row that is taken."""
        if row.id is not None:
            self._ids[row.id] = (row.digest, row.replaces)
        self._values.setdefault(row.digest, set()).add(row.replaces)

    def has(self, row: Row) -> bool:
        """Whether the fact is recorded already. Raises BadValue where its id is another fact's."""
        if row.id is None:
            same = self._values.get(row.digest)
            # a row that names nothing it replaces is the same as a correction that reads like it
            return same is not None and (row.replaces in same or (row.replaces is None and row.digest is not None))
        known = self._ids.get(row.id)
        if known is not None and known != (row.digest, row.replaces):
            raise row.bad(
                BadValue(
                    f"id {row.id!r}: a fact of this id is recorded with other cells; leave id empty for a new fact, or "
                    "give a new id and name the old one in replaces",
                    column="id",
                )
            )
        return known is not None

    def _select(self, columns: str, name: str, wanted: Iterable[object]) -> list[tuple[Any, ...]]:
        values = list(wanted)
        if not values:
            return []
        marks = ", ".join("?" * len(values))
        sql = f"SELECT {columns} FROM facts WHERE {name} IN ({marks})"  # noqa: S608  # names of our own
        return self._db.execute(sql, values).fetchall()
