"""Keeping the book safe: a copy while others write, and a look at whether all is whole."""

from __future__ import annotations

import os
import secrets
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from standwatch.model.errors import BadValue
from standwatch.store.connection import BUSY_S, blank, header, locked, why
from standwatch.store.rows import SORTS, AnySort, Stored, digest_of
from standwatch.store.schema import APPLICATION_ID, LATEST

if TYPE_CHECKING:
    from sqlite_utils import Database

BESIDE = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a book that is open, or was left so: the file's name with these at its end."""

_MOVED = """
    SELECT f.id FROM facts AS f LEFT JOIN facts AS r ON r.id = f.replaces
    WHERE (f.replaces IS NULL AND f.place <> f.seq)
       OR (f.replaces IS NOT NULL AND (f.place, f.generation, f.sort) IS NOT (r.place, r.generation + 1, r.sort))
"""
"""Facts whose place does not follow from what they replace."""
_REPLACED = """
    SELECT f.id, r.id, r.tag FROM facts AS f JOIN facts AS r ON r.id = f.replaces JOIN handovers AS h ON h.seq = r.seq
    WHERE h.what = 'released'
"""
"""Facts that replace a release, or take it back, which none may."""


def backup(db: Database, book: Path, to: Path) -> None:
    """Copy the open book to the file `to`, whole; an earlier backup there gives way once the copy is complete.

    BadValue where `to` is the book itself, another file than a backup, or can't be written.
    """
    try:
        _refuse_target(book, to)
        with part_beside(to) as part:
            copy(db.conn, part, book)
            part.replace(to)
            sync_folder(to.parent)
    except (OSError, ValueError) as error:
        raise BadValue(f"the backup {to} can't be written ({why(error)}); name another file") from error


def selfcheck(db: Database) -> list[str]:
    """What is wrong with the file, a sentence each; empty where all is well."""
    said = [str(row[0]) for row in db.execute("PRAGMA integrity_check").fetchall()]
    if said != ["ok"]:
        return [f"SQLite finds the file damaged: {line}." for line in said]
    found = [
        f"Row {row} of {table} names a row of {parent} that is missing."
        for table, row, parent, _key in db.execute("PRAGMA foreign_key_check").fetchall()
    ]
    with closing(blank()) as fresh:
        if _schema(db) != _schema(fresh):
            found.append("The book's tables are not as standwatch makes them; another program has changed them.")
    found += [
        f"The fact {fact_id} no longer stands where it was written." for (fact_id,) in db.execute(_MOVED).fetchall()
    ]
    found += [
        f"The fact {fact_id} takes the place of {tag}'s release {release}, which stands as it was made."
        for fact_id, release, tag in db.execute(_REPLACED).fetchall()
    ]
    for sort in SORTS.values():
        found += _edited(db, sort)
    return found


def _schema(db: Database) -> set[tuple[str, ...]]:
    return set(db.execute("SELECT type, name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'").fetchall())


def _edited(db: Database, sort: AnySort) -> Iterator[str]:
    """What is wrong with the facts of one sort."""
    rows = db.execute(
        f"SELECT f.id, f.digest, f.tag, b.seq, {sort.select} FROM facts AS f "  # noqa: S608  # names of our own
        f"LEFT JOIN {sort.table} AS b ON b.seq = f.seq WHERE f.sort = ?",
        (sort.name,),
    )
    for fact_id, digest, tag, seq, *cells in rows:
        if (digest is None) != (seq is None):
            yield f"The fact {fact_id} and its row in {sort.table} have come apart."
        elif digest is not None:
            told: Stored = {name: cell for name, cell in zip(sort.columns, cells, strict=True) if cell is not None}
            if digest_of(sort.name, tag, told) != digest:
                yield f"The fact {fact_id} has been edited: its cells no longer agree with its digest."


def copy(source: sqlite3.Connection, to: Path, named: Path, busy_s: float = BUSY_S) -> None:
    """Copy a database into the new file `to`, which then stands alone; `named` is the source in what is said."""
    try:
        with closing(sqlite3.connect(to, isolation_level=None)) as target:
            source.backup(target, progress=patience(named, busy_s))
            target.execute("PRAGMA journal_mode = DELETE")
    except sqlite3.OperationalError as error:
        raise OSError(f"{error}") from error  # the source was read before: what fails is the new file
    with to.open("rb") as file:
        os.fsync(file.fileno())


def patience(path: Path, busy_s: float) -> Callable[[int, int, int], None]:
    """A progress for sqlite3's backup, which else waits for ever: BookUnusable once `path` was locked for `busy_s`."""
    ends = time.monotonic() + busy_s

    def progress(status: int, _remaining: int, _total: int) -> None:
        if status in {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED} and time.monotonic() > ends:
            raise locked(path, busy_s)

    return progress


@contextmanager
def part_beside(to: Path) -> Iterator[Path]:
    """A path in the folder of `to` for a file that is being made; gone afterwards, unless it was moved."""
    part = to.with_name(f".{to.name}.{secrets.token_hex(4)}.part")
    try:
        yield part
    finally:
        for name in (part, *beside(part)):
            with suppress(OSError):
                name.unlink(missing_ok=True)


def beside(path: Path) -> tuple[Path, ...]:
    """The files that SQLite may keep beside `path`."""
    return tuple(path.with_name(path.name + end) for end in BESIDE)


def sync_folder(folder: Path) -> None:
    """Make a renaming in `folder` last through a power cut, where the system can."""
    with suppress(OSError):  # not every system opens folders
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _refuse_target(book: Path, to: Path) -> None:
    if to.is_dir():
        raise BadValue(f"the backup {to} is a folder; name a file in it")
    if not to.exists():
        return
    if to.samefile(book):
        raise BadValue(f"the backup {to} is the book itself; name another file")
    found = header(to) if to.stat().st_size else (APPLICATION_ID, LATEST)
    if found is None or found[0] != APPLICATION_ID:
        raise BadValue(f"{to} is there already and is no backup; name another file")
    if any(path.exists() for path in beside(to)):
        raise BadValue(f"{to} is a book in use; name another file")
