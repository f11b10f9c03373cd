"""What nobody logged, on a real book: the visit that makes it known says it, `status TAG` says how to log it now."""

import shlex
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Program
from tests.shop import write_ledger
from tests.stories import at

FIRST = at("11-02 08:05")
TURNED = 8
"""Days after the first reading when the readings begin to show it."""


def error(day: int) -> float:
    """Gains 3 s a day; from half a day before the reading of `TURNED` on 16."""
    return round(3 * day + 13 * max(day - TURNED + 0.5, 0), 1)


def read_until(program: Program, folder: Path, day: int, **columns: object) -> datetime:
    """Readings up to `day` days after the first one; gives the half hour after the last."""
    clock = {"tag": "L1", "kind": "longcase", "position": "A1", "unlock_deg": 1.9, **columns}
    rows = [{"tag": "L1", "at": FIRST + timedelta(days=d), "error_s": error(d)} for d in range(day + 1)]
    now = FIRST + timedelta(days=day, minutes=30)
    program("import", str(write_ledger(folder / "ledger", [clock], rows)), now=now)
    return now


def read_on(program: Program, day: int) -> str:
    """Read on that day; gives the receipt."""
    now = FIRST + timedelta(days=day)
    return program("checkin", "L1", "--error", error(day), now=now).out


def clock(program: Program, now: datetime) -> Any:
    [found] = program("status", "L1", "--json", now=now).json["clocks"]
    return found


def test_the_visit_that_makes_it_known_says_it_once(program: Program, tmp_path: Path) -> None:
    read_until(program, tmp_path, TURNED - 1)
    known: list[dict[str, object]] = []
    for day in range(TURNED, TURNED + 5):
        told = read_on(program, day)
        in_json = clock(program, FIRST + timedelta(days=day, minutes=1))["suspected_work"]
        if in_json and not known:
            assert told.count("nut turned, not logged? about 1") == 1
            assert told.count("log it: standwatch work L1 nut --at 2026-11-09T08:05") == 1
        elif not in_json:
            assert "not logged" not in told
        else:
            before, _, follows = told.partition("next: ")
            assert "not logged" not in before  # later it is at most the next step
            assert follows.count("not logged") <= 1
        known = in_json
    assert [work["what"] for work in known] == ["nut"]


def test_where_the_next_step_is_another_it_still_says_it(program: Program, tmp_path: Path) -> None:
    read_until(program, tmp_path, TURNED + 1, least_days=60)
    now = FIRST + timedelta(days=TURNED + 2)
    program("work", "L1", "stopped", "--at", (now - timedelta(minutes=4)).isoformat(), now=now)
    program("work", "L1", "restarted", "--at", (now - timedelta(minutes=3)).isoformat(), now=now)
    for day in range(TURNED + 2, TURNED + 6):
        told = read_on(program, day)
        if "not logged?" in told:
            break
    lines = told.splitlines()
    [said] = [n for n, line in enumerate(lines) if "not logged?" in line]
    assert lines[said].startswith("  nut turned, not logged? about 1")
    assert lines[said + 1].startswith("  log it: standwatch work L1 nut --at ")
    assert "next: the stop" in lines[said + 2]


def test_status_says_it_with_its_unit_and_the_command_it_gives_mends_it(program: Program, tmp_path: Path) -> None:
    now = read_until(program, tmp_path, TURNED + 8)
    told = program("status", "L1", now=now).out
    assert "  not logged? nut turned, about 13 s/day faster, between Mon 9 and Tue 10 Nov\n" in told
    [mend] = [line.strip() for line in told.splitlines() if line.strip().startswith("log it: ")]
    name, *words = shlex.split(mend.removeprefix("log it: "))
    assert name == "standwatch"
    before = clock(program, now)
    program(*words, "--amount", "0.5", now=now)
    after = clock(program, now)
    assert [work["what"] for work in before["suspected_work"]] == ["nut"]
    assert after["suspected_work"] == after["suspect_readings"] == []
    assert after["rate_s_per_day"]["estimate"] == pytest.approx(before["rate_s_per_day"]["estimate"], abs=0.2)
    assert "not logged" not in program("status", "L1", now=now).out


def test_it_is_betrayed_again_where_the_log_is_taken_back(program: Program, tmp_path: Path) -> None:
    now = read_until(program, tmp_path, TURNED + 8)
    written = program("work", "L1", "nut", "--at", "2026-11-09T18:00", now=now).out.split()
    assert clock(program, now)["suspected_work"] == []
    program("correct", written[written.index("recorded") + 1], "work=seen-going", now=now)
    assert [work["what"] for work in clock(program, now)["suspected_work"]] == ["nut"]


def test_a_row_of_an_earlier_day_betrays_nothing_that_was_known(program: Program, tmp_path: Path) -> None:
    now = read_until(program, tmp_path, TURNED + 3)
    assert clock(program, now)["suspected_work"]
    told = program("checkin", "L1", "--amplitude", "2.6", "--at", "2026-11-05T08:06", now=now).out
    assert "not logged" not in told.partition("next: ")[0]


def test_readings_that_contradict_each_other_are_counted(program: Program) -> None:
    program("clock", "add", "L1", "--kind", "longcase", now=FIRST)
    for day in range(5):
        now = FIRST + timedelta(days=day)
        told = program("checkin", "L1", "--error", 21000 * (-1) ** day, now=now).out
    assert "read again: 5:50:00 fast on Fri 6 Nov 08:05, one of 5 readings that contradict each other" in told
    shown = program("status", "L1", now=now).out
    assert "  error       not yet known: 5 readings that contradict each other: read again\n" in shown
    assert "by the other readings" not in shown
    assert "not read yet" not in shown
    assert "no reading so far" not in shown
    assert program("regulate", "L1", now=now).out == (
        "L1: so far 5 readings that contradict each other; a rate wants two that agree\n"
    )
