"""Books that can't be used are named and left as they are."""

from __future__ import annotations

import os
import sqlite3
import stat
from contextlib import closing
from pathlib import Path

import pytest

from standwatch import bootstrap
from standwatch.model.errors import BookUnusable
from standwatch.store import SqliteBook, open_book
from standwatch.store.schema import APPLICATION_ID, LATEST
from tests.store.shelf import NOW, clock


def refused(path: Path, *, create: bool = True) -> str:
    """Why the book can't be opened; the file's bytes and its folder must stay as they were."""
    before = path.read_bytes() if path.is_file() else None
    beside = sorted(path.parent.iterdir()) if path.parent.is_dir() else None
    with pytest.raises(BookUnusable) as caught:
        open_book(path, create=create)
    assert caught.value.exit_code == 5
    assert (path.read_bytes() if path.is_file() else None) == before
    assert (sorted(path.parent.iterdir()) if path.parent.is_dir() else None) == beside
    return str(caught.value)


def test_a_book_of_a_newer_version(tmp_path: Path) -> None:
    path = tmp_path / "stand.db"
    with closing(open_book(path)) as book:
        book.append([clock()], at=NOW)
        book._db.execute(f"PRAGMA user_version = {LATEST + 1}")
    said = refused(path)
    assert str(path) in said
    assert f"newer version of standwatch (book version {LATEST + 1}" in said
    refused(path, create=False)


@pytest.mark.parametrize("content", [b"tag,kind\n", b"x", b"SQLite format 3\0", b"\0" * 4096])
def test_a_file_that_is_no_sqlite_file(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "stand.db"
    path.write_bytes(content)
    assert "is no SQLite file" in refused(path)


@pytest.mark.parametrize("version", [0, LATEST, LATEST + 5])
def test_a_database_of_another_program(tmp_path: Path, version: int) -> None:
    path = tmp_path / "other.db"
    with closing(sqlite3.connect(path)) as other:
        other.execute("CREATE TABLE cats (name TEXT)")
        other.execute(f"PRAGMA user_version = {version}")
    assert "database of another program" in refused(path)


def test_a_folder(tmp_path: Path) -> None:
    assert "is a folder; name a file in it" in refused(tmp_path)


def test_a_missing_folder(tmp_path: Path) -> None:
    assert "no folder" in refused(tmp_path / "gone" / "stand.db")
    assert not (tmp_path / "gone").exists()


def test_a_missing_book_that_is_not_to_be_made(tmp_path: Path) -> None:
    assert "There is no book at" in refused(tmp_path / "stand.db", create=False)


def test_a_name_that_no_file_can_have(tmp_path: Path) -> None:
    assert "is no file name" in refused(tmp_path / "a\0b")


@pytest.mark.skipif(not Path("/proc/version").exists(), reason="this system has no /proc")
def test_a_folder_that_nobody_can_write() -> None:
    with pytest.raises(BookUnusable, match="can't be opened for writing"):
        open_book(Path("/proc/stand.db"))


def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    folder = tmp_path / "locked"
    folder.mkdir()
    folder.chmod(stat.S_IRUSR | stat.S_IXUSR)
    try:
        if os.access(folder, os.W_OK):
            pytest.skip("this user may write anywhere")
        assert "can't be opened for writing" in refused(folder / "stand.db")
    finally:
        folder.chmod(stat.S_IRWXU)


def test_an_empty_file_becomes_a_book(tmp_path: Path) -> None:
    path = tmp_path / "stand.db"
    path.touch()
    with closing(open_book(path)) as book:
        assert book.clocks() == []
        assert book.selfcheck() == []


def test_a_damaged_page_is_told_as_damage(tmp_path: Path) -> None:
    path = tmp_path / "stand.db"
    with closing(open_book(path)) as book:
        book.append([clock(f"L{n}", description="x" * 500) for n in range(60)], at=NOW)
    raw = bytearray(path.read_bytes())
    for page in range(1, len(raw) // 4096):
        raw[page * 4096 : page * 4096 + 64] = b"\xff" * 64
    path.write_bytes(bytes(raw))
    with pytest.raises(BookUnusable, match="damaged"), closing(open_book(path)) as book:
        book.clocks()


def test_how_a_book_is_kept(book: SqliteBook) -> None:
    """What durability and integrity rest on: https://www.sqlite.org/pragma.html."""

    def told(pragma: str) -> object:
        return book._db.execute(f"PRAGMA {pragma}").fetchone()[0]

    assert told("journal_mode") == "wal"
    assert told("synchronous") == 2  # FULL
    assert told("foreign_keys") == 1
    assert told("application_id") == APPLICATION_ID
    assert told("user_version") == LATEST
    assert book._db.execute("SELECT name FROM pragma_table_list WHERE type = 'table' AND NOT strict").fetchall() == [
        ("sqlite_schema",),
        ("sqlite_temp_schema",),
    ]


def test_the_folder_of_the_default_book_is_made_and_no_other(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a new computer, a backup is brought back to where the program looks for its book."""
    kept = tmp_path / "kept.db"
    with closing(open_book(tmp_path / "stand.db")) as book:
        book.append([clock()], at=NOW)
        book.backup(kept)
    home = tmp_path / "new home" / "standwatch" / "book.sqlite"
    monkeypatch.setattr(bootstrap, "default_book", lambda: home)
    assert bootstrap.restore(kept, home, NOW) is None
    with closing(open_book(home, create=False)) as book:
        assert len(book.clocks()) == 1
    with pytest.raises(BookUnusable):
        bootstrap.restore(kept, tmp_path / "elsewhere" / "book.sqlite", NOW)
    assert not (tmp_path / "elsewhere").exists()
