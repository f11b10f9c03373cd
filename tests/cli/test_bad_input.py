"""Whatever can't be is refused with its place and its mend, and nothing is changed."""

from __future__ import annotations

import os
import shutil
import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from tests.cli.conftest import Program
from tests.shop import NOW, morning, write_csv

AT = morning(1)

BAD_CELLS: list[tuple[dict[str, object], str]] = [
    ({"at": "2026-11-19T08:00:00"}, "at"),
    ({"at": "yesterday"}, "at"),
    ({"at": "2026-02-30T08:00:00+00:00"}, "at"),
    ({"at": ""}, "at"),
    ({"at": NOW + timedelta(seconds=61)}, "at"),
    ({"tag": "T9"}, "tag"),
    ({"tag": ""}, "tag"),
    ({"work": "polished"}, "work"),
    ({"read_by": "ear"}, "read_by"),
    ({"chime": "lovely"}, "chime"),
    ({"error_s": "nan"}, "error_s"),
    ({"error_s": "inf"}, "error_s"),
    ({"error_s": "-inf"}, "error_s"),
    ({"error_s": "three"}, "error_s"),
    ({"error_s": "21600.5"}, "error_s"),
    ({"error_s": "-21601"}, "error_s"),
    ({"error_s": "3", "dial": "8:00"}, "dial"),
    ({"dial": "24:00"}, "dial"),
    ({"dial": "8:60"}, "dial"),
    ({"going_mm": "-20.5"}, "going_mm"),
    ({"going_mm": "3000"}, "going_mm"),
    ({"amplitude_deg": "45.5"}, "amplitude_deg"),
    ({"amplitude_deg": "-1"}, "amplitude_deg"),
    ({"temperature_c": "51"}, "temperature_c"),
    ({"temperature_c": "-21"}, "temperature_c"),
    ({"quarter": "5", "chime": "in-step"}, "quarter"),
    ({"hour": "13"}, "hour"),
    ({"hour": "0"}, "hour"),
    ({"blows": "25"}, "blows"),
    ({"blows": "1.5"}, "blows"),
    ({"beat_error_pct": "101"}, "beat_error_pct"),
    ({"beat_error_ms": "1"}, "beat_error_ms"),
    ({"staged": "perhaps"}, "staged"),
    ({"work": "oil-checked", "amount": "0"}, "note"),
    ({"work": "safety-checked"}, "note"),
    ({"work": "mis-set", "amount": "4"}, "amount"),
    ({"amount": "1"}, "amount"),
]


@pytest.fixture
def stand(program: Program) -> Program:
    program("clock", "add", "T1", "--kind", "floor-chiming", "--position", "A1")
    program("checkin", "T1", "--error", "3", "--at", AT.isoformat())
    return program


@pytest.mark.parametrize(("cells", "column"), BAD_CELLS)
def test_a_bad_cell_is_named_with_file_line_and_column(
    stand: Program, tmp_path: Path, cells: dict[str, object], column: str
) -> None:
    before = stand("status", "--json").out
    good = {"at": AT, "tag": "T1", "error_s": 4}
    bad = {"at": AT, "tag": "T1", **cells}
    path = write_csv(tmp_path / "checkins.csv", [good, bad], ("at", "tag"))
    told = stand("import", path, code=4)
    assert "checkins.csv:3:" in told.err
    assert f":{column}" in told.err or column in told.err
    assert told.out == ""
    assert stand("status", "--json").out == before


OPTION = {
    "error_s": "--error",
    "read_by": "--read-by",
    "amplitude_deg": "--amplitude",
    "going_mm": "--going-fall",
    "temperature_c": "--temperature",
    "beat_error_pct": "--beat-error",
}


def _as_options(cells: dict[str, object]) -> bool:
    """A time without offset is the shop's here, an empty option is refused elsewhere, error beside dial is syntax."""
    other = {"tag", "work", "amount", "beat_error_ms", "staged"} & set(cells)
    return not other and cells.get("at") not in {"", "2026-11-19T08:00:00"} and not {"error_s", "dial"} <= set(cells)


