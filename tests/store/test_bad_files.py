"""Files that are no ledger, or not quite: what is taken, and where the rest goes wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from standwatch.store import SqliteBook
from tests.store.shelf import CLOCKS, NOW, bring, ledger
from tests.store.test_bad_values import refused

ROW = "2026-11-02T08:00:00+00:00,L1,1.5"


@pytest.mark.parametrize(
    ("raw", "place", "why"),
    [
        (b"at,tag,error_s\n" + ROW.encode() + b",extra\n", "2:4", "the row has 4 cells and the header 3"),
        (b"at,tag,error_s,\n" + ROW.encode() + b"\n", "1:4", "without a name"),
        (b"at,tag,eror_s\n" + ROW.encode() + b"\n", "1:3", "no column 'eror_s'; did you mean error_s?"),
        (b"at,tag,bells\n" + ROW.encode() + b"\n", "1:3", "no column 'bells'"),
        (b"at,tag,error_s,error_s\n", "1:4", "the column 'error_s' stands twice"),
        (b"at,error_s\n2026-11-02T08:00:00+00:00,1\n", "1:2", "needs the column tag"),
        (b"", "1:1", "the file is empty"),
        (b"\n\r\n\n", "1:1", "the file is empty"),
        (b"\xef\xbb\xbf", "1:1", "the file is empty"),
        (b"at,tag,note\n" + ROW.encode()[:-3] + b"caf\xe9\n", "2:3", "the byte 0xe9 is no UTF-8"),
        ("at,tag,error_s\n".encode("utf-16"), "1:1", "save the file as CSV in UTF-8"),
        (b"at,tag,note\n" + ROW.encode()[:-3] + b"a\0b\n", "2:3", "a NUL byte"),
        (b'at,tag,note\n2026-11-02T08:00:00+00:00,L1,"never closed\nmore\n', "2:3", "a quote is opened here"),
        (b'at,tag,note\n2026-11-02T08:00:00+00:00,L1,"a"b\n', "2:3", "not CSV"),
        (b"at,tag,note\n2026-11-02T08:00:00+00:00,L1," + b"x" * 140_000 + b"\n", "2:3", "longer than 131072"),
    ],
)  # fmt: skip
def test_a_file_that_cannot_be_read_as_a_ledger(
    book: SqliteBook, tmp_path: Path, raw: bytes, place: str, why: str
) -> None:
    folder = ledger(tmp_path / "in", checkins=raw or b"\r")
    (folder / "checkins.csv").write_bytes(raw)
    said = refused(book, folder)
    assert said.startswith(f"{folder / 'checkins.csv'}:{place}: "), said
    assert why in said


def test_a_mistake_in_the_last_row_undoes_all_before_it(book: SqliteBook, tmp_path: Path) -> None:
    rows = "".join(f"2026-11-02T08:{m:02}:{s:02}+00:00,L1,1\n" for m in range(30) for s in range(60))
    folder = ledger(tmp_path / "in", checkins=f"at,tag,error_s\n{rows}{ROW}x\n")
    assert refused(book, folder).startswith(f"{folder / 'checkins.csv'}:1802:3: error_s '1.5x' is not a number")
    assert book.clocks() == []


def test_a_byte_order_mark_and_crlf_are_taken(book: SqliteBook, tmp_path: Path) -> None:
    text = f'at,tag,error_s,note\r\n{ROW},"one\r\ntwo, three"\r\n\r\n{ROW.replace("-02", "-03")},\r\n'
    bring(book, ledger(tmp_path / "in", checkins=b"\xef\xbb\xbf" + text.encode()))
    assert [(r.body.error_s, r.body.note) for r in book.check_ins("L1")] == [(1.5, "one two, three"), (1.5, None)]


def test_a_header_alone_is_fine(book: SqliteBook, tmp_path: Path) -> None:
    report = bring(book, ledger(tmp_path / "in", clocks="tag,kind\n", checkins="at,tag"))
    assert report.rows == {"clocks.csv": 0, "checkins.csv": 0}
    assert report.added == report.rows
    assert book.version() == 0


def test_short_rows_and_rows_of_commas_are_fine(book: SqliteBook, tmp_path: Path) -> None:
    report = bring(book, ledger(tmp_path / "in", checkins=f"at,tag,error_s,note\n{ROW}\n,,,\n , ,\n"))
    assert report.rows["checkins.csv"] == 1


def test_a_folder_without_a_ledger(book: SqliteBook, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "empty" / "notes.csv").write_text("at,tag\n")
    assert "no ledger is in this folder" in refused(book, tmp_path / "empty")


def test_a_path_that_is_not_there(book: SqliteBook, tmp_path: Path) -> None:
    assert "no such file or folder" in refused(book, tmp_path / "gone.csv")
    assert "nothing to import" in refused(book)


@pytest.mark.parametrize(
    ("header", "row", "kept"),
    [
        ("kind,tag", "longcase,L7", "clocks"),
        ("error_s,tag,at", "2,L1,2026-11-02T08:00:00+00:00", "check_ins"),
        ("at,tag,what", "2026-11-02T08:00:00+00:00,L1,called", "handovers"),
        ("at,tag,requirement,reason,by", "2026-11-02T08:00:00+00:00,L1,moon,no moon,K. M.", "waivers"),
        ("value,name", "Europe/London,zone", "settings"),
    ],
)
def test_a_lone_file_is_told_by_its_header(book: SqliteBook, tmp_path: Path, header: str, row: str, kept: str) -> None:
    clocks = ledger(tmp_path / "clocks") / "clocks.csv"
    lone = tmp_path / "any name.txt"
    lone.write_text(f"{header}\n{row}\n")
    report = bring(book, *([lone] if kept == "settings" else [lone, clocks]))  # whatever the order they are named in
    assert report.added["any name.txt"] == 1
    assert len(getattr(book, kept)()) == (5 if kept == "clocks" else 1)


def test_a_lone_file_of_something_else(book: SqliteBook, tmp_path: Path) -> None:
    lone = tmp_path / "prices.csv"
    lone.write_text("article,price\noil,3\n")
    assert refused(book, lone).startswith(f"{lone}:1:1: this header is none of a ledger")


def test_an_empty_cell_is_not_given(book: SqliteBook, tmp_path: Path) -> None:
    bring(book, ledger(tmp_path / "in", checkins="at,tag,error_s,work,note\n2026-11-02T08:00:00+00:00,L1,, ,\n"))
    [found] = book.check_ins()
    assert (found.body.error_s, found.body.work, found.body.note) == (None, None, None)


def test_progress_is_told_rows_done(book: SqliteBook, tmp_path: Path) -> None:
    rows = "".join(f"2026-11-02T08:{m:02}:{s:02}+00:00,L1,1\n" for m in range(20) for s in range(60))
    folder = ledger(tmp_path / "in", checkins=f"at,tag,error_s\n{rows}")
    told: list[int] = []
    book.import_ledger([folder], check=lambda _b, _c: None, at=NOW, dry_run=False, progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1200 + CLOCKS.count("\n") - 1
