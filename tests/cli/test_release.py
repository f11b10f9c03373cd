"""Release and after, by commands."""

from __future__ import annotations

import json
import os
import sqlite3
import subprocess
import sys
from datetime import datetime, timedelta

import pytest

from tests.cli.conftest import Program
from tests.shop import NOW, regulator_ready, write_ledger


def ready(program: Program, *, missing: str = "") -> None:
    clock, rows = regulator_ready(missing=missing)
    program("import", write_ledger(program.book.parent / "ledger", [clock], rows))


def standing(program: Program, now: datetime = NOW) -> str:
    return str(program("status", "R1", "--json", now=now).json["clocks"][0]["standing"])


def test_a_ready_clock_goes_and_its_record_is_kept(program: Program) -> None:
    ready(program)
    [clock] = program("status", "--json").json["clocks"]
    assert clock["standing"] == "ready", [r for r in clock["requirements"] if r["outcome"] == "not-yet-known"]
    assert clock["next"]["code"] == "release"
    assert "R1 may go" in program("release", "R1", "--by", "K. M.").out
    assert standing(program) == "released"
    assert "fine" not in program("selfcheck").out
    told = program("release", "R1", "--by", "K. M.", code=3)
    assert "released already" in told.err


@pytest.mark.parametrize("missing", ["beat", "safety"])
def test_what_is_missing_is_named_and_starred_is_never_waived(program: Program, missing: str) -> None:
    ready(program, missing=missing)
    told = program("release", "R1", "--by", "K. M.", code=3)
    assert f"{missing}* not yet known" in told.err
    assert "never waived" in program("release", "R1", "--by", "K. M.", "--waive", f"{missing}=no time", code=3).err
    assert standing(program) == "on-test"


def test_the_others_may_be_waived_with_a_reason(program: Program) -> None:
    ready(program, missing="oil")
    assert "oil not yet known" in program("release", "R1", "--by", "K. M.", code=3).err
    assert program("release", "R1", "--by", "K. M.", "--waive", "oil=", code=4).err
    assert program("release", "R1", "--by", "K. M.", "--waive", "colour=red", code=4).err
    assert program("release", "R1", "--by", "K. M.", "--waive", "oil", code=2).err
    assert program("release", "R1", "--by", " ", "--waive", "oil=x", code=4).err
    twice = program("release", "R1", "--by", "K. M.", "--waive", "oil=x", "--waive", "oil=y", code=2).err
    assert "oil is waived twice; give one reason" in twice
    assert "waived: oil" in program("release", "R1", "--by", "K. M.", "--waive", "oil=looked at in March").out
    outcomes = {r["name"]: r["outcome"] for r in program("status", "R1", "--json").json["clocks"][0]["requirements"]}
    assert outcomes["oil"] == "waived"


def test_reopening_keeps_evidence_but_not_waivers(program: Program) -> None:
    ready(program, missing="oil")
    assert "not released" in program("reopen", "R1", "--reason", "x", code=3).err
    program("release", "R1", "--by", "K. M.", "--waive", "oil=looked at in March")
    assert program("reopen", "R1", "--reason", " ", code=4).err
    program("reopen", "R1", "--reason", "hands rub", now=NOW + timedelta(minutes=5))
    [clock] = program("status", "--json", now=NOW + timedelta(minutes=10)).json["clocks"]
    outcomes = {r["name"]: r["outcome"] for r in clock["requirements"]}
    assert clock["standing"] == "on-test"
    assert (outcomes["oil"], outcomes["beat"]) == ("not-yet-known", "met")


def test_a_standing_or_unexplained_clock_stays(program: Program) -> None:
    ready(program)
    told = program("work", "R1", "stopped", "--dial", "8:50").out
    assert "stands still" in program("release", "R1", "--by", "K. M.", code=3).err
    later = NOW + timedelta(hours=2)
    program("work", "R1", "restarted", now=later)
    assert "not explained" in program("release", "R1", "--by", "K. M.", now=later, code=3).err
    fact = told.split("recorded ")[1].split()[0]
    program("correct", fact, "explained=yes", "note=draught from the door", now=later)
    told = program("release", "R1", "--by", "K. M.", now=later, code=3).err
    assert "not explained" not in told
    assert "continuous-running*" in told


