"""How steadily a clock goes, as the command line says it."""

from __future__ import annotations

from pathlib import Path

from tests.cli.conftest import Program
from tests.shop import Row, morning, write_ledger

WOBBLE = (0, 3, -4, 2, 5, -6, 1, 4, -2, 3, -5, 0, 2, -3, 1, 5, -1, -4, 3, 2, -2, 4, 0, -5, 1)


def read_daily(program: Program, folder: Path, count: int) -> None:
    """A longcase read each morning, gaining 2 s/day, give or take a second."""
    rows: list[Row] = [
        {"at": morning(count - 1 - n), "tag": "T1", "error_s": 2 * n + WOBBLE[n] / 4} for n in range(count)
    ]
    program("import", write_ledger(folder, [{"tag": "T1", "kind": "longcase"}], rows))


def test_clock_show_tells_it_in_full(program: Program, tmp_path: Path) -> None:
    read_daily(program, tmp_path / "in", 25)
    told = program("clock", "show", "T1").out
    assert "THE RATE WANDERS" in told
    (day,) = [line for line in told.splitlines() if line.startswith("day to day")]
    _, _, _, value, reading, pairs, low, _, high = day.split()
    assert float(low) < float(value) < float(high)
    assert (reading, pairs) == ("0.87", "23")
    assert "over four weeks       ?" in told
    assert "not yet known: no three readings 28 days apart so far" in told
    assert "after ISO 3159, for comparison: mean +2.0, mean variation" in told


def test_status_of_a_tag_tells_it_in_a_line_and_json_does_not(program: Program, tmp_path: Path) -> None:
    read_daily(program, tmp_path / "in", 25)
    (line,) = [line for line in program("status", "T1").out.splitlines() if "steadiness" in line]
    assert " s/day (" in line
    assert "week to week" in line
    assert "steadiness" not in program("status", "--json").out


def test_too_few_readings_are_said_and_none_at_all_say_nothing(program: Program, tmp_path: Path) -> None:
    program("clock", "add", "T2", "--kind", "mantel")
    assert "WANDERS" not in program("clock", "show", "T2").out
    read_daily(program, tmp_path / "in", 3)
    told = program("clock", "show", "T1").out
    assert "not yet known: three readings a day apart only once so far" in told
    assert "for comparison: not yet known: wants the rates of 5 days" in told
    assert "day to day not yet known, week to week not yet known" in program("status", "T1").out
