"""One way to open the book's file, and one way to say that it can't be used.

The file's first hundred bytes tell whose it is (https://www.sqlite.org/fileformat.html, 1.3) before SQLite touches it:
what is no book of ours, or was written by a newer version, is left as it is, byte for byte.
"""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

from standwatch.model.errors import BadValue, BookUnusable
from standwatch.store.schema import APPLICATION_ID, LATEST, migrate, newer, stranger

if TYPE_CHECKING:
    from sqlite_utils import Database

BUSY_S = 5.0
"""How long to wait for another program that holds the book's lock."""

_MAGIC = b"SQLite format 3\x00"
_LOCKED = frozenset({sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED})
_NOT_WRITTEN = frozenset({sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM})
_NOT_WHOLE = frozenset({sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB})


def connect(path: Path, *, create: bool = True, busy_s: float = BUSY_S) -> Database:
    """The book's database, brought up to the latest version; made new where there is none and `create` says so.

    Raises BookUnusable: no book of ours, written by a newer version, locked for longer than `busy_s` seconds, or in a
    folder that is missing or can't be written.
    """
    fresh = _look(path, create=create)
    with telling(path, busy_s):
        conn = sqlite3.connect(
            f"{path.absolute().as_uri()}?mode={'rwc' if fresh else 'rw'}",
            uri=True,
            timeout=busy_s,
            isolation_level=None,  # no transaction but those we begin
        )
        try:
            db = _database(conn)
            migrate(db, path)
            db.execute("PRAGMA journal_mode = WAL")
            db.execute("PRAGMA synchronous = FULL")
            db.execute("PRAGMA foreign_keys = ON")
            db.execute("PRAGMA cache_size = -65536")
        except BaseException:
            conn.close()
            raise
    return db


@contextmanager
def telling(path: Path, busy_s: float = BUSY_S) -> Iterator[None]:
    """Turn SQLite's word that the file can't be used into BookUnusable; our own mistakes pass as they are."""
    try:
        yield
    except (sqlite3.IntegrityError, sqlite3.ProgrammingError):
        raise
    except sqlite3.DatabaseError as error:
        raise _unusable(path, error, busy_s) from error
    except UnicodeEncodeError as error:  # half a character, as a terminal in another encoding passes it on
        raise BadValue(f"{error.object!r} is no text that can be kept; type it in UTF-8") from error


def header(path: Path) -> tuple[int, int] | None:
    """(application id, version) in the file's header; None where it is no SQLite file. Raises OSError."""
    with path.open("rb") as file:
        start = file.read(100)
    if len(start) < 100 or not start.startswith(_MAGIC):
        return None
    return int.from_bytes(start[68:72], "big"), int.from_bytes(start[60:64], "big")


def blank() -> Database:
    """A new book in memory, to compare with."""
    db = _database(sqlite3.connect(":memory:", isolation_level=None))
    migrate(db, Path(":memory:"))
    return db


def refuse_stranger(path: Path) -> None:
    """Raise BookUnusable unless the file's header is that of a book we can read; opens nothing with SQLite."""
    try:
        found = header(path)
    except OSError as error:
        raise BookUnusable(f"The book {path} can't be read: {why(error)}; see to its permissions.") from error
    if found is None:
        raise BookUnusable(f"The book {path} is no SQLite file; name another with --book, or restore a backup.")
    if found[0] != APPLICATION_ID:
        raise stranger(path)
    if found[1] > LATEST:
        raise newer(path, found[1])


def _look(path: Path, *, create: bool) -> bool:
    """Whether the book has still to be made. Raises BookUnusable where it can't be opened or made."""
    if "\0" in str(path):  # SQLite would take the name to end there
        raise BookUnusable(f"{str(path)!r} is no file name; name another with --book.")
    try:
        if path.is_dir():
            raise BookUnusable(f"The book {path} is a folder; name a file in it, such as {path / 'stand.db'}.")
        if path.exists() and path.stat().st_size > 0:
            refuse_stranger(path)
            return False
        if not path.parent.is_dir():
            raise BookUnusable(f"The book {path} can't be kept: there is no folder {path.parent}; make it first.")
    except OSError as error:
        raise BookUnusable(f"The book {path} can't be read: {why(error)}; see to its permissions.") from error
    if not create:
        raise BookUnusable(f"There is no book at {path}; name another with --book.")
    return True


def _unusable(path: Path, error: sqlite3.DatabaseError, busy_s: float) -> BookUnusable:
    code = _code(error)
    if code in _LOCKED:
        return locked(path, busy_s)
    if code in _NOT_WRITTEN:
        return BookUnusable(
            f"The book {path} can't be opened for writing; get the right to write it and its folder {path.parent}, "
            "or name another with --book."
        )
    if code in _NOT_WHOLE:
        return BookUnusable(f"The book {path} is damaged ({error}); restore a backup.")
    if code == sqlite3.SQLITE_FULL:
        return BookUnusable(f"The book {path} can't grow: the disk is full; make room, nothing was changed.")
    return BookUnusable(f"The book {path} can't be used ({error}); run `standwatch selfcheck`, or restore a backup.")


def locked(path: Path, busy_s: float) -> BookUnusable:
    """That another program has held the lock for over `busy_s` seconds."""
    return BookUnusable(
        f"The book {path} has been locked by another program for over {busy_s:g} s; close that one, or try again."
    )


def is_damage(error: BookUnusable) -> bool:
    """Whether the book can't be used because its file is damaged, or no SQLite file at all."""
    cause = error.__cause__
    return isinstance(cause, sqlite3.DatabaseError) and _code(cause) in _NOT_WHOLE


def _code(error: sqlite3.DatabaseError) -> int:
    """SQLite's primary result code."""
    return getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF


def why(error: OSError | ValueError) -> str:
    """What the system says of a file, in its own few words."""
    said = error.strerror if isinstance(error, OSError) else None
    return (said or str(error)).lower()


def _database(conn: sqlite3.Connection) -> Database:
    """`conn` as sqlite-utils has it."""
    with _without("pandas", "numpy") if "sqlite_utils" not in sys.modules else nullcontext():
        from sqlite_utils import Database  # noqa: PLC0415  # by need: a command that opens no book needn't wait

    return Database(conn, execute_plugins=False)


@contextmanager
def _without(*names: str) -> Iterator[None]:
    """Hide modules that sqlite-utils imports where it finds them, at many times its own cost, to map their types.

    No value of ours has one of those types.
    """
    hidden = [name for name in names if name not in sys.modules]
    sys.modules.update(dict.fromkeys(hidden))  # type: ignore[arg-type]  # None makes an import of it fail at once
    try:
        yield
    finally:
        for name in hidden:
            sys.modules.pop(name, None)
