"""What is the same fact and what another: ids, equal cells, corrections, facts taken back, text that tricks."""

from __future__ import annotations

from pathlib import Path

import pytest

from standwatch.store import SqliteBook
from tests.store.shelf import bring, everything, ledger
from tests.store.test_bad_values import refused

A = "2026-11-02T08:00:00+00:00"
B = "2026-11-03T08:00:00+00:00"


def errors(book: SqliteBook) -> list[float | None]:
    return [r.body.error_s for r in book.check_ins("L1")]


def test_a_second_import_adds_nothing(book: SqliteBook, tmp_path: Path) -> None:
    text = f"id,replaces,at,tag,error_s\n,,{A},L1,2\nk1,,{B},L1,3\nk2,k1,{B},L1,4\n,k2,,,\n,,{B},L1,9\n"
    folder = ledger(tmp_path / "in", checkins=text)
    first = bring(book, folder)
    assert first.added == {"clocks.csv": 4, "checkins.csv": 5}
    before = everything(book)
    second = bring(book, folder)
    assert second.added == {"clocks.csv": 0, "checkins.csv": 0}
    assert second.rows == first.rows
    assert everything(book) == before


def test_a_check_alone_reports_and_keeps_nothing(book: SqliteBook, tmp_path: Path) -> None:
    report = bring(book, ledger(tmp_path / "in", checkins=f"at,tag\n{A},L1\n"), dry_run=True)
    assert report.added == {"clocks.csv": 4, "checkins.csv": 1}
    assert book.version() == 0


@pytest.mark.parametrize(
    ("first", "again"),
    [
        ("error_s\n{},L1,2.0", "error_s\n{},L1,2"),
        ("error_s\n{},L1,2", "error_s\n{},L1,+2.00e0"),
        ("error_s\n{},L1,0", "error_s\n{},L1,-0.0"),
        ("staged,hour,blows\n{},L1,yes,3,3", "hour,blows,staged\n{},L1,3,3,YES"),
        ("dial\n{},L1,08:01", "dial\n{},L1,8:01"),
        ("note\n{},L1,a  b", 'note\n{},L1," a  b\n"'),
        ("note\n2026-11-02T09:00:00+01:00,L1,n", "note\n20261102T080000Z,L1,n"),
    ],
)
def test_cells_equal_by_value_are_the_same_fact(book: SqliteBook, tmp_path: Path, first: str, again: str) -> None:
    bring(book, ledger(tmp_path / "one", checkins=f"at,tag,{first.format(A)}\n"))
    report = bring(book, ledger(tmp_path / "two", checkins=f"at,tag,{again.format(A)}\n"))
    assert report.added == {"clocks.csv": 0, "checkins.csv": 0}


def test_the_same_row_twice_in_one_file_is_one_fact(book: SqliteBook, tmp_path: Path) -> None:
    report = bring(book, ledger(tmp_path / "in", checkins=f"at,tag,error_s\n{A},L1,2\n{A},L1,2.0\n{A},L1,2.5\n"))
    assert (report.rows["checkins.csv"], report.added["checkins.csv"]) == (3, 2)
    assert errors(book) == [2, 2.5]


def test_ids_of_their_own_make_equal_cells_two_facts(book: SqliteBook, tmp_path: Path) -> None:
    bring(book, ledger(tmp_path / "in", checkins=f"id,at,tag,error_s\na,{A},L1,2\nb,{A},L1,2\n"))
    assert errors(book) == [2, 2]


def test_one_id_with_other_cells_is_refused(book: SqliteBook, tmp_path: Path) -> None:
    folder = ledger(tmp_path / "one", checkins=f"id,at,tag,error_s\na,{A},L1,2\na,{A},L1,3\n")
    assert refused(book, folder).startswith(f"{folder / 'checkins.csv'}:3:1: id 'a'")
    bring(book, ledger(tmp_path / "two", checkins=f"id,at,tag,error_s\na,{A},L1,2\n"))
    folder = ledger(tmp_path / "three", checkins=f"tag,at,error_s,id\nL1,{A},3,a\n")
    assert refused(book, folder).startswith(f"{folder / 'checkins.csv'}:2:4: id 'a'")


def test_one_id_in_two_files_is_refused(book: SqliteBook, tmp_path: Path) -> None:
    folder = ledger(tmp_path / "in", clocks="id,tag,kind\na,L1,longcase\n", checkins=f"id,at,tag\na,{A},L1\n")
    assert refused(book, folder).startswith(f"{folder / 'checkins.csv'}:2:1: id 'a'")


def test_corrections_may_stand_before_what_they_replace(book: SqliteBook, tmp_path: Path) -> None:
    text = f"id,replaces,at,tag,error_s\nc,b,{A},L1,4\nb,a,{A},L1,3\n,d,,,\na,,{A},L1,2\nd,,{B},L1,9\n"
    bring(book, ledger(tmp_path / "in", checkins=text))
    assert errors(book) == [4]


