"""What must hold of any ledger, taken in by a real book: undone, in another order, a second time, with more heard."""

from __future__ import annotations

import csv
import math
import random
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standwatch.model.words import KindName
from tests.cli.conftest import Program
from tests.cli.ledger import MET, OPEN, Seen, add, checkins, folder, keep, moment
from tests.judge import complete
from tests.judge.test_any_ledger import CELLS
from tests.shop import Row, write_ledger

NOW = "11-20 08:20"
COLUMNS = {"tunes": "A;B", "moon": "yes", "unlock_deg": "1.5", "position": "A1"}
NOT_OF = {
    KindName.FLOOR_CHIMING: ("beat_error_ms", "overswing"),
    KindName.MANTEL_CHIMING: ("beat_error_pct", "overswing", "_mm"),
    KindName.CUCKOO: ("beat_error_ms", "overswing", "chime", "quarter", "mis-set", "tune"),
    KindName.TORSION: ("beat_error", "_mm", "chime", "quarter", "mis-set", "tune", "hour", "strike"),
}
"""What cannot be told of a kind, and is refused."""


@st.composite
def ledgers(draw: st.DrawFn) -> tuple[KindName, list[str], str]:
    """A kind, rows of it, and the cells of one more."""
    kind = draw(st.sampled_from(list(NOT_OF)))
    cells = CELLS.filter(lambda cell: not any(word in cell for word in NOT_OF[kind]))
    times = st.builds(
        lambda day, hour, minute: f"11-{day:02} {hour:02}:{minute:02}",
        *(st.integers(1, 19), st.integers(0, 23), st.sampled_from([0, 10, 15])),
    )
    rows = draw(st.lists(st.tuples(times, cells), min_size=1, max_size=20))
    return kind, [f"{time} {cell}" for time, cell in rows], draw(cells)


A_FEW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@contextmanager
def a_book() -> Iterator[Program]:
    """The program on a book of its own."""
    with tempfile.TemporaryDirectory() as place:
        yield Program(Path(place) / "book.sqlite")


def status(program: Program, now: str = NOW) -> Any:
    return program("status", "--json", now=moment(now)).json


def exported(program: Program) -> dict[str, str]:
    """Every file of the ledger, by its name."""
    out = folder(program)
    program("export", out, now=moment(NOW))
    return {path.name: path.read_text(encoding="utf-8") for path in sorted(out.iterdir())}


@given(ledgers())
@A_FEW
def test_a_fact_undone_gives_yesterdays_whole_status_back(told: tuple[KindName, list[str], str]) -> None:
    """By `undo`, and by a row of id and replaces alone."""
    kind, lines, cell = told
    with a_book() as program:
        keep(program, kind, lines, now=NOW, **COLUMNS)
        before = status(program)
        one_more = f"11-20 08:15 {cell}"
        add(program, [one_more], now=NOW)
        program("undo", "T1", now=moment(NOW))
        assert status(program) == before
        add(program, [f"{one_more} temperature_c=19.25"], now=NOW)
        rows = csv.DictReader(exported(program)["checkins.csv"].splitlines())
        [ident] = [row["id"] for row in rows if row["temperature_c"] == "19.25"]
        back = write_ledger(folder(program), [], [{"id": "back", "replaces": ident}]) / "checkins.csv"
        program("import", back, now=moment(NOW))
        assert status(program) == before


@given(ledgers(), st.randoms(use_true_random=False))
@A_FEW
def test_the_order_of_rows_does_not_matter(ledger: tuple[KindName, list[str], str], dice: random.Random) -> None:
    """But for ties, which keep file order: here no two rows have one time."""
    kind, lines, _ = ledger
    rows = list({row["at"]: row for row in checkins(lines)}.values())
    shuffled = dice.sample(rows, len(rows))
    told = []
    for order in (rows, shuffled):
        with a_book() as program:
            clock: Row = {"tag": "T1", "kind": kind, **COLUMNS}
            program("import", write_ledger(folder(program), [clock], order), now=moment(NOW))
            told.append(status(program))
    assert told[0] == told[1]


@given(ledgers(), st.integers(0, 20))
@A_FEW
def test_an_import_in_two_parts_is_as_one_and_a_second_import_changes_nothing(
    told: tuple[KindName, list[str], str], part: int
) -> None:
    kind, lines, _ = told
    rows = list({row["at"]: row for row in checkins(lines)}.values())
    clock: Row = {"tag": "T1", "kind": kind, **COLUMNS}
    with a_book() as program, a_book() as other:
        ledger = write_ledger(folder(program), [clock], rows)
        program("import", ledger, now=moment(NOW))
        before, kept = status(program), exported(program)
        again = program("import", ledger, now=moment(NOW))
        assert "T1" not in again.out
        assert exported(program) == kept
        assert status(program) == before
        other("import", write_ledger(folder(other), [clock], rows[part:]), now=moment(NOW))
        other("import", write_ledger(folder(other), [clock], rows[:part]), now=moment(NOW))
        assert status(other) == before