def test_order_of_steps_after_the_stand(program: Program) -> None:
    ready(program)
    for words in (
        ["deliver", "R1", "--at", NOW.isoformat()],
        ["call", "R1", "--result", "well"],
        ["callback", "R1", "--code", "user"],
    ):
        assert program(*words, code=3).err
    program("release", "R1", "--by", "K. M.")
    assert program("deliver", "R1", "--at", (NOW - timedelta(days=1)).isoformat(), code=4).err
    assert program("deliver", "R1", "--at", (NOW + timedelta(hours=1)).isoformat(), code=4).err
    there = NOW + timedelta(hours=6)
    options = ["--error", "2", "--amplitude", "1.5", "--fixed-to-wall", "--wound-by", "the owner", "--note", "level"]
    program("deliver", "R1", "--at", there.isoformat(), *options, now=there)
    assert program("deliver", "R1", "--at", there.isoformat(), now=there, code=3).err
    second = there + timedelta(days=2)  # a movement without its case is called about on the second day too
    due = program("due", "--until", (there + timedelta(days=30)).isoformat(), "--json", now=there).json
    assert [each["what"] for each in due] == ["call", "call"]
    program("call", "R1", "--result", "goes well", "--error", "3", now=second)
    due = program("due", "--until", (there + timedelta(days=30)).isoformat(), "--json", now=second).json
    assert [each["at"] for each in due] == [(there + timedelta(days=14)).isoformat()]
    last = there + timedelta(days=14)
    assert "  0 run out before the next round" in program("status", now=last).out  # its owner winds it
    at_home = program("checkin", "R1", "--error", "90", "--at", last.isoformat(), now=last).out
    assert "found     1:30 fast" in at_home
    assert "expected  0:0" in at_home  # three told over the telephone on the second day; the move is the doubt
    assert "a surprise" not in at_home
    program("call", "R1", "--result", "stopped on Sunday", "--stopped", now=last)
    assert program("status", "--json", now=last).json["clocks"] == []
    assert standing(program, now=last) == "released"
    assert program("callback", "R1", "--code", "weather", now=last, code=4).err
    program("callback", "R1", "--code", "set-up", now=last)
    program("reopen", "R1", "--reason", "stopped at home", now=last)
    assert program("status", "--json", now=last).json["clocks"][0]["tag"] == "R1"


def test_what_is_left_of_a_wind_at_home_is_its_owners(program: Program) -> None:
    """On the stand while its call is due, without the weight that hangs there no more."""
    ready(program)
    program("release", "R1", "--by", "K. M.")
    assert "3d10h" in program("status").out.splitlines()[-1]  # still here: 750 mm of 1275 at 150 mm a day are gone
    program("deliver", "R1", "--at", NOW.isoformat())
    for days in (1, 13):
        row = program("status", now=NOW + timedelta(days=days)).out.splitlines()[-1]
        assert "released" in row
        assert "over" not in row
        assert "!" not in row


def test_a_release_is_not_undone_and_not_corrected(program: Program) -> None:
    ready(program, missing="oil")
    fact = program("release", "R1", "--by", "K. M.", "--waive", "oil=x").out.split("(")[1].split(")")[0]
    assert "reopen" in program("undo", "R1", code=3).err
    assert program("correct", fact, "by=someone", code=3).err
    program("deliver", "R1", "--at", NOW.isoformat())
    assert "taken back: delivered" in program("undo", "R1").out
    assert standing(program) == "released"


