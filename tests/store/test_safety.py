"""Copies of the book, copies brought back, and what the self-check sees."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.model.errors import BadValue, BookUnusable
from standwatch.model.records import Draft
from standwatch.store import SqliteBook, open_book, restore, restore_book, safety
from standwatch.store.schema import LATEST
from tests.store.shelf import NOW, clock, everything, reading


def read(book: SqliteBook, *days: int) -> None:
    """A reading on each of these days."""
    book.append([Draft(reading(day, error_s=day)) for day in days], at=NOW)


def days(book: SqliteBook) -> list[int]:
    return [record.body.at.day for record in book.check_ins("L1")]


def test_a_backup_is_the_whole_book_in_one_file(book: SqliteBook, tmp_path: Path) -> None:
    book.append([clock()], at=NOW)
    read(book, 1, 2)
    book.set({"zone": "Europe/London"}, at=NOW)
    (tmp_path / "safe").mkdir()
    kept = tmp_path / "safe" / "kept.db"
    book.backup(kept)
    assert [path.name for path in kept.parent.iterdir()] == ["kept.db"]
    read(book, 3)
    with closing(open_book(kept, create=False)) as copy:
        assert days(copy) == [1, 2]
        assert copy.settings() == {"zone": "Europe/London"}
        assert copy.selfcheck() == []
    book.backup(kept)  # a later one takes its place
    with closing(open_book(kept, create=False)) as copy:
        assert everything(copy) == everything(book)


def test_a_backup_while_another_writes_is_whole(book: SqliteBook, tmp_path: Path) -> None:
    book.append([clock()], at=NOW)
    stop = threading.Event()
    written: list[int] = []

    def write() -> None:
        with closing(open_book(book.path)) as other:
            while not stop.is_set():
                # five facts at once: a copy has all of them or none
                other.append([Draft(reading(2, error_s=len(written) + n / 10)) for n in range(5)], at=NOW)
                written.append(1)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(5):
            book.backup(tmp_path / f"kept{number}.db")
    finally:
        stop.set()
        writer.join()
    counts = []
    for number in range(5):
        with closing(open_book(tmp_path / f"kept{number}.db")) as copy:
            assert copy.selfcheck() == []
            counts.append(len(copy.check_ins()))
    assert all(count % 5 == 0 for count in counts)
    assert counts == sorted(counts)
    assert len(book.check_ins()) == 5 * len(written)


def test_where_a_backup_cannot_go(book: SqliteBook, tmp_path: Path) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_text("not a book")
    cats = tmp_path / "cats.db"
    with closing(sqlite3.connect(cats)) as other:
        other.execute("CREATE TABLE cats (name TEXT)")
    held = cats.read_bytes()
    (tmp_path / "link.db").symlink_to(book.path)
    used = open_book(tmp_path / "used.db")
    used.append([clock("U1")], at=NOW)
    for target, why in (
        (book.path, "the book itself"),
        (tmp_path / "link.db", "the book itself"),
        (used.path, "a book in use"),
        (tmp_path, "folder"),
        (notes, "no backup"),
        (cats, "no backup"),
        (tmp_path / "gone" / "kept.db", "can't be written"),
        (Path("/proc/kept.db"), "can't be written"),
    ):
        with pytest.raises(BadValue, match=why):
            book.backup(target)
    assert [record.body.tag for record in used.clocks()] == ["U1"]
    used.close()
    assert notes.read_text() == "not a book"
    assert cats.read_bytes() == held
    assert not list(tmp_path.glob(".*"))


def test_a_restore_keeps_the_book_that_was_there(book: SqliteBook, tmp_path: Path) -> None:
    book.append([clock()], at=NOW)
    read(book, 1)
    kept = tmp_path / "kept.db"
    book.backup(kept)
    read(book, 2)
    book.close()
    before = restore_book(kept, book.path, at=NOW)
    assert before is not None
    assert before.parent == book.path.parent
    with closing(open_book(book.path, create=False)) as now, closing(open_book(before, create=False)) as then:
        assert days(now) == [1]
        assert days(then) == [1, 2]
        assert now.selfcheck() == then.selfcheck() == []
    again = restore_book(before, book.path, at=NOW)  # the same second: another name
    assert again is not None
    assert again != before
    with closing(open_book(book.path, create=False)) as now:
        assert days(now) == [1, 2]


def test_whoever_has_the_book_open_goes_on_with_what_was_restored(book: SqliteBook, tmp_path: Path) -> None:
    book.append([clock()], at=NOW)
    read(book, 1)
    kept = tmp_path / "kept.db"
    book.backup(kept)
    read(book, 2, 3)
    seen = book.version()
    restore_book(kept, book.path, at=NOW)
    assert days(book) == [1]
    assert book.version() > seen
    assert book.touched(seen) is None
    seen = book.version()
    read(book, 4)
    assert days(book) == [1, 4]
    assert book.touched(seen) == frozenset({"L1"})
    assert book.selfcheck() == []
    with closing(open_book(book.path)) as other:
        assert everything(other) == everything(book)


def test_what_is_written_while_a_restore_begins_is_kept_too(
    book: SqliteBook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.append([clock()], at=NOW)
    kept = tmp_path / "kept.db"
    book.backup(kept)
    copied: list[Path] = []

    def copy_and_write(source: sqlite3.Connection, to: Path, named: Path, busy_s: float) -> None:
        safety.copy(source, to, named, busy_s)
        if named == book.path and not copied:
            copied.append(to)
            read(book, 5)

    monkeypatch.setattr(restore, "copy", copy_and_write)
    before = restore_book(kept, book.path, at=NOW)
    assert copied
    assert before is not None
    with closing(open_book(before)) as then:
        assert days(then) == [5]
    assert days(book) == []


def test_a_restore_where_there_is_no_book(book: SqliteBook, tmp_path: Path) -> None:
    book.append([clock()], at=NOW)
    book.backup(tmp_path / "kept.db")
    new = tmp_path / "new.db"
    assert restore_book(tmp_path / "kept.db", new, at=NOW) is None
    with closing(open_book(new, create=False)) as made:
        assert len(made.clocks()) == 1
    with pytest.raises(BookUnusable):
        restore_book(tmp_path / "kept.db", tmp_path / "gone" / "new.db", at=NOW)


def test_a_restore_over_a_damaged_book_whose_log_was_left(book: SqliteBook, tmp_path: Path) -> None:
    """The log that a crash leaves is the damaged book's own: it must not be read into the restored one."""
    book.append([clock(f"L{n}", description="x" * 300) for n in range(60)], at=NOW)
    kept = tmp_path / "kept.db"
    book.backup(kept)
    read(book, 1)
    crashed = tmp_path / "crashed.db"
    log = (tmp_path / "stand.db-wal").read_bytes()
    assert log
    pages = bytearray(book.path.read_bytes())
    for page in range(1, len(pages) // 4096):
        pages[page * 4096 : page * 4096 + 64] = b"\xff" * 64
    for content in (bytes(pages), b"no SQLite file " * 20):
        crashed.write_bytes(content)
        (tmp_path / "crashed.db-wal").write_bytes(log)
        before = restore_book(kept, crashed, at=NOW + timedelta(seconds=len(content)))
        assert before is not None
        assert before.exists()
        with closing(open_book(crashed, create=False)) as restored:
            assert restored.check_ins() == []
            assert len(restored.clocks()) == 60
            assert restored.selfcheck() == []
        crashed.unlink()


def test_what_cannot_be_restored_changes_nothing(book: SqliteBook, tmp_path: Path) -> None:
    book.append([clock(f"L{n}", description="x" * 300) for n in range(60)], at=NOW)
    read(book, 1)
    kept = tmp_path / "kept.db"
    book.backup(kept)
    before = everything(book)
    whole = kept.read_bytes()
    damaged = bytearray(whole)
    damaged[4096 * 4 : 4096 * 4 + 2048] = b"\x7f" * 2048
    newer = bytearray(whole)
    newer[60:64] = (LATEST + 1).to_bytes(4, "big")
    for name, content, why in (
        ("damaged", bytes(damaged), r"not whole|damaged"),
        ("cut", whole[: len(whole) // 2], r"not whole|damaged"),
        ("words", b"tag,kind\n" * 50, "no SQLite file"),
        ("newer", bytes(newer), "newer version"),
        ("empty", b"", "no SQLite file"),
    ):
        bad = tmp_path / f"{name}.db"
        bad.write_bytes(content)
        with pytest.raises(BookUnusable, match=why):
            restore_book(bad, book.path, at=NOW)
        assert bad.read_bytes() == content
        assert everything(book) == before
    with pytest.raises(BadValue, match="no such backup"):
        restore_book(tmp_path / "gone.db", book.path, at=NOW)
    with pytest.raises(BadValue, match="the book itself"):
        restore_book(book.path, book.path, at=NOW)
    assert not [*tmp_path.glob(".*"), *tmp_path.glob("*before*")]


def test_a_restore_into_a_strangers_or_a_newer_book_is_refused(book: SqliteBook, tmp_path: Path) -> None:
    kept = tmp_path / "kept.db"
    book.backup(kept)
    cats = tmp_path / "cats.db"
    with closing(sqlite3.connect(cats)) as other:
        other.execute("CREATE TABLE cats (name TEXT)")
    newer = tmp_path / "newer.db"
    newer.write_bytes(kept.read_bytes())
    with closing(sqlite3.connect(newer)) as other:
        other.execute(f"PRAGMA user_version = {LATEST + 1}")
    for target, why in ((cats, "another program"), (newer, "newer version")):
        held = target.read_bytes()
        with pytest.raises(BookUnusable, match=why):
            restore_book(kept, target, at=NOW)
        assert target.read_bytes() == held


def test_a_restore_into_a_locked_book_gives_up_in_time(book: SqliteBook, tmp_path: Path) -> None:
    book.append([clock()], at=NOW)
    kept = tmp_path / "kept.db"
    book.backup(kept)
    read(book, 1)
    with closing(sqlite3.connect(book.path, isolation_level=None)) as holder:
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookUnusable, match="locked by another program"):
            restore_book(kept, book.path, at=NOW, busy_s=0.2)
        holder.execute("ROLLBACK")
    assert days(book) == [1]
    assert book.selfcheck() == []


TAMPERED = [
    ("checkins", "UPDATE checkins SET error_s = 99 WHERE error_s = 2", "has been edited"),
    ("facts", "UPDATE facts SET tag = 'L2' WHERE id = 'two'", "has been edited"),
    ("facts", "UPDATE facts SET digest = x'00' WHERE id = 'two'", "has been edited"),
    ("checkins", "DELETE FROM checkins WHERE error_s = 2", "come apart"),
    ("facts", "DELETE FROM facts WHERE id = 'two'", "missing"),
]


@pytest.mark.parametrize(("table", "deed", "why"), TAMPERED)
def test_a_tampered_row_is_found(book: SqliteBook, tmp_path: Path, table: str, deed: str, why: str) -> None:
    book.append([clock(), Draft(reading(1, error_s=1), id="one"), Draft(reading(2, error_s=2), id="two")], at=NOW)
    assert book.selfcheck() == []
    with closing(sqlite3.connect(book.path, isolation_level=None)) as hand:  # no foreign keys: SQLite's own default
        sql = "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND tbl_name = ?"
        guards: list[tuple[str, str]] = hand.execute(sql, (table,)).fetchall()
        for name, _ in guards:
            hand.execute(f"DROP TRIGGER {name}")
        assert "tables are not as standwatch makes them" in book.selfcheck()[0]
        assert hand.execute(deed).rowcount == 1
        for _, again in guards:
            hand.execute(again)
    assert any(why in said for said in book.selfcheck())
    kept = tmp_path / "kept.db"
    book.backup(kept)
    with pytest.raises(BookUnusable, match="not whole"):
        restore_book(kept, tmp_path / "new.db", at=NOW)
    assert not (tmp_path / "new.db").exists()
