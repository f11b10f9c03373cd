"""Every value that can't be is refused with its place in the ledger, and the book stays as it was."""

from __future__ import annotations

from pathlib import Path

import pytest

from standwatch.model.errors import BadValue
from standwatch.store import SqliteBook
from tests.store.shelf import bring, everything, ledger

GOOD = "2026-11-02T08:00:00+00:00,L1,1.5,"


def refused(book: SqliteBook, *paths: Path) -> str:
    """The complaint about an import that must change nothing; a check alone finds the same."""
    before = everything(book)
    with pytest.raises(BadValue) as caught:
        bring(book, *paths)
    assert everything(book) == before
    with pytest.raises(BadValue) as dry:
        bring(book, *paths, dry_run=True)
    assert str(dry.value) == str(caught.value)
    assert everything(book) == before
    return str(caught.value)


BAD_TIMES = [
    ("2026-11-02T08:00:00", "without its offset"),
    ("2026-11-02", "not a time"),
    ("yesterday", "not a time"),
    ("2026-02-30T08:00:00+00:00", "not a time"),
    ("2026-11-20T09:01:01+00:00", "in the future"),
    ("2026-11-20T10:01:01+01:00", "in the future"),
    ("0001-01-01T00:00:00+14:00", "not a time"),
    ("1763625600", "not a time"),
]


@pytest.mark.parametrize(("text", "why"), BAD_TIMES)
def test_a_time_that_cannot_be(book: SqliteBook, tmp_path: Path, text: str, why: str) -> None:
    folder = ledger(tmp_path / "in", checkins=f"tag,error_s,at\nL1,1.5,2026-11-02T08:00:00+00:00\nL1,2,{text}\n")
    said = refused(book, folder)
    assert said.startswith(f"{folder / 'checkins.csv'}:3:3: at ")
    assert why in said


def test_up_to_a_minute_past_now_is_taken(book: SqliteBook, tmp_path: Path) -> None:
    bring(book, ledger(tmp_path / "in", checkins="tag,error_s,at\nL1,1.5,2026-11-20T09:01:00+00:00\n"))
    assert len(book.check_ins("L1")) == 1


BAD_CELLS = [
    # (tag, column, value): the interface's ranges, just past each edge
    ("X9", "note", "nobody"),
    ("L1", "work", "polished"),
    ("L1", "read_by", "eye"),
    ("C1", "chime", "loud"),
    ("L1", "error_s", "nan"),
    ("L1", "error_s", "inf"),
    ("L1", "error_s", "-Infinity"),
    ("L1", "error_s", "1e999"),
    ("L1", "error_s", "21600.001"),
    ("L1", "error_s", "-21600.001"),
    ("L1", "error_s", "1,5"),
    ("L1", "error_s", "=1+1"),
    ("L1", "error_u_s", "0"),
    ("L1", "dial", "24:00"),
    ("L1", "dial", "8:60"),
    ("L1", "going_mm", "-20.1"),
    ("L1", "going_mm", "1800.1"),  # over 1.5 x the 1200 mm it can fall
    ("L1", "strike_mm", "-21"),
    ("M1", "going_mm", "100"),
    ("L1", "chime_mm", "100"),
    ("L1", "amplitude_deg", "45.1"),
    ("R1", "amplitude_deg", "360.1"),
    ("L1", "amplitude_deg", "-0.1"),
    ("L1", "beat_error_ms", "3"),
    ("L1", "beat_error_pct", "100.1"),
    ("L1", "overswing_left_deg", "30"),
    ("L1", "temperature_c", "-20.1"),
    ("L1", "temperature_c", "50.1"),
    ("C1", "quarter", "0"),
    ("C1", "quarter", "5"),
    ("C1", "quarter", "1.5"),
    ("L1", "quarter", "1"),
    ("L1", "hour", "0"),
    ("L1", "hour", "13"),
    ("L1", "blows", "-1"),
    ("L1", "blows", "25"),
    ("R1", "blows", "3"),
    ("L1", "staged", "perhaps"),
    ("L1", "train", "music"),
    ("L1", "amount", "2"),  # of no work
]


@pytest.mark.parametrize(("tag", "column", "value"), BAD_CELLS)
def test_a_cell_that_cannot_be(book: SqliteBook, tmp_path: Path, tag: str, column: str, value: str) -> None:
    folder = ledger(
        tmp_path / "in",
        checkins=f'at,tag,{column}\n2026-11-02T08:00:00+00:00,L1,\n2026-11-03T08:00:00+00:00,{tag},"{value}"\n',
    )
    said = refused(book, folder)
    cell, name = (2, "tag") if tag == "X9" else (3, column)
    assert said.startswith(f"{folder / 'checkins.csv'}:3:{cell}: {name} "), said