def test_a_release_survives_later_facts_and_tells_tampering(program: Program) -> None:
    ready(program, missing="oil")
    program("release", "R1", "--by", "K. M.", "--waive", "oil=x")
    program("checkin", "R1", "--error", "6", "--at", NOW.isoformat())
    program("clock", "change", "R1", "least_days=30")
    program("undo", "R1")
    program("undo", "R1")
    assert "releases: 1" in program("selfcheck").out
    folder = program.book.parent / "out"
    program("export", folder)
    other = Program(program.book.parent / "other.sqlite")
    other("import", folder)
    assert "the book is whole" in other("selfcheck").out
    connection = sqlite3.connect(program.book)
    tables = [name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    assert "checkins" in tables
    for (trigger,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        connection.execute(f"DROP TRIGGER {trigger}")  # whoever tampers may do that too
    connection.execute("UPDATE checkins SET error_s = error_s + 1 WHERE error_s IS NOT NULL")
    connection.commit()
    connection.close()
    told = program("selfcheck", code=5)
    assert "release of R1" in told.err


def test_the_record_says_what_it_stood_on(program: Program) -> None:
    ready(program, missing="oil")
    program("release", "R1", "--by", "K. M.", "--waive", "oil=x")
    folder = program.book.parent / "out"
    program("export", folder)
    import csv  # noqa: PLC0415

    with (folder / "releases.csv").open(encoding="utf-8", newline="") as file:
        [row] = csv.DictReader(file)
    record = json.loads(row["record"])
    assert {"tag", "at", "by", "program", "rules", "clock", "outcomes", "facts", "digest"} <= set(record)
    outcomes = {each["name"]: each for each in record["outcomes"]}
    assert outcomes["oil"]["outcome"] == "waived"
    assert outcomes["oil"]["waived"] == "x"
    assert len(record["facts"]) == 1 + len((folder / "checkins.csv").read_text(encoding="utf-8").splitlines()) - 1
    assert len(record["digest"]) == 64


def test_of_two_terminals_one_releases(program: Program) -> None:
    ready(program)
    words = ["--book", str(program.book), "--now", NOW.isoformat(), "release", "R1", "--by"]
    tries = [
        subprocess.Popen(
            [sys.executable, "-m", "standwatch", *words, name],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env=dict(os.environ),
        )
        for name in ("one", "two")
    ]
    told = [each.communicate(timeout=60) for each in tries]
    assert sorted(each.returncode for each in tries) == [0, 3], told
    assert any("released already" in err for _, err in told)
    winner = "one" if tries[0].returncode == 0 else "two"
    assert any(f"{winner} let it go on Fri 20 Nov 2026 09:00" in err for _, err in told)
    folder = program.book.parent / "out"
    program("export", folder)
    assert len((folder / "releases.csv").read_text(encoding="utf-8").splitlines()) == 2


def test_releases_import_back(program: Program) -> None:
    ready(program, missing="oil")
    program("release", "R1", "--by", "K. M.", "--waive", "oil=x")
    program("deliver", "R1", "--at", NOW.isoformat(), "--error", "2")
    folder = program.book.parent / "out"
    program("export", folder)
    other = Program(program.book.parent / "other.sqlite")
    other("import", folder)
    assert other("status", "--json").out == program("status", "--json").out
    assert other("clock", "show", "R1").out == program("clock", "show", "R1").out


def test_a_release_altered_on_its_way_is_refused_with_its_place(program: Program) -> None:
    ready(program, missing="oil")
    program("release", "R1", "--by", "K. M.", "--waive", "oil=looked at in March")
    folder = program.book.parent / "out"
    program("export", folder)
    ledger = folder / "releases.csv"
    kept = ledger.read_text(encoding="utf-8")
    ledger.write_text(kept.replace("looked at in March", "looked at in April"), encoding="utf-8")
    other = Program(program.book.parent / "other.sqlite")
    for words in (["import", folder], ["import", folder, "--check"]):
        told = other(*words, code=4).err
        assert told.startswith(f"standwatch: {ledger}:2:"), told
        assert "the release of R1 at 2026-11-20T09:00:00+00:00 does not match its digest" in told
        assert len(told.splitlines()) == 1
    assert other("clock", "list").out.splitlines()[1:] == []
    ledger.write_text(kept, encoding="utf-8")
    other("import", *(folder / name for name in ("book.csv", "clocks.csv", "waivers.csv", "releases.csv")))
    assert "stood on a fact that the book does not have" in other("selfcheck", code=5).err
    assert "the release of" not in other("import", folder).err
    assert "the book is whole" in other("selfcheck").out


def test_a_refusal_says_what_is_missing_from_when_and_by_which_command(program: Program) -> None:
    """A line each, its time that of the shop's zone: in Auckland a Monday round is on Sunday evening, UTC."""
    clock, rows = regulator_ready()
    kept = [
        row for row in rows if row.get("work") not in {"safety-checked", "oil-checked"} and "beat_error_pct" not in row
    ]
    program("set", "zone=Pacific/Auckland")
    program("import", write_ledger(program.book.parent / "ledger", [clock], kept))
    program("checkin", "R1", "--beat-error", "1.5", "--at", (NOW - timedelta(hours=1)).isoformat())
    head, *lines = program("release", "R1", "--by", "K. M.", code=3).err.splitlines()
    assert head == "standwatch: R1 may not go yet, and not before Mon 23 Nov 08:00; in the way:"
    beat, oil, safety = lines
    assert beat.startswith("  beat* not yet known: 1.5 % once")
    assert beat.endswith("(earliest Mon 23 Nov 08:00, `checkin R1 --beat-error N`)")
    assert oil.startswith("  oil not yet known: not looked at yet")
    assert oil.endswith("`work R1 oil-checked --note INITIALS`)")
    assert safety.endswith("tagged parts (now, `work R1 safety-checked --note INITIALS`)")


def test_the_commands_a_refusal_names_do_what_it_wants(program: Program) -> None:
    ready(program, missing="safety")
    told = program("release", "R1", "--by", "K. M.", code=3).err
    command = told.rpartition("`")[0].rpartition("`")[2].replace("INITIALS", "J.Q.")
    program(*command.split())
    assert "R1 may go" in program("release", "R1", "--by", "K. M.").out


def test_a_clock_shows_its_releases_and_what_is_other_since(program: Program) -> None:
    ready(program, missing="oil")
    assert "RELEASED" not in program("clock", "show", "R1").out
    program("release", "R1", "--by", "K. M.", "--waive", "oil=looked at in March")
    shown = program("clock", "show", "R1").out
    assert "Fri 20 Nov 2026 09:00  K. M.  oil: looked at in March" in shown
    assert "Since then" not in shown
    later = NOW + timedelta(hours=2)
    program("set", "regulator.mean_rate_limit=0.7", now=later)
    program("checkin", "R1", "--error", "6", now=later)
    shown = program("clock", "show", "R1", now=later).out
    assert "Since then:\n  mean-rate limit was 1, is 0.7 now (s/day)\n  1 fact since\n" in shown
    program("reopen", "R1", "--reason", "hands rub", now=later)
    program("release", "R1", "--by", "A. B.", "--waive", "oil=as before", now=later)
    shown = program("clock", "show", "R1", now=later).out
    assert "A. B.  oil: as before" in shown
    assert "oil: looked at in March" in shown
    assert "Since then" not in shown
    assert "A. B." not in program("clock", "show", "R1", now=NOW).out.partition("RELEASED")[2]
