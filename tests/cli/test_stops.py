"""A clock found hanging, by commands: when it stopped, what is said of it, explained later, and what stops share."""

from __future__ import annotations

import re
import shlex
from datetime import datetime, timedelta

import pytest

from tests.cli.conftest import Program
from tests.cli.test_stand import gaining
from tests.shop import NOW, write_csv

MONDAY = "2026-11-23T08:00+00:00"


def test_found_at_3_47_on_monday(program: Program) -> None:
    """Wound on Tuesday at 09:00, read until Friday; 748 mm at 165 a day are 4.53 days: Saturday 21:47 on."""
    gaining(program, days=3, rate=0.0)
    hung = ("--dial", "9:47", "--going-fall", 748)
    assert "over 99 %" in program("stop-times", "T1", *hung, now=MONDAY).out
    program("work", "T1", "stopped", *hung, "--at", MONDAY, now=MONDAY)
    told = program("status", "T1", now=MONDAY).out
    assert "next        stopped, found Mon 23 Nov: explain it before it is touched; it stopped Sat 21 Nov 21:47" in told
    assert "stop        found hanging Mon 23 Nov 08:00 at 9:47: it stopped Sat 21 Nov 21:47 (over 99 %)" in told
    # asked again while it hangs, the same is said: by what was known before
    [first, *_] = program("stop-times", "T1", *hung, "--json", now="2026-11-23T11:00+00:00").json
    assert abs(datetime.fromisoformat(first["at"]) - datetime.fromisoformat("2026-11-21T21:47+00:00")) < timedelta(
        minutes=1
    )


def test_it_is_explained_later_by_the_command_that_status_gives(program: Program) -> None:
    gaining(program, days=3)
    program("work", "T1", "stopped", "--dial", "9:47", "--at", MONDAY, now=MONDAY)
    program("work", "T1", "restarted", "--at", MONDAY, now=MONDAY)
    told = program("status", "T1", now=MONDAY).out
    command = re.search(r"standwatch (correct \S+ explained=yes note='[^']*')", told)
    assert command is not None
    [clock] = program("status", "T1", "--json", now=MONDAY).json["clocks"]
    assert clock["next"]["code"] == "explain"
    program(*shlex.split(command[1]), now=MONDAY)
    assert "found hanging" not in program("status", "T1", now=MONDAY).out.split("OUTCOME")[0]
    [clock] = program("status", "T1", "--json", now=MONDAY).json["clocks"]
    assert clock["next"]["code"] != "explain"
    assert clock["standing"] != "attention"


def test_a_spring_leaves_every_half_day_and_says_what_would_tell(program: Program) -> None:
    program("clock", "add", "S1", "--kind", "mantel")
    program("work", "S1", "wound", "--at", "2026-11-16T08:00+00:00", now=NOW)
    program("checkin", "S1", "--error", 0, "--at", "2026-11-20T08:00+00:00", now=NOW)
    told = program("stop-times", "S1", "--dial", "3:47", now=MONDAY)
    assert told.out.count("17 %") == 6
    assert "A spring's dial leaves every half-day alike: whoever heard it later rules out the earlier ones." in told.out
    program("work", "S1", "seen-going", "--at", "2026-11-22T12:00+00:00", now=MONDAY)
    heard = program("stop-times", "S1", "--dial", "3:47", "--json", now=MONDAY).json
    assert len(heard) == 2
    assert [each["odds"] for each in heard] == pytest.approx([0.5, 0.5], abs=1e-3)


def test_a_moon_and_a_chime_weight_tell_too(program: Program) -> None:
    program("clock", "add", "F1", "--kind", "floor-chiming", "--moon", "yes")
    program("checkin", "F1", "--error", 0, "--moon-age", 7, "--at", "2026-11-16T08:00+00:00", now=NOW)
    program("work", "F1", "wound", "--at", "2026-11-16T08:00+00:00", now=NOW)
    even = program("stop-times", "F1", "--dial", "3:47", "--json", now=NOW).json
    by_moon = program("stop-times", "F1", "--dial", "3:47", "--moon-age", 9, "--json", now=NOW).json
    # a chime falls at the going train's speed: 135 mm a day, 2.3 days
    by_chime = program("stop-times", "F1", "--dial", "3:47", "--chime-fall", 312, "--json", now=NOW).json
    for told in (by_moon, by_chime):
        assert told[0]["odds"] > even[0]["odds"] + 0.1
        assert told[0]["at"].startswith(("2026-11-18T15:4", "2026-11-18T03:4"))
    assert "--moon-age" in program("stop-times", "F1", "--dial", "3:47", "--moon-age", "x", code=4).err


def test_a_dial_that_fits_no_time(program: Program) -> None:
    gaining(program, days=3)
    told = program("stop-times", "T1", "--dial", "3:47", now="2026-11-20T10:00+00:00").out
    assert told.strip() == "no time since it was last seen going fits this dial: were its hands moved?"


def test_stops_at_one_minute_are_a_lead(program: Program) -> None:
    """Four stops at 33 minutes past, and after they are explained, none."""
    program("clock", "add", "L1", "--kind", "longcase")
    rows: list[dict[str, object]] = []
    for day, dial in ((3, "5:33"), (6, "10:32"), (10, "2:33"), (13, "7:34")):
        at = datetime.fromisoformat(f"2026-11-{day:02d}T08:00:00+00:00")
        rows += [
            {"at": at - timedelta(days=1), "tag": "L1", "error_s": 0},
            {"at": at, "tag": "L1", "dial": dial, "work": "stopped"},
            {"at": at, "tag": "L1", "work": "restarted"},
            {"at": at + timedelta(minutes=1), "tag": "L1", "error_s": 0},
        ]
    rows.append({"at": datetime.fromisoformat("2026-11-20T08:00:00+00:00"), "tag": "L1", "error_s": 0})
    program("import", write_csv(program.book.parent / "checkins.csv", rows, ("at", "tag")))
    [clock] = program("status", "L1", "--json").json["clocks"]
    [lead] = clock["leads"]
    assert lead["code"] == "stops-same-minute"
    assert 0.6 <= lead["odds"] <= 0.99
    assert "32 to 34 minutes past the hour" in lead["text"]
    told = program("status", "L1").out
    assert f"  look into   {lead['text']} ({lead['odds'] * 100:.0f} % likely)" in told
    assert told.count("  stop        found hanging") == 3
    assert "  stop        1 more before these, not explained" in told
    ids = re.findall(r"correct (\S+) explained", told)
    for one in ids[:2]:
        program("correct", one, "explained=yes")
    [clock] = program("status", "L1", "--json").json["clocks"]
    assert clock["leads"] == []
