"""How a clock was left at its owner's, calls and call-backs, and the warranty, by commands."""

from __future__ import annotations

import csv
from datetime import timedelta

import pytest

from tests.cli.conftest import Program
from tests.shop import NOW, Row, regulator_ready, write_ledger

THERE = NOW + timedelta(hours=6)


def let_go(program: Program, *, missing: str = "", **columns: object) -> None:
    """The regulator is released; its ledger's columns may differ."""
    clock, rows = regulator_ready(missing=missing)
    program("import", write_ledger(program.book.parent / "ledger", [{**clock, **columns}], rows))
    waived = ["--waive", f"{missing}=no time"] if missing else []
    program("release", "R1", "--by", "K. M.", *waived)


def steps(program: Program) -> list[Row]:
    """The rows of releases.csv, as exported."""
    folder = program.book.parent / f"out-{sum(1 for _ in program.book.parent.glob('out-*'))}"
    program("export", folder)
    with (folder / "releases.csv").open(encoding="utf-8", newline="") as file:
        return [dict(row) for row in csv.DictReader(file)]


def test_how_it_was_left_is_kept_and_told(program: Program) -> None:
    let_go(program, swing_scale_mm=500)
    options = ["--error", "-2", "--swing-mm", "14", "--beat-error", "1.5", "--going-fall", "20"]
    words = ["--not-fixed-to-wall", "--wound-by", "the owner's son", "--note", "thick carpet"]
    told = program("deliver", "R1", "--at", THERE.isoformat(), *options, *words, now=THERE).out
    assert "its warranty ends on 20 Nov 2027" in told
    left = steps(program)[-1]
    assert left["what"] == "delivered"
    assert float(str(left["amplitude_deg"])) == pytest.approx(1.6039, abs=1e-3)  # atan(14/500)
    assert (left["beat_error_pct"], left["going_mm"], left["fixed_to_wall"]) == ("1.5", "20", "no")
    shown = program("clock", "show", "R1", now=THERE).out
    assert (
        "delivered; 2.0 s slow; swing 1.60386°; beat error 1.5 %; going 20 mm down; not fixed to the wall; "
        "wound by the owner's son; thick carpet" in shown
    )
    assert "Warranty: ends on 20 Nov 2027" in shown
    folder = program.book.parent / "moved"
    program("export", folder, now=THERE)
    other = Program(program.book.parent / "other.sqlite")
    other("import", folder, now=THERE)
    assert other("clock", "show", "R1", now=THERE).out == shown
    fact = told.split("(")[1].split(")")[0]
    assert "can't have fallen over" in program("correct", fact, "going_mm=9000", now=THERE, code=4).err
    assert "going 25 mm down" in program("correct", fact, "going_mm=25", now=THERE).out


@pytest.mark.parametrize(
    ("options", "said", "code"),
    [
        (["--strike-fall", "20"], "has no strike train", 4),
        (["--going-fall", "9000"], "can't have fallen over", 4),
        (["--amplitude", "50"], "0 to 45 degrees", 4),
        (["--swing-mm", "14"], "swing_scale_mm of R1 is not given", 4),
        (["--amplitude", "2", "--swing-mm", "14"], "say the same", 2),
        (["--beat-error", "-1"], "give per cent, 0 to 100", 4),
    ],
)
def test_what_cannot_be_is_refused(program: Program, options: list[str], said: str, code: int) -> None:
    let_go(program)
    assert said in program("deliver", "R1", "--at", THERE.isoformat(), *options, now=THERE, code=code).err
    assert steps(program)[-1]["what"] == "released"


def test_calls_and_call_backs_at_their_own_time(program: Program) -> None:
    let_go(program)
    program("deliver", "R1", "--at", THERE.isoformat(), now=THERE)
    later = THERE + timedelta(days=20)
    called = THERE + timedelta(days=3)
    program("call", "R1", "--result", "goes well", "--at", called.isoformat(), now=later)
    program("call", "R1", "--result", "too early", "--at", THERE.isoformat(), now=later, code=4)
    back = THERE + timedelta(days=10)
    words = ["--code", "set-up", "--at", back.isoformat(), "--note", "the floor gives", "--stopped"]
    told = program("callback", "R1", *words, now=later).out
    assert "called-back; set-up; stopped; the floor gives; within its warranty, which ends on 20 Nov 2027" in told
    assert [row["at"] for row in steps(program)[2:]] == [called.isoformat(), back.isoformat()]
    last = [row for row in steps(program) if row["what"] == "called-back"]
    assert (last[0]["stopped"], last[0]["reason"], last[0]["code"]) == ("yes", "the floor gives", "set-up")