@pytest.mark.parametrize("cells", [cells for cells, _ in BAD_CELLS if _as_options(cells)])
def test_a_bad_option_is_refused_too(stand: Program, cells: dict[str, object]) -> None:
    before = stand("status", "--json").out
    words = [
        word
        for name, value in cells.items()
        for word in (OPTION.get(name, f"--{name.replace('_', '-')}"), getattr(value, "isoformat", lambda v=value: v)())
    ]
    if set(cells) == {"at"}:
        words += ["--error", "1"]
    told = stand("checkin", "T1", *words, code=4)
    assert told.err.startswith("standwatch: ")
    assert told.err.count("\n") == 1
    assert stand("status", "--json").out == before


def test_a_bad_work_is_refused(stand: Program) -> None:
    for words in (["polished"], ["mis-set", "--amount", "4"], ["safety-checked"], ["wound", "--train", "hands"]):
        assert stand("work", "T1", *words, code=4).err.startswith("standwatch: ")


def test_an_unknown_tag_offers_a_near_one(stand: Program) -> None:
    stand("clock", "add", "Regulator-7", "--kind", "regulator")
    assert "did you mean 'Regulator-7'?" in stand("checkin", "Regulator7", "--error", "1", code=4).err
    for tag in ("2419", "2417"):
        stand("clock", "add", tag, "--kind", "regulator")
    assert "did you mean '2417'?" in stand("checkin", "2471", "--error", "1", code=4).err
    at = NOW.isoformat()
    for words in (["status"], ["regulate"], ["undo"], ["clock", "show"], ["forecast", "--at", at]):
        assert "no clock is called 'X'" in stand(*words, "X", code=4).err


