"""A release that was altered is told: in the book, in a ledger on its way to another, by whatever hand."""

from __future__ import annotations

import csv
import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standwatch.model.errors import BadValue, BookUnusable
from standwatch.service.stand import Stand
from tests.service.let_go import book, import_ready, let_go, let_go_once, open_at, texts
from tests.shop import NOW, Row, morning

__all__ = ["book", "let_go_once"]  # fixtures


def tamper(path: Path, *statements: str) -> None:
    """What somebody with a database program can do: the triggers that forbid it are dropped first."""
    with closing(sqlite3.connect(path)) as db:
        for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            db.execute(f"DROP TRIGGER {name}")
        db.execute("PRAGMA foreign_keys = OFF")
        told = dict(db.execute("SELECT f.tag, b.seq FROM handovers AS b JOIN facts AS f ON f.seq = b.seq").fetchall())
        first = db.execute("SELECT min(seq) FROM facts WHERE sort = 'checkin' AND tag = 'R1'").fetchone()[0] + 3
        for statement in statements:
            assert db.execute(statement, {"r1": told["R1"], "r2": told["R2"], "first": first}).rowcount, statement
        db.commit()


TAMPERED: dict[str, tuple[str, list[str]]] = {
    "a reason": (
        "does not match its digest",
        ["UPDATE handovers SET record = replace(record, 'looked at in March', 'looked at in April') WHERE seq = :r1"],
    ),
    "a limit": (
        "does not match its digest",
        ["UPDATE handovers SET record = replace(record, '\"limit\":1.0', '\"limit\":2.0') WHERE seq = :r1"],
    ),
    "a blank": (
        "has a record that was edited",
        ["UPDATE handovers SET record = replace(record, '\"by\":', '\"by\": ') WHERE seq = :r1"],
    ),
    "cut short": (
        "has no record that can be read",
        ["UPDATE handovers SET record = substr(record, 1, 2000) WHERE seq = :r1"],
    ),
    "taken out": ("has no record that can be read", ["UPDATE handovers SET record = NULL WHERE seq = :r1"]),
    "nested": (
        "has no record that can be read",
        ["UPDATE handovers SET record = replace(hex(zeroblob(50000)), '0', '[') WHERE seq = :r1"],
    ),
    "swapped": (
        "carries the record of another: R2 let go by K. M.",
        ["UPDATE handovers SET record = (SELECT record FROM handovers WHERE seq = :r2) WHERE seq = :r1"],
    ),
    "another name": ("carries the record of another", ["UPDATE handovers SET \"by\" = 'X. Y.' WHERE seq = :r1"]),
    "one fact": ("does not match its digest", ["UPDATE checkins SET error_s = error_s + 0.1 WHERE seq = :first"]),
    "a fact's clock": ("does not match its digest", ["UPDATE facts SET tag = 'R2' WHERE seq = :first"]),
    "a fact gone": (
        "stood on a fact that the book does not have",
        ["DELETE FROM checkins WHERE seq = :first", "DELETE FROM facts WHERE seq = :first"],
    ),
}


@pytest.mark.parametrize("how", TAMPERED)
def test_a_tampered_release_is_told_in_one_sentence(book: Path, how: str) -> None:
    said, statements = TAMPERED[how]
    tamper(book, *statements)
    with closing(open_at(book)) as stand:
        told = [line for line in stand.selfcheck().problems if line.startswith("the release of R1")]
        assert len(told) == 1
        assert said in told[0]
        assert "\n" not in told[0]
        with pytest.raises(BookUnusable, match="the release of R1 at 2026-11-20"):
            stand.released("R1", NOW)  # no paper is printed from it
        assert any(said in line for line in stand.since_release("R1", NOW))
        stand.releases("R1")
        assert stand.released("R2", NOW).tag == "R2" or how == "a fact's clock"


