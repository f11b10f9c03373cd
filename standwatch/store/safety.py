"""Keeping the book safe: a copy while others write, a copy brought back, and a look at whether all is whole."""

from __future__ import annotations

import os
import secrets
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING

from standwatch.model.errors import BadValue, BookUnusable
from standwatch.store.connection import BUSY_S, connect, header, refuse_stranger, telling
from standwatch.store.reading import version
from standwatch.store.rows import SORTS, digest_of, stored_time
from standwatch.store.rows import stored as stored_cells
from standwatch.store.schema import APPLICATION_ID

if TYPE_CHECKING:
    from sqlite_utils import Database


def backup(db: Database, path: Path, to: Path) -> None:
    """Copy the open book `db`, kept at `path`, whole to `to`; an earlier backup there is replaced.

    Raises BadValue where `to` is the book itself, a file that is no book, or can't be written.
    """
    if to.exists() and path.exists() and to.samefile(path):
        raise BadValue(f"{to} is the book itself; name another file for the backup")
    if to.exists() and to.stat().st_size > 0 and _owner(to) != APPLICATION_ID:
        raise BadValue(f"{to} is there already and is no book; name another file for the backup")
    with _beside(to) as copy:
        with closing(sqlite3.connect(copy)) as target:
            db.conn.backup(target)
            target.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
        _to_disk(copy)
        copy.replace(to)


def restore_book(kept: Path, to: Path) -> Path | None:
    """Put the backup `kept` in the place of the book `to`; where the book that was there is kept, None if none was.

    The backup is looked over first. Other terminals on the book see it change; its version goes on growing. Raises
    BadValue where there is no such backup or it is the book itself, BookUnusable where it is no whole book.
    """
    if not kept.is_file():
        raise BadValue(f"there is no backup at {kept}; name the file that `standwatch backup` wrote")
    if to.exists() and kept.samefile(to):
        raise BadValue(f"{kept} is the book itself; name a backup of it")
    refuse_stranger(kept)
    with _beside(to) as copy:
        with telling(kept), closing(sqlite3.connect(f"{kept.absolute().as_uri()}?mode=ro", uri=True)) as source:
            with closing(sqlite3.connect(copy)) as target:
                source.backup(target)
        with telling(kept), closing(connect(copy, create=False)) as new:
            if problems := selfcheck(new):
                raise BookUnusable(f"The backup {kept} is not whole: {problems[0]}")
            before = _before(to)
            if to.exists():
                _told(new, to)
            new.execute("PRAGMA journal_mode = DELETE")
        _to_disk(copy)
        if before is None or not _pour(copy, to):
            copy.replace(to)
    return before


def selfcheck(db: Database) -> list[str]:
    """What is wrong with the open book, a sentence each: pages, references, facts against their digests."""
    found = [f"The file is damaged: {said}." for (said,) in db.execute("PRAGMA integrity_check") if said != "ok"]
    for table, row, parent, _ in db.execute("PRAGMA foreign_key_check"):
        found.append(f"Row {row} of {table} points to a row of {parent} that is missing.")
    for sort in SORTS.values():
        sql = (
            f"SELECT f.id, f.tag, f.digest, {sort.select} FROM facts AS f "  # noqa: S608  # names of our own
            f"LEFT JOIN {sort.table} AS b ON b.seq = f.seq WHERE f.sort = ? AND f.digest IS NOT NULL"
        )
        for fact, tag, digest, *cells in db.execute(sql, (sort.name,)):
            try:
                whole = digest_of(sort.name, stored_cells(sort.body(tag, cells))) == digest
            except (ValueError, KeyError):
                whole = False
            if not whole:
                found.append(f"The fact {fact} of {tag} is not as it was written.")
    return found


def _owner(path: Path) -> int | None:
    """The application id in the header of `path`; None where it is no SQLite file or can't be read."""
    try:
        found = header(path)
    except OSError as error:
        raise BadValue(f"{path} can't be read: {(error.strerror or str(error)).lower()}") from error
    return found[0] if found else None


@contextmanager
def _beside(path: Path) -> Iterator[Path]:
    """A name for a new file beside `path`, which is gone afterwards unless it was moved. BadValue: can't be written."""
    copy = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    try:
        copy.touch(mode=0o600, exist_ok=False)
        yield copy
    except OSError as error:
        raise BadValue(f"{path} can't be written: {(error.strerror or str(error)).lower()}; name another") from error
    finally:
        for name in (copy, copy.with_name(f"{copy.name}-wal"), copy.with_name(f"{copy.name}-shm")):
            with suppress(OSError):
                name.unlink(missing_ok=True)


def _before(to: Path) -> Path | None:
    """Keep the book that is at `to` beside it, dated; where. A book that can't be read is kept as it is."""
    if not to.exists():
        return None
    stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
    name = to.with_name(f"{to.stem}-before-{stamp}{to.suffix}")
    while name.exists():
        name = name.with_name(f"{name.stem}-2{name.suffix}")
    try:
        with closing(connect(to, create=False)) as old:
            backup(old, to, name)
    except BookUnusable:
        to.replace(name)
    return name


def _told(new: Database, to: Path) -> None:
    """Write into the restored book that it was restored, with a number above all that `to` has given."""
    last = version(new)
    with suppress(BookUnusable), closing(connect(to, create=False)) as old:
        last = max(last, version(old))
    lost = last - version(new)
    at = stored_time(datetime.now(UTC))
    new.execute("INSERT INTO restores (seq, lost, recorded_at) VALUES (?, ?, ?)", (last + 1, lost, at))


def _pour(copy: Path, to: Path) -> bool:
    """Copy a book into the one at `to` in one transaction, so that terminals which have it open see it change.

    False where `to` is no book any more, so that it can be replaced outright. BookUnusable: locked for too long.
    """
    if not to.exists():
        return False
    until = monotonic() + BUSY_S

    def patient(_status: int, remaining: int, _total: int) -> None:
        if remaining and monotonic() > until:
            raise sqlite3.OperationalError("database is locked")

    with telling(to), closing(sqlite3.connect(copy)) as source, closing(sqlite3.connect(to, timeout=BUSY_S)) as target:
        source.backup(target, progress=patient)
    return True


def _to_disk(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())
