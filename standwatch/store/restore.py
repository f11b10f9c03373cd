"""A backup brought back, while others may have the book open."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from standwatch.model.errors import BadValue, BookUnusable
from standwatch.store.connection import BUSY_S, connect, header, is_damage, refuse_stranger, telling, why
from standwatch.store.reading import version
from standwatch.store.rows import stored_time
from standwatch.store.safety import beside, copy, part_beside, patience, selfcheck, sync_folder

if TYPE_CHECKING:
    from sqlite_utils import Database


def restore_book(backup: Path, to: Path, *, at: datetime, busy_s: float = BUSY_S) -> Path | None:
    """Make the book `to` what it was in `backup`; the book that was there stays beside it, under the name returned.

    A book is changed in one transaction, so whoever has it open goes on with what was restored. What is no SQLite file
    or damaged is moved aside instead. BadValue where there is no such backup; BookUnusable where it is not a whole
    book, and where `to` can't be written, is locked, another program's, or a newer version's.
    """
    try:
        if not backup.is_file():
            raise BadValue(f"{backup}: there is no such backup; name the file of one")
        if to.exists() and backup.samefile(to):
            raise BadValue(f"{backup}: this is the book itself; name the file of a backup")
        if to.is_dir() or not to.parent.is_dir():
            raise BookUnusable(f"The book {to} can't be kept there; name a file in a folder that is.")
        refuse_stranger(backup)
        with part_beside(to) as part:
            with telling(backup, busy_s), closing(_reading(backup)) as source:
                copy(source, part, backup, busy_s)
            with telling(backup, busy_s), closing(connect(part, create=False)) as whole:
                problems = selfcheck(whole)
                if problems:
                    raise BookUnusable(f"The backup {backup} is not whole: {problems[0]} Restore another one.")
                if not to.exists() or to.stat().st_size == 0 or header(to) is None:
                    present = None
                else:
                    present = _kept_and_overwritten(whole, to, at, busy_s)
            return present or _moved_in(part, to, at)
    except OSError as error:
        raise BookUnusable(f"The book {to} can't be restored ({why(error)}); see to its folder {to.parent}.") from error


def _reading(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)


def _kept_and_overwritten(whole: Database, to: Path, at: datetime, busy_s: float) -> Path | None:
    """Copy the book `to` aside, then put `whole` into it; where the copy is. None where `to` is damaged."""
    refuse_stranger(to)
    kept = _kept_name(to, at)
    try:
        with closing(connect(to, create=False, busy_s=busy_s)) as present, telling(to, busy_s):
            lost = version(present)
            copy(present.conn, kept, to, busy_s)
            while version(present) != lost:  # someone wrote meanwhile: that is to be kept too
                lost = version(present)
                kept.unlink()
                copy(present.conn, kept, to, busy_s)
            whole.execute(
                "INSERT INTO restores (seq, lost, recorded_at) VALUES (?, ?, ?)",
                (max(version(whole), lost) + 1, lost, stored_time(at)),
            )
            whole.conn.backup(present.conn, progress=patience(to, busy_s))
    except BookUnusable as error:
        if not is_damage(error):
            raise
        kept.unlink(missing_ok=True)
        return None
    return kept


def _moved_in(part: Path, to: Path, at: datetime) -> Path | None:
    """Put the file `part` in the place of `to`, which is moved aside if there is one; where it is then."""
    kept = _kept_name(to, at)
    there = to.exists() and to.stat().st_size > 0
    if there:
        to.rename(kept)
    for left, aside in zip(beside(to), beside(kept), strict=True):
        if left.exists():  # SQLite would take an old log for the new book's
            left.rename(aside)
    part.replace(to)
    sync_folder(to.parent)
    return kept if there else None


def _kept_name(to: Path, at: datetime) -> Path:
    """A name beside `to` that tells when it was replaced, and that nothing has yet."""
    stem = f"{to.stem}-before-restore-{at.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    kept = to.with_name(stem + to.suffix)
    number = 2
    while kept.exists():
        kept = to.with_name(f"{stem}-{number}{to.suffix}")
        number += 1
    return kept