def test_the_edges_themselves_are_taken(book: SqliteBook, tmp_path: Path) -> None:
    rows = [
        "L1,error_s,21600", "L1,error_s,-21600", "L1,going_mm,-20", "L1,going_mm,1800", "L1,amplitude_deg,45",
        "M1,amplitude_deg,45", "L1,temperature_c,-20", "L1,temperature_c,50", "C1,quarter,1", "C1,quarter,4",
        "L1,hour,12", "L1,blows,0", "L1,blows,24", "L1,beat_error_pct,100",
    ]  # fmt: skip
    for number, row in enumerate(rows):
        tag, column, value = row.split(",")
        text = f"at,tag,{column}\n2026-11-03T08:00:00+00:00,{tag},{value}\n"
        bring(book, ledger(tmp_path / f"in{number}", checkins=text))
    assert len(book.check_ins()) == len(rows)


def test_an_error_and_a_dial_in_one_row(book: SqliteBook, tmp_path: Path) -> None:
    folder = ledger(tmp_path / "in", checkins="at,tag,dial,error_s\n2026-11-03T08:00:00+00:00,L1,8:01,60\n")
    assert refused(book, folder).startswith(f"{folder / 'checkins.csv'}:2:3: dial '8:01': given beside error_s")


def test_a_look_at_the_oil_without_initials(book: SqliteBook, tmp_path: Path) -> None:
    folder = ledger(tmp_path / "in", checkins="at,tag,work,note\n2026-11-03T08:00:00+00:00,L1,oil-checked,\n")
    said = refused(book, folder)
    assert said.startswith(f"{folder / 'checkins.csv'}:2:4: note")
    assert "initials" in said


BAD_CLOCKS = [
    ("tag", ""),
    ("tag", "x" * 25),
    ("tag", "\x1b\x07"),
    ("kind", "sundial"),
    ("kind", ""),
    ("drive", "steam"),
    ("duration_h", "0"),
    ("moon", "1"),
    ("beats_per_hour", "nan"),
    ("night_silence", "late"),
    ("promised_on", "soon"),
    ("on_stand_at", "2026-11-21T08:00:00+00:00"),
]


@pytest.mark.parametrize(("column", "value"), BAD_CLOCKS)
def test_a_clock_that_cannot_be(book: SqliteBook, tmp_path: Path, column: str, value: str) -> None:
    cells = {"tag": "L2", "kind": "longcase", column: value}
    text = "{}\nL1,longcase{}\n{}\n".format(",".join(cells), "," * (len(cells) - 2), ",".join(cells.values()))
    folder = ledger(tmp_path / "in", clocks=text)
    place = list(cells).index(column) + 1
    assert refused(book, folder).startswith(f"{folder / 'clocks.csv'}:3:{place}: {column}")


def test_one_tag_in_two_rows_that_differ(book: SqliteBook, tmp_path: Path) -> None:
    folder = ledger(tmp_path / "in", clocks="kind,tag\nlongcase,L1\nmantel,L1\n")
    said = refused(book, folder)
    assert said.startswith(f"{folder / 'clocks.csv'}:3:2: tag 'L1' stands twice")


def test_a_tag_that_is_on_the_stand_already(book: SqliteBook, tmp_path: Path) -> None:
    bring(book, ledger(tmp_path / "first"))
    folder = ledger(tmp_path / "second", clocks="tag,kind\nL1,mantel\n")
    assert refused(book, folder).startswith(f"{folder / 'clocks.csv'}:2:1: tag 'L1' is already on the stand")


def test_the_place_counts_lines_of_the_file_not_rows(book: SqliteBook, tmp_path: Path) -> None:
    text = f'at,tag,error_s,note\r\n{GOOD}"first line\r\nsecond line"\r\n\r\n{GOOD.replace("1.5", "nan")}"a\r\nb"\r\n'
    folder = ledger(tmp_path / "in", checkins=text)
    assert refused(book, folder).startswith(f"{folder / 'checkins.csv'}:5:3: error_s 'nan'")


@pytest.mark.parametrize(
    ("file", "row", "place"),
    [
        ("releases", "at,tag,what\n2026-11-03T08:00:00+00:00,L1,sold\n", "2:3: what"),
        ("releases", "at,tag,what,amplitude_deg\n2026-11-03T08:00:00+00:00,L1,called,46\n", "2:4: amplitude_deg"),
        ("releases", "at,tag,what\n2026-11-21T08:00:00+00:00,L1,called\n", "2:1: at"),
        ("releases", "at,tag,what\n2026-11-03T08:00:00+00:00,X9,called\n", "2:2: tag"),
        ("waivers", "at,tag,requirement,reason,by\n2026-11-03T08:00:00+00:00,L1,shine,dull,K\n", "2:3: requirement"),
        ("waivers", "at,tag,requirement,reason,by\n2026-11-03T08:00:00+00:00,L1,moon,,K\n", "2:4: reason"),
    ],
)
def test_a_release_or_waiver_that_cannot_be(book: SqliteBook, tmp_path: Path, file: str, row: str, place: str) -> None:
    folder = ledger(tmp_path / "in", **{file: row})
    assert refused(book, folder).startswith(f"{folder / file}.csv:{place} ")