def test_a_release_that_was_taken_back_behind_the_program_is_told(book: Path) -> None:
    tamper(
        book,
        "INSERT INTO facts (seq, id, sort, tag, replaces, place, generation, digest, recorded_at) "
        "SELECT (SELECT max(seq) FROM facts) + 1, 'aaaaaaaaaaaa', sort, tag, id, place, 1, NULL, recorded_at "
        "FROM facts WHERE seq = :r1",
    )
    with closing(open_at(book)) as stand:
        assert stand.releases("R1") == ()
        assert any("takes the place of R1's release" in line for line in stand.selfcheck().problems)


# to another book and back


def export(path: Path, folder: Path) -> Path:
    with closing(open_at(path)) as stand:
        stand.export_ledger(folder)
    return folder


def cells(folder: Path, file: str) -> tuple[list[str], list[dict[str, str]]]:
    csv.field_size_limit(1 << 22)
    try:
        with (folder / file).open(encoding="utf-8", newline="") as opened:
            reader = csv.DictReader(opened)
            return list(reader.fieldnames or ()), list(reader)
    finally:
        csv.field_size_limit(1 << 17)


def edit(folder: Path, file: str, change: Callable[[list[dict[str, str]]], object]) -> None:
    names, rows = cells(folder, file)
    change(rows)
    with (folder / file).open("w", encoding="utf-8", newline="") as opened:
        writer = csv.DictWriter(opened, names, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def test_a_release_is_the_same_record_in_another_book(book: Path, tmp_path: Path, stand: Stand) -> None:
    folder = export(book, tmp_path / "out")
    stand.import_ledger([folder], NOW)
    with closing(open_at(book)) as first:
        assert texts(stand) == texts(first)
        assert stand.releases("R2") == first.releases("R2")
    assert stand.selfcheck().problems == ()
    assert stand.import_ledger([folder], NOW).added["releases.csv"] == 0


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    words=st.lists(st.text(st.characters(codec="utf-8"), min_size=1, max_size=30), min_size=4, max_size=4),
    numbers=st.lists(st.floats(0, 5, allow_nan=False), min_size=3, max_size=3),
    at=st.datetimes(NOW.replace(tzinfo=None) - timedelta(days=2), NOW.replace(tzinfo=None), timezones=st.just(UTC)),
)
def test_whatever_is_written_in_it_a_release_goes_unaltered(
    tmp_path_factory: pytest.TempPathFactory, words: list[str], numbers: list[float], at: datetime
) -> None:
    """An export writes what an import reads, to the last bit of a number and whatever script a note is in."""
    folder = tmp_path_factory.mktemp("words")
    by, reason, note, owner = (f"x{word}" for word in words)
    error, temperature, amplitude = numbers
    visit = {"tag": "R1", "at": at, "error_s": error, "temperature_c": temperature, "note": note}
    with closing(open_at(folder / "one.sqlite")) as one, closing(open_at(folder / "two.sqlite")) as two:
        import_ready(one, folder)
        one.change_clock("R1", {"owner": owner, "unlock_deg": repr(0.5 + amplitude / 10)}, NOW)
        one.check_in(visit, NOW)
        one.release(
            "R1", by=by, waive={"oil": reason, "amplitude": reason, "mean-rate": reason, "day-range": reason}, now=NOW
        )
        one.export_ledger(folder / "out")
        two.import_ledger([folder / "out"], NOW)
        assert texts(two) == texts(one)
        assert one.selfcheck().problems == two.selfcheck().problems == ()


def test_ten_thousand_facts_go_with_their_release(stand: Stand, tmp_path: Path) -> None:
    more: list[Row] = [
        {"at": morning(27) + n * timedelta(minutes=3), "tag": "R1", "note": f"n{n}"} for n in range(10_000)
    ]
    import_ready(stand, tmp_path, more=more)
    let_go(stand)
    [text] = texts(stand)
    assert len(text) > 131_072  # the csv module's own limit for a cell
    stand.export_ledger(tmp_path / "out")
    with closing(open_at(tmp_path / "other.sqlite")) as other:
        other.import_ledger([tmp_path / "out"], NOW)
        assert texts(other) == [text]
        assert other.selfcheck().problems == ()
    assert csv.field_size_limit() == 131_072


