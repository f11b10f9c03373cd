"""The whole book as a ledger: every fact ever written, with id and replaces, and the settings.

What is kept by export and import: every fact with its id and cells, what replaces what, and the order of the facts of
each file. Not kept: when a fact was recorded, and the order of facts across files; so a tie of one time within one
clock's check-ins is kept, and what `undo` takes back first may differ.
"""

from __future__ import annotations

import csv
import errno
import os
import secrets
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from standwatch.model.errors import BadValue
from standwatch.store.connection import why
from standwatch.store.ledger_read import BOOK_COLUMNS, BOOK_FILE, OWN_COLUMNS
from standwatch.store.reading import settings
from standwatch.store.rows import SORTS, AnySort

if TYPE_CHECKING:
    from sqlite_utils import Database


def write_ledger(db: Database, folder: Path) -> dict[str, int]:
    """Write the ledger's five files into `folder`, made where it is missing; rows by file name.

    All are whole before the first takes its place. BadValue where they can't be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with _snapshot(db), _placed(folder) as place:
            counts = {sort.file: _write(place(sort.file), _header(sort), _facts(db, sort)) for sort in SORTS.values()}
            counts[BOOK_FILE] = _write(place(BOOK_FILE), BOOK_COLUMNS, iter(settings(db).items()))
    except (OSError, ValueError) as error:
        raise BadValue(f"the ledger can't be written to {folder} ({why(error)}); name another folder") from error
    return counts


@contextmanager
def _snapshot(db: Database) -> Iterator[None]:
    """One state of the book for several reads, whoever writes meanwhile."""
    if db.conn.in_transaction:
        yield
        return
    try:
        db.execute("BEGIN")
        yield
    finally:
        db.rollback()


@contextmanager
def _placed(folder: Path) -> Iterator[Callable[[str], Path]]:
    """Gives paths to write to; the files take their names when all is done, or go."""
    token = secrets.token_hex(4)
    parts: dict[str, Path] = {}

    def place(name: str) -> Path:
        parts[name] = folder / f".{name}.{token}.part"
        return parts[name]

    try:
        yield place
        for name in parts:
            if (folder / name).is_dir():
                raise IsADirectoryError(errno.EISDIR, f"{name} is a folder there")
        for name, part in parts.items():
            part.replace(folder / name)
    finally:
        for part in parts.values():
            with suppress(OSError):
                part.unlink(missing_ok=True)


def _write(path: Path, header: Sequence[str], rows: Iterator[Sequence[str]]) -> int:
    count = 0
    with path.open("x", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        for row in rows:
            writer.writerow(row)
            count += 1
        file.flush()
        os.fsync(file.fileno())
    return count


def _header(sort: AnySort) -> tuple[str, ...]:
    return (*OWN_COLUMNS, *sort.ledger_columns)


def _facts(db: Database, sort: AnySort) -> Iterator[list[str]]:
    cursor = db.execute(
        f"SELECT f.id, f.replaces, f.digest IS NULL, f.tag, {sort.select} "  # noqa: S608  # names of our own
        f"FROM facts AS f LEFT JOIN {sort.table} AS b ON b.seq = f.seq WHERE f.sort = ? ORDER BY f.seq",
        (sort.name,),
    )
    columns = ("tag", *sort.columns)
    order = [columns.index(name) for name in sort.ledger_columns]
    texts = [_text(sort.kinds[name]) for name in columns]
    nothing = [""] * len(columns)
    for fact_id, replaces, takes_back, *cells in cursor:
        told = nothing if takes_back else ["" if c is None else text(c) for text, c in zip(texts, cells, strict=True)]
        yield [fact_id, replaces or "", *(told[i] for i in order)]


def _text(kind: type) -> Callable[[Any], str]:
    """How a stored cell of a column of `kind` is written."""
    if kind is bool:
        return ("no", "yes").__getitem__
    if kind is float:
        return lambda value: repr(value).removesuffix(".0")  # the shortest that reads back the same
    if kind is datetime:
        return lambda value: value.replace(".000000+", "+")
    return str
