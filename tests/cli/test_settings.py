"""The person's settings from the command line: taken where something begins, and refused where a line can't be."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Program

GOOD = "[new_book]\nnext_round = '07:45'\n[kinds.longcase]\nleast_days = 21\n"
BAD = "bell = 3\n[new_book]\nnext_round = '7 in the morning'\n[kinds.longcase]\nleast_days = 0\nmean_rate_limit = 'x'\n"


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "mine.toml"
    monkeypatch.setenv("STANDWATCH_SETTINGS", str(path))
    return path


def test_they_begin_a_book_and_a_clock(program: Program, own: Path) -> None:
    own.write_text(GOOD, "utf-8")
    assert "07:45" in program("set").out
    program("clock", "add", "2401", "--kind", "longcase")
    program("clock", "add", "2402", "--kind", "longcase", "--least-days", "9")
    own.unlink()
    assert ["next_round", "07:45"] in [line.split()[:2] for line in program("set").out.splitlines()]
    assert "least_days  21" in program("clock", "show", "2401").out.replace("   ", "  ")
    assert "least_days  9" in program("clock", "show", "2402").out.replace("   ", "  ")


def test_a_wrong_line_stops_what_would_take_it_and_nothing_is_written(program: Program, own: Path) -> None:
    own.write_text(BAD, "utf-8")
    err = program("clock", "add", "2401", "--kind", "mantel", code=4).err
    assert "mine.toml:3: next_round '7 in the morning' is no time of day; give HH:MM" in err
    own.write_text(BAD.replace("7 in the morning", "07:00"), "utf-8")
    err = program("clock", "add", "2401", "--kind", "mantel", code=4).err
    assert "mine.toml:5: least_days '0' is out of range; give days, 1 to 400 (and 1 more" in err
    own.unlink()
    assert "2401" not in program("clock", "list").out


def test_looking_goes_on_with_the_defaults(program: Program, own: Path) -> None:
    own.write_text(BAD, "utf-8")
    assert "08:00" in program("set").out
    program("status")


def test_a_book_that_has_begun_asks_nobody(program: Program, own: Path) -> None:
    program("clock", "add", "2401", "--kind", "longcase")
    own.write_text(BAD, "utf-8")
    program("checkin", "2401", "--error", "3")
    program("set", "next_round=07:00")


def test_selfcheck_names_every_line(program: Program, own: Path) -> None:
    program("clock", "add", "2401", "--kind", "longcase")
    own.write_text(BAD, "utf-8")
    out = program("selfcheck").out
    assert [line.split(":")[2] for line in out.splitlines() if line.startswith("settings: ")] == ["1", "3", "5", "6"]
    assert "the book is whole" in out