def _record(rows: list[dict[str, str]], change: Callable[[Any], object]) -> None:
    told = json.loads(rows[0]["record"])
    change(told)
    rows[0]["record"] = json.dumps(told, sort_keys=True, separators=(",", ":"))


_ANOTHER = "carries the record of another"
BROUGHT_IN: dict[str, tuple[str, Callable[[list[dict[str, str]]], object], str]] = {
    "record": ("releases.csv", lambda rows: _record(rows, lambda t: t["error_s"].update(estimate=0.0)), "digest"),
    "by": ("releases.csv", lambda rows: rows[0].update(by="X. Y."), _ANOTHER),
    "time": ("releases.csv", lambda rows: rows[0].update(at="2026-11-20T08:59:00+00:00"), _ANOTHER),
    "clock": ("releases.csv", lambda rows: rows[0].update(tag="R2"), _ANOTHER),
    "cut": ("releases.csv", lambda rows: rows[0].update(record=rows[0]["record"][:5000]), "no record that can be read"),
    "a fact": ("checkins.csv", lambda rows: rows[1].update(note="x"), "digest"),
}


@pytest.mark.parametrize("what", BROUGHT_IN)
def test_an_altered_release_is_refused_with_its_place(book: Path, tmp_path: Path, stand: Stand, what: str) -> None:
    folder = export(book, tmp_path / "out")
    file, change, said = BROUGHT_IN[what]
    edit(folder, file, change)
    names, _ = cells(folder, "releases.csv")
    place = f"{folder / 'releases.csv'}:2:{names.index('record') + 1}: the release of "
    with pytest.raises(BadValue) as told:
        stand.import_ledger([folder], NOW)
    assert str(told.value).startswith(place)
    assert said in str(told.value)
    assert stand.clocks() == ()  # all or nothing


def test_a_ledger_neither_replaces_a_release_nor_takes_it_back(book: Path, tmp_path: Path) -> None:
    folder = export(book, tmp_path / "out")
    _, rows = cells(folder, "releases.csv")
    names, release = list(rows[0]), rows[0]
    with closing(open_at(book)) as stand:
        for number, row in enumerate(
            [
                {"id": "aaaaaaaaaaaa", "replaces": release["id"]},
                {**release, "id": "aaaaaaaaaaab", "replaces": release["id"], "by": "X. Y."},
            ]
        ):
            ledger = tmp_path / f"back{number}" / "releases.csv"
            ledger.parent.mkdir()
            with ledger.open("w", encoding="utf-8", newline="") as opened:
                writer = csv.DictWriter(opened, names)
                writer.writeheader()
                writer.writerow(row)
            with pytest.raises(BadValue, match=r"releases\.csv:2:2: replaces .* stands as it was made"):
                stand.import_ledger([ledger], NOW)
        assert [step.body.by for step in stand.steps("R1")] == ["K. M."]


def test_facts_that_come_later_than_their_release_make_it_whole(book: Path, tmp_path: Path, stand: Stand) -> None:
    folder = export(book, tmp_path / "out")
    files = [folder / name for name in ("book.csv", "clocks.csv", "releases.csv")]
    told = stand.import_ledger(files, NOW).notes
    assert len(told) == 2
    assert all(note.startswith(f"{folder / 'releases.csv'}:") and "import what is missing" in note for note in told)
    assert all("does not have" in line for line in stand.selfcheck().problems)
    assert len(stand.selfcheck().problems) == 2
    stand.import_ledger([folder / "checkins.csv"], NOW)
    assert stand.selfcheck().problems == ()
