"""A dial read on the command line against the computer's clock, which may be kept right or not."""

from __future__ import annotations

import csv
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from standwatch.service.reference import reference_time
from tests.cli.conftest import Program
from tests.shop import NOW


def doubts(program: Program, folder: Path, now: datetime | None) -> list[str]:
    program("export", folder, now=now)
    with (folder / "checkins.csv").open(encoding="utf-8") as file:
        return [row["error_u_s"] for row in csv.DictReader(file)]


def test_a_dial_read_now_is_as_sure_as_the_computer_s_clock(program: Program, tmp_path: Path) -> None:
    program("clock", "add", "2401", "--kind", "longcase", now=None)
    dial = f"{datetime.now(ZoneInfo('Europe/London')):%H:%M:%S}"
    told = program("checkin", "2401", "--dial", dial, now=None).out
    unkept = reference_time().state == "not synchronised"
    assert ("the computer's clock is not synchronised" in told) == unkept
    [doubt] = doubts(program, tmp_path / "out", None)
    assert float(doubt) > 0.5 if unkept else doubt == ""


def test_a_reading_of_another_time_or_another_clock_is_what_it_says(program: Program, tmp_path: Path) -> None:
    program("clock", "add", "2401", "--kind", "longcase")
    program("checkin", "2401", "--dial", "9:00:05")
    program("checkin", "2401", "--error", "3", "--at", NOW.isoformat())
    assert doubts(program, tmp_path / "out", NOW) == ["", ""]