def test_a_call_back_after_the_warranty_says_so(program: Program) -> None:
    program("set", "warranty_months=3", "zone=Europe/London")
    let_go(program)
    program("deliver", "R1", "--at", "2026-11-30T15:00", now="2026-11-30T16:00")
    shown = program("clock", "show", "R1", now="2027-02-28T12:00").out
    assert "Warranty: ends on 28 Feb 2027" in shown  # February has no 30th
    assert (
        "after its warranty, which ended on 28 Feb 2027"
        in program("callback", "R1", "--code", "mechanical", now="2027-03-01T00:30").out
    )
    assert "Warranty: ended on 28 Feb 2027" in program("clock", "show", "R1", now="2027-03-01T00:30").out


def test_its_release_keeps_the_warranty_it_promised(program: Program) -> None:
    let_go(program)
    program("set", "warranty_months=24")
    program("deliver", "R1", "--at", THERE.isoformat(), now=THERE)
    assert "Warranty: ends on 20 Nov 2027" in program("clock", "show", "R1", now=THERE).out


def test_without_a_warranty_none_is_told(program: Program) -> None:
    program("set", "warranty_months=0")
    let_go(program)
    assert "warranty" not in program("deliver", "R1", "--at", THERE.isoformat(), now=THERE).out
    assert "warranty" not in program("callback", "R1", "--code", "user", now=THERE).out
    assert "Warranty" not in program("clock", "show", "R1", now=THERE).out


def test_calls_are_due_on_the_shops_days_and_a_movements_also_on_the_second(program: Program) -> None:
    program("set", "calls=9;14")
    let_go(program)
    program("deliver", "R1", "--at", THERE.isoformat(), now=THERE)

    def due(days: float) -> list[str]:
        now = THERE + timedelta(days=days)
        found = program("due", "--until", (THERE + timedelta(days=30)).isoformat(), "--json", now=now).json
        return [str(each["at"]) for each in found if each["what"] == "call"]

    assert due(0) == [(THERE + timedelta(days=day)).isoformat() for day in (2, 9, 14)]
    program("clock", "change", "R1", "movement_only=no", now=THERE)
    assert due(0) == [(THERE + timedelta(days=day)).isoformat() for day in (9, 14)]


def test_the_facts_of_a_clock_are_told_in_order_of_time(program: Program) -> None:
    """Its release and its delivery between what came before them and what was read at home, not after all of it."""
    let_go(program)
    program("deliver", "R1", "--at", THERE.isoformat(), "--error", "0", now=THERE)
    program("checkin", "R1", "--error", "404", now=THERE + timedelta(days=20))
    shown = program("clock", "show", "R1", now=THERE + timedelta(days=20)).out
    table = shown.partition("AT ")[2].partition("\n\n")[0]
    assert table.index("; K. M.") < table.index("delivered") < table.index("reading 6:44 fast")


def test_a_call_before_the_delivery_is_refused_in_the_shop_s_time(program: Program) -> None:
    """London is an hour ahead of UTC in June."""
    let_go(program)
    program("deliver", "R1", "--at", "2027-06-05T15:00", now="2027-06-20T10:00")
    told = program("call", "R1", "--result", "x", "--at", "2027-06-01T10:00", now="2027-06-20T10:00", code=4).err
    assert "Tue 01 Jun 2027 10:00 is before R1 was delivered, Sat 05 Jun 2027 15:00; give a later time" in told


def test_what_the_stand_knew_is_not_told_as_how_it_goes_at_its_owner_s(program: Program) -> None:
    """The rate is the stand's and said to be; its owner winds it; no turn of the nut is advised from afar."""
    let_go(program)
    program("deliver", "R1", "--at", THERE.isoformat(), "--error", "0", now=THERE)
    later = THERE + timedelta(days=20)
    told = program("status", "R1", now=later).out
    for name in ("rate", "drift", "swing"):
        line = next(line for line in told.splitlines() if line.strip().startswith(name))
        assert line.endswith("as it was on the stand")
    assert " ends " not in told
    row = next(line for line in program("status", now=later).out.splitlines() if " R1 " in line)
    assert row.split()[0] == "home"
    assert "≈" in row
    assert "±" not in row
    assert "  rate " not in program("checkin", "R1", "--error", "4", now=later).out
    assert "at its owner's" in program("regulate", "R1", now=later).out
    assert program("regulate", "R1", "--json", now=later).json["not_yet_known"]