def test_clocks_are_refused(stand: Program, tmp_path: Path) -> None:
    assert "here already" in stand("clock", "add", "T1", "--kind", "mantel", code=4).err
    assert "kind" in stand("clock", "add", "T2", "--kind", "sundial", code=4).err
    assert "tag" in stand("clock", "add", "x" * 25, "--kind", "mantel", code=4).err
    assert "tag" in stand("clock", "add", " ", "--kind", "mantel", code=4).err
    twice = [{"tag": "T5", "kind": "mantel"}, {"tag": "T5", "kind": "carriage"}]
    assert "clocks.csv:3:" in stand("import", write_csv(tmp_path / "clocks.csv", twice, ()), code=4).err
    assert "T5" not in stand("clock", "list").out


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"at,tag,colour\n", "colour"),
        (b"at,tag\n2026-11-19T08:00:00+00:00,T1,3\n", ":2:"),
        ("at,tag,note\n2026-11-19T08:00:00+00:00,T1,caf\u00e9\n".encode("latin-1"), "UTF-8"),
        (b"", "empty"),
        (b"colour,size\n", "colour"),
    ],
)
def test_a_file_that_is_no_ledger(stand: Program, tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "checkins.csv"
    path.write_bytes(content)
    told = stand("import", path, code=4)
    assert said.lower() in told.err.lower()
    assert "checkins.csv" in told.err


def test_a_header_alone_is_fine_and_bom_and_crlf_too(stand: Program, tmp_path: Path) -> None:
    path = tmp_path / "checkins.csv"
    path.write_bytes(b"\xef\xbb\xbfat,tag,error_s\r\n")
    assert "added 0" in stand("import", path).out
    path.write_bytes(b"\xef\xbb\xbfat,tag,error_s\r\n2026-11-19T09:00:00+00:00,T1,3\r\n")
    assert "added 1" in stand("import", path).out


def test_no_ledger_at_all(stand: Program, tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.mkdir()
    assert stand("import", empty, code=4).err
    assert stand("import", tmp_path / "nowhere", code=4).err


def test_two_facts_with_one_id_that_differ(stand: Program, tmp_path: Path) -> None:
    row = {"id": "abc123", "at": AT, "tag": "T1", "error_s": 5}
    path = write_csv(tmp_path / "checkins.csv", [row], ())
    stand("import", path)
    write_csv(path, [{**row, "error_s": 6}], ())
    assert "abc123" in stand("import", path, code=4).err


def test_correct_names_what_it_can_t_find(stand: Program) -> None:
    assert stand("correct", "zzzz", "error_s=3", code=4).err
    fact = stand("checkin", "T1", "--error", "4").out.split("recorded ")[1].split()[0]
    assert "no column here" in stand("correct", fact, "colour=red", code=4).err
    assert "not a number" in stand("correct", fact, "error_s=x", code=4).err
    assert "COLUMN=VALUE" in stand("correct", fact, "error_s", code=2).err
    stand("correct", fact, "error_s=5")
    assert stand("correct", fact, "error_s=6", code=4).err  # replaced already


def test_nothing_told_is_no_visit(stand: Program) -> None:
    assert "nothing is told" in stand("checkin", "T1", code=4).err


def test_syntax_is_exit_2(stand: Program) -> None:
    for words in (
        ["frobnicate"],
        ["checkin"],
        ["checkin", "T1", "--colour", "red"],
        ["checkin", "T1", "--error", "3", "--dial", "8:00"],
        ["forecast"],
        ["release", "T1"],
        ["set", "zone"],
        ["completion", "csh"],
    ):
        assert stand(*words, code=2).err


def test_a_now_that_is_no_time(stand: Program) -> None:
    assert "not a time" in stand("status", now="teatime", code=4).err


# the book that can't be used: exit 5


def test_a_book_that_is_no_sqlite_file(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("wind T1 on Monday\n" * 20)
    before = path.read_bytes()
    for words in (["status"], ["clock", "add", "T1", "--kind", "mantel"]):
        assert "no SQLite file" in Program(path)(*words, code=5).err
    assert path.read_bytes() == before


def test_a_book_of_a_newer_version_is_left_alone(stand: Program) -> None:
    connection = sqlite3.connect(stand.book)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.execute("PRAGMA user_version = 9999")
    connection.commit()
    connection.close()
    before = stand.book.read_bytes()
    assert "newer" in stand("status", code=5).err
    assert "newer" in stand("checkin", "T1", "--error", "1", code=5).err
    assert stand.book.read_bytes() == before


def test_a_book_that_somebody_holds(stand: Program, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("standwatch.store.connection.BUSY_S", 0.2)
    connection = sqlite3.connect(stand.book, isolation_level=None)
    connection.execute("BEGIN IMMEDIATE")
    try:
        from standwatch import store  # noqa: PLC0415

        monkeypatch.setattr(store, "open_book", _impatient)
        assert "locked" in stand("checkin", "T1", "--error", "1", code=5).err
        assert stand("status", "--json").json  # looking needs no lock
    finally:
        connection.close()


def _impatient(path: Path, *, create: bool = True) -> object:
    from standwatch.store.book import open_book  # noqa: PLC0415

    return open_book(path, create=create, busy_s=0.2)


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_can_t_be_written(tmp_path: Path) -> None:
    folder = tmp_path / "locked"
    folder.mkdir(mode=0o500)
    assert Program(folder / "book.sqlite")("clock", "add", "T1", "--kind", "mantel", code=5).err


def test_a_folder_that_is_not_there(tmp_path: Path) -> None:
    told = Program(tmp_path / "no" / "book.sqlite")("clock", "add", "T1", "--kind", "mantel", code=5)
    assert "no folder" in told.err


def test_what_needs_a_book_says_so(program: Program, tmp_path: Path) -> None:
    for words in (["export", tmp_path / "out"], ["backup"], ["undo"], ["release", "T1", "--by", "K"]):
        assert program(*words, code=5).err
    assert not program.book.exists()


def test_output_that_can_t_be_written(stand: Program, tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("a file, no folder")
    assert stand("export", taken, code=4).err
    assert stand("backup", taken, code=4).err
    assert taken.read_text() == "a file, no folder"
    assert shutil.disk_usage(tmp_path).free > 0
