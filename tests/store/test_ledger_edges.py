"""Ledgers by hand and from other books: several files, batches, clocks that changed, dials of another zone."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from standwatch.model.errors import BadValue
from standwatch.model.records import Draft
from standwatch.store import SqliteBook, open_book
from tests.store.shelf import NOW, bring, clock, exported, ledger, reading
from tests.store.test_bad_values import refused

A = "2026-11-02T08:00:00+00:00"
B = "2026-11-03T08:00:00+00:00"


def test_the_same_rows_far_apart_are_one_fact_each(book: SqliteBook, tmp_path: Path) -> None:
    """Also when the first of them waits for what it replaces, and when thousands of rows lie between."""
    many = [f",,2026-11-02T{h:02}:{m:02}:00+00:00,L1,1" for h in range(24) for m in range(60)]
    waits = f",old,{B},L1,5"
    text = "\n".join(["id,replaces,at,tag,error_s", waits, *many, *many, waits, f"old,,{B},L1,4", waits]) + "\n"
    report = bring(book, ledger(tmp_path / "in", checkins=text))
    assert report.rows["checkins.csv"] == 2 * len(many) + 4
    assert report.added["checkins.csv"] == len(many) + 2
    assert [r.body.error_s for r in book.check_ins()][-1] == 5


def test_a_fact_taken_back_stays_so_when_its_row_comes_again(book: SqliteBook, tmp_path: Path) -> None:
    folder = ledger(tmp_path / "in", checkins=f"at,tag,error_s\n{A},L1,2\n")
    bring(book, folder)
    [found] = book.check_ins()
    book.append([Draft(None, replaces=found.id)], at=NOW)
    assert bring(book, folder).added["checkins.csv"] == 0
    assert book.check_ins() == []


def test_one_ledger_in_several_files_and_folders(book: SqliteBook, tmp_path: Path) -> None:
    one = ledger(tmp_path / "one", checkins=f"at,tag,error_s\n{A},L1,2\n{A},N1,3\n")
    more = tmp_path / "more clocks.csv"
    more.write_text("tag,kind\nN1,mantel\n")
    report = bring(book, one, more, one / "checkins.csv")
    assert report.rows == {"clocks.csv": 4, "more clocks.csv": 1, "checkins.csv": 4}
    assert report.added == {"clocks.csv": 4, "more clocks.csv": 1, "checkins.csv": 2}


def test_a_fault_in_one_of_several_files_keeps_all_out(book: SqliteBook, tmp_path: Path) -> None:
    one = ledger(tmp_path / "one", checkins=f"at,tag\n{A},L1\n")
    two = ledger(tmp_path / "two", clocks="", checkins=f"at,tag\n{A},L9\n")
    assert refused(book, one, two).startswith(f"{two / 'checkins.csv'}:2:2: tag 'L9' is no clock")


def test_a_clock_corrected_in_the_ledger(book: SqliteBook, tmp_path: Path) -> None:
    clocks = "id,replaces,tag,kind\nc2,c1,L1,mantel\nc1,,L1,longcase\n"
    bring(book, ledger(tmp_path / "in", clocks=clocks, checkins=f"at,tag\n{A},L1\n"))
    assert [(r.id, r.body.kind) for r in book.clocks()] == [("c2", "mantel")]


def test_a_tag_mended_together_with_its_readings(book: SqliteBook, tmp_path: Path) -> None:
    first = ledger(tmp_path / "one", clocks="id,tag,kind\nc1,L1,longcase\n", checkins=f"id,at,tag\nr1,{A},L1\n")
    bring(book, first)
    renamed = "id,replaces,tag,kind\nc2,c1,L2,longcase\n"
    alone = ledger(tmp_path / "two", clocks=renamed)
    assert "clock 'L1' has other facts" in refused(book, alone)
    both = ledger(tmp_path / "three", clocks=renamed, checkins=f"id,replaces,at,tag\nr2,r1,{A},L2\n")
    bring(book, both)
    assert [r.body.tag for r in book.clocks()] == ["L2"]
    assert [r.id for r in book.check_ins("L2")] == ["r2"]
    assert book.check_ins("L1") == []


def test_a_reading_of_a_clock_that_is_taken_back_in_the_same_ledger(book: SqliteBook, tmp_path: Path) -> None:
    clocks = "id,replaces,tag,kind\nc1,,L1,longcase\n,c1,,\n"
    folder = ledger(tmp_path / "in", clocks=clocks, checkins=f"at,tag\n{A},L1\n")
    assert refused(book, folder).startswith(f"{folder / 'checkins.csv'}:2:2: tag 'L1'")
    undone = ledger(tmp_path / "undone", clocks=clocks, checkins=f"id,replaces,at,tag\nr1,,{A},L1\n,r1,,\n")
    bring(book, undone)  # as a book in which both were undone is exported
    assert book.clocks() == []
    assert book.check_ins() == []


def test_a_reading_stays_possible_though_its_clock_was_described_anew(book: SqliteBook, tmp_path: Path) -> None:
    book.append([Draft(clock().body, id="c1"), Draft(reading(2, going_mm=1500), id="r1")], at=NOW)
    book.append([Draft(clock(going_usable_mm=600).body, id="c2", replaces="c1")], at=NOW)
    first = exported(book, tmp_path / "out")
    with closing(open_book(tmp_path / "two.db")) as two:
        bring(two, tmp_path / "out")
        assert exported(two, tmp_path / "again") == first
    fresh = ledger(tmp_path / "new", clocks="tag,kind,going_usable_mm\nL1,longcase,600\n")
    (fresh / "checkins.csv").write_text(f"at,tag,going_mm\n{A},L1,1500\n")
    with closing(open_book(tmp_path / "three.db")) as three:
        assert refused(three, fresh).startswith(f"{fresh / 'checkins.csv'}:2:3: going_mm 1500")


def test_a_dial_of_another_zone_is_refused(book: SqliteBook, tmp_path: Path) -> None:
    """The same words on the dial would be another error here."""
    book.set({"zone": "Europe/London"}, at=NOW)
    book.append([clock("Z1")], at=NOW)
    shop = "name,value\nzone,Europe/Berlin\n"
    folder = ledger(tmp_path / "in", book=shop, checkins=f"at,tag,dial\n{A},L1,9:01\n")
    assert refused(book, folder).startswith(
        f"{folder / 'checkins.csv'}:2:3: dial 9:01 is told in the zone Europe/Berlin"
    )
    report = bring(book, ledger(tmp_path / "in2", book=shop, checkins=f"at,tag,error_s\n{A},L1,60\n"))
    assert report.added["checkins.csv"] == 1
    assert book.settings()["zone"] == "Europe/London"


@pytest.mark.parametrize(
    ("text", "place", "why"),
    [
        ("name,value\n,x\n", "2:1", "name is not given"),
        ("name,value\nzone,Europe/London\nzone,Europe/Paris\n", "3:1", "stands twice"),
        ("name,value\nzone,Nowhere\n", "2:2", "no zone"),
        ("name,worth\n", "1:2", "no column 'worth'"),
    ],
)
def test_settings_that_cannot_be(book: SqliteBook, tmp_path: Path, text: str, place: str, why: str) -> None:
    def check_setting(name: str, value: str) -> str:
        if value == "Nowhere":
            raise BadValue("no zone")
        return value

    folder = ledger(tmp_path / "in", book=text)
    with pytest.raises(BadValue) as caught:
        book.import_ledger(
            [folder],
            check=lambda _b, _c: None,
            at=NOW,
            dry_run=False,
            progress=lambda _rows: None,
            check_setting=check_setting,
        )
    assert str(caught.value).startswith(f"{folder / 'book.csv'}:{place}: ")
    assert why in str(caught.value)
    assert book.version() == 0


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (f"at,tag\r{A},L1\r".encode(), "1:1: a lone carriage return"),
        (f"at;tag;error_s\n{A};L1;2\n".encode(), "1:1: checkins.csv has no column 'at;tag;error_s'; separate"),
        (f"at\ttag\n{A}\tL1\n".encode(), "separate the columns with commas"),
        (b"at,tag,note\n2026-11-02T08:00:00+00:00,L1,\xed\xa0\x80\n", "2:3: the byte 0xed is no UTF-8"),
        (f'note,at,tag,error_s\n"one\ntwo\nthree",{A},L1,x\n'.encode(), "checkins.csv:4:4: error_s 'x'"),
    ],
)
def test_files_of_other_habits(book: SqliteBook, tmp_path: Path, raw: bytes, why: str) -> None:
    assert why in refused(book, ledger(tmp_path / "in", checkins=raw))