def test_a_correction_may_come_in_a_later_import(book: SqliteBook, tmp_path: Path) -> None:
    bring(book, ledger(tmp_path / "one", checkins=f"id,at,tag,error_s\na,{A},L1,2\n"))
    report = bring(book, ledger(tmp_path / "two", checkins=f"replaces,at,tag,error_s\na,{A},L1,3\n"))
    assert report.added["checkins.csv"] == 1
    assert errors(book) == [3]
    bring(book, ledger(tmp_path / "three", clocks="", checkins="id,replaces\nz,a\n"))
    assert errors(book) == [3]  # what was replaced is taken back: its correction stands


def test_rows_that_only_take_back(book: SqliteBook, tmp_path: Path) -> None:
    bring(book, ledger(tmp_path / "one", checkins=f"id,at,tag,error_s\na,{A},L1,2\nb,{B},L1,3\n"))
    lone = tmp_path / "back.csv"
    lone.write_text("id,replaces\nx1,a\n,b\n")
    assert bring(book, lone).added == {"back.csv": 2}
    assert errors(book) == []
    assert bring(book, lone).added == {"back.csv": 0}


@pytest.mark.parametrize(
    ("rows", "place", "why"),
    [
        (f"b,gone,{A},L1,3\n", "2:2", "neither the book nor the ledger"),
        (f"a,b,{A},L1,3\nb,a,{A},L1,4\n", "2:2", "in turn"),
        (f"a,a,{A},L1,3\n", "2:2", "in turn"),
        (f"a,,{A},L1,3\nb,a,,,\nc,b,{A},L1,4\n", "4:2", "only takes another fact back"),
        (f"x,,{A},L1,3\ny,clk,{A},L1,3\n", "3:2", "name one of the same file"),
        ("a,,,,\n", "2:3", "at is not given"),
        (f"{'i' * 65},,{A},L1,3\n", "2:1", "can't be an id"),
    ],
)
def test_a_row_that_cannot_replace(book: SqliteBook, tmp_path: Path, rows: str, place: str, why: str) -> None:
    clocks = "id,tag,kind\nclk,L1,longcase\n"
    folder = ledger(tmp_path / "in", clocks=clocks, checkins=f"id,replaces,at,tag,error_s\n{rows}")
    said = refused(book, folder)
    assert said.startswith(f"{folder / 'checkins.csv'}:{place}: "), said
    assert why in said


def test_a_clock_with_other_facts_cannot_be_taken_back(book: SqliteBook, tmp_path: Path) -> None:
    clocks = "id,tag,kind\nclk,L1,longcase\n"
    bring(book, ledger(tmp_path / "one", clocks=clocks, checkins=f"id,at,tag\na,{A},L1\n"))
    folder = ledger(tmp_path / "two", clocks="id,replaces,tag,kind\nt,clk,,\n")
    assert refused(book, folder).startswith(f"{folder / 'clocks.csv'}:2:2: clock 'L1' has other facts")
    bring(book, ledger(tmp_path / "two", clocks="id,replaces,tag,kind\nt,clk,,\n", checkins="id,replaces\n,a\n"))
    assert book.clocks() == []


TRICKS = [
    "=1+1",
    "+1",
    "-1",
    "@sum",
    "[bold]x[/]",
    "[red",
    "<b>&amp;",
    "$(ls)",
    "%s{0}",
    "'; DROP --",
    '"q"',
    "\u00e9\u4e2d",
]


@pytest.mark.parametrize("text", TRICKS)
def test_text_that_means_something_elsewhere_is_kept_as_text(book: SqliteBook, tmp_path: Path, text: str) -> None:
    quoted = '"' + text.replace('"', '""') + '"'
    folder = ledger(
        tmp_path / "in", clocks=f"tag,kind\n{quoted},longcase\n", checkins=f"at,tag,note\n{A},{quoted},{quoted}\n"
    )
    bring(book, folder)
    [found] = book.check_ins(text)
    assert (found.body.tag, found.body.note) == (text, text)
    assert book.clocks()[0].body.tag == text


@pytest.mark.parametrize("text", ["\x1b[31mred", "a\x07b", "\x9b31m", "a\u202eb", "\x1b]0;title\x07"])
def test_bytes_that_steer_a_terminal_are_taken_out(book: SqliteBook, tmp_path: Path, text: str) -> None:
    folder = ledger(
        tmp_path / "in", clocks=f"tag,kind\n{text},longcase\n", checkins=f"at,tag,note\n{A},{text},{text}\n"
    )
    bring(book, folder)
    [found] = book.check_ins()
    assert found.body.note == found.body.tag == book.clocks()[0].body.tag
    assert found.body.tag.isprintable()