def sound(told: Any) -> None:
    """Every quantity has its interval around it, every moment likewise, and odds are probabilities."""
    if isinstance(told, dict):
        if {"low", "high"} <= told.keys():
            middle = "estimate" if "estimate" in told else "at"
            assert told["low"] <= told[middle] <= told["high"], told
        if "odds" in told:
            assert 0 <= told["odds"] <= 1, told
        if "at" in told:
            assert told["at"].endswith("+00:00"), told
        for each in told.values():
            sound(each)
    elif isinstance(told, list):
        for each in told:
            sound(each)
    elif isinstance(told, float):
        assert math.isfinite(told)


@given(ledgers(), st.sampled_from(["11-02 03:00", "11-13 17:30", NOW]))
@A_FEW
def test_every_command_answers_any_ledger_with_sound_numbers(told: tuple[KindName, list[str], str], now: str) -> None:
    """As of any time, in JSON and in words."""
    kind, lines, _ = told
    with a_book() as program:
        keep(program, kind, lines, now=NOW, **COLUMNS)
        at = moment(now)
        clocks = program("status", "--json", now=at).json["clocks"]
        sound(clocks)
        for each in clocks[0]["requirements"]:
            assert each["because"]
            assert each["earliest"] is None or each["earliest"] >= at.isoformat()
        due = program("due", "--until", moment("12-20 08:00").isoformat(), "--json", now=at).json
        sound(due)
        assert [each["at"] for each in due] == sorted(each["at"] for each in due)
        sound(program("forecast", "--at", moment("11-28 08:00").isoformat(), "--json", now=at).json)
        sound(program("regulate", "T1", "--json", now=at).json)
        times = program("stop-times", "T1", "--dial", "3:47", "--json", now=at).json
        sound(times)
        assert not times or sum(each["odds"] for each in times) == pytest.approx(1)
        assert [each["odds"] for each in times] == sorted((each["odds"] for each in times), reverse=True)
        for words in (("status",), ("status", "T1"), ("clock", "show", "T1"), ("due",), ("regulate", "T1")):
            said = program(*words, now=at).out
            assert said.strip()
            assert not re.search(r"\b(nan|None|inf)\b", said), said


HEARD = [
    f"{month}-{day:02} {hour:02}:{minute:02} {cell}"
    for month, day in (("11", 3), ("11", 6), ("11", 13), ("11", 17), ("12", 1), ("12", 3))
    for hour, minute in ((7, 5), (9, 20), (15, 50), (20, 35))
    for cell in (
        *(f"hour={h} blows={h}" for h in (1, 7, 12)),
        "hour=8 blows=8 staged=yes",
        *("chime=in-step", "chime=in-step quarter=3", "hour=4 blows=4 chime=in-step quarter=4", "blows=1"),
    )
]


@given(
    st.lists(st.sampled_from(HEARD), min_size=1, max_size=30, unique=True), st.sets(st.integers(0, 150), max_size=40)
)
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_more_heard_right_never_turns_met_into_not_yet_known(more: list[str], left_out: set[int]) -> None:
    """Of any requirement of a clock that has shown everything, or that lacks some rows without work."""
    lines = [line for n, line in enumerate(complete.LEDGER) if n not in left_out or "work=" in line]
    with a_book() as program:
        keep(program, "floor-chiming", lines, now=complete.NOW, **complete.COLUMNS)
        [before] = map(Seen, status(program, complete.NOW)["clocks"])
        add(program, more, now=complete.NOW)
        [after] = map(Seen, status(program, complete.NOW)["clocks"])
    lost = {name for name, outcome in before.outcomes.items() if outcome == MET and after.outcomes[name] != MET}
    assert lost == set()


SLIPS = st.sampled_from(
    [
        *("chime=out-of-step", "chime=not-running", "hour=9 blows=8", "work=hands-set", "work=chime-set", "work=wound"),
        *(
            "work=strike-set",
            "work=mis-set amount=2",
            "work=tune amount=2",
            "work=moved",
            "chime=not-running explained=yes",
        ),
        *("work=ran-out train=chime", "work=stopped explained=yes", "work=restarted", "work=mis-set", "chime=silent"),
    ]
)


@given(
    st.lists(
        st.builds(
            lambda day, hour, cell: f"11-{day:02} {hour:02}:40 {cell}", st.integers(2, 27), st.integers(8, 17), SLIPS
        ),
        max_size=6,
    ),
    st.lists(st.sampled_from(HEARD), min_size=1, max_size=12, unique=True),
)
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_nor_of_the_ears_rows_whatever_else_happened(slips: list[str], more: list[str]) -> None:
    """Counts, chime in step, mis-sets and tunes of a clock that also slipped, hung and was put right."""
    with a_book() as program:
        keep(program, "floor-chiming", [*complete.LEDGER, *slips], now=complete.NOW, **complete.COLUMNS)
        [before] = map(Seen, status(program, complete.NOW)["clocks"])
        add(program, more, now=complete.NOW)
        [after] = map(Seen, status(program, complete.NOW)["clocks"])
    for name in ("twelve-counts", "chime-step", "mis-set", "tunes"):
        assert (before.outcome(name), after.outcome(name)) != (MET, OPEN), name
