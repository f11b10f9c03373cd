"""The ledger out and in again: the same facts, the same file byte for byte, whatever the order of its rows."""

from __future__ import annotations

import csv
import random
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standwatch.model.facts import CheckIn, Clock, Handover, Waiver
from standwatch.model.records import AnyRecord, Draft, build
from standwatch.model.words import ReadBy, Train, Work
from standwatch.store import SqliteBook, open_book
from tests.store.shelf import NOW, bring, clock, exported, ledger, reading

TAGS = ["L1", "=1+1", 'Q "7"', "a,b"]
TEXT = st.one_of(st.none(), st.sampled_from(TAGS), st.text(max_size=12))
OFFSETS = st.integers(-14 * 60, 14 * 60).map(lambda minutes: timezone(timedelta(minutes=minutes)))
TIMES = st.datetimes(datetime(1990, 1, 1), datetime(2026, 11, 19), timezones=OFFSETS)  # noqa: DTZ001  # offsets are added


def maybe(low: float, high: float) -> st.SearchStrategy[float | None]:
    return st.one_of(st.none(), st.floats(low, high), st.integers(int(low), int(high)).map(float))


CHECK_INS = st.fixed_dictionaries(
    {
        "at": st.one_of(TIMES, st.just(NOW - timedelta(days=1))),
        "tag": st.sampled_from(TAGS),
        "error_s": maybe(-21600, 21600),
        "going_mm": maybe(-20, 40000),
        "amplitude_deg": maybe(0, 360),
        "temperature_c": maybe(-20, 50),
        "read_by": st.sampled_from([None, *ReadBy]),
        "train": st.sampled_from([None, *Train]),
        "work": st.sampled_from([None, Work.STOPPED, Work.NUT]),
        "explained": st.sampled_from([None, True, False]),
        "blows": st.one_of(st.none(), st.integers(0, 24)),
        "note": TEXT,
    }
).map(lambda cells: build(CheckIn, cells))


@st.composite
def histories(draw: st.DrawFn, *, ties: bool = True) -> list[Draft]:
    """Clocks, then readings, some corrected (also to another clock, or twice over) and some taken back.

    Without `ties` no two facts have one time and none is replaced twice, so that no order is left to the rows.
    """
    drafts = [
        Draft(build(Clock, {"tag": tag, "kind": "longcase", "description": draw(TEXT)}), id=f"c{n}")
        for n, tag in enumerate(TAGS)
    ]
    if draw(st.booleans()):
        drafts.append(Draft(build(Clock, {"tag": "L1", "kind": "mantel"}), id="c9", replaces="c0"))
    written: list[str] = []
    for number in range(draw(st.integers(0, 12))):
        name = f"r{7 * number % 13}"  # ids don't come in the order of writing
        replaces = draw(st.sampled_from([None, None, *written]))
        if replaces is not None and not ties:
            written.remove(replaces)
        if replaces is not None and draw(st.booleans()):
            drafts.append(Draft(None, id=name, replaces=replaces))
            continue
        body = draw(CHECK_INS)
        if not ties:
            body = body.model_copy(update={"at": NOW - timedelta(days=5 * number % 13)})
        drafts.append(Draft(body, id=name, replaces=replaces))
        written.append(name)
    return drafts


@contextmanager
def fresh() -> Iterator[tuple[SqliteBook, SqliteBook, Path]]:
    """Two empty books and a folder for what is written between them."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        one, two = open_book(folder / "one.db"), open_book(folder / "two.db")
        try:
            yield one, two, folder
        finally:
            one.close()
            two.close()


def current(book: SqliteBook) -> list[tuple[str, object]]:
    """What the book tells now: id and fact, in its order."""
    records: list[AnyRecord] = [*book.clocks(), *book.check_ins(), *book.waivers(), *book.handovers()]
    return [(record.id, record.body) for record in records]


@settings(max_examples=25, deadline=None)
@given(histories())
def test_a_ledger_goes_in_and_comes_out_byte_for_byte(history: list[Draft]) -> None:
    with fresh() as (one, two, folder):
        one.append(history, at=NOW)
        one.set({"zone": "Europe/London", "site": "51.5,20"}, at=NOW)
        first = exported(one, folder / "first")
        two.import_ledger(
            [folder / "first"], check=lambda _b, _c: None, at=NOW, dry_run=False, progress=lambda _rows: None
        )
        assert exported(two, folder / "second") == first
        assert current(two) == current(one)
        assert two.settings() == one.settings()
        again = bring(two, folder / "second")  # what was possible once needn't be possible now to be known
        assert set(again.added.values()) == {0}


@settings(max_examples=15, deadline=None)
@given(histories(ties=False), st.randoms(use_true_random=False))
def test_the_order_of_rows_does_not_matter_but_for_ties(history: list[Draft], dice: random.Random) -> None:
    with fresh() as (one, two, folder):
        one.append(history, at=NOW)
        one.export_ledger(folder / "in")
        for name in ("clocks.csv", "checkins.csv"):
            with (folder / "in" / name).open(encoding="utf-8", newline="") as file:
                header, *rows = list(csv.reader(file))
            dice.shuffle(rows)
            with (folder / "in" / name).open("w", encoding="utf-8", newline="") as file:
                csv.writer(file).writerows([header, *rows])
        two.import_ledger(
            [folder / "in"], check=lambda _b, _c: None, at=NOW, dry_run=False, progress=lambda _rows: None
        )
        assert sorted(map(repr, current(two))) == sorted(map(repr, current(one)))
        for tag in TAGS:
            assert [r.id for r in two.check_ins(tag)] == [r.id for r in one.check_ins(tag)]


def test_a_handwritten_ledger_in_any_order_keeps_ties(tmp_path: Path) -> None:
    rows = [f"2026-11-{day:02}T08:00:00+00:00,L1,{day}," for day in range(1, 15)]
    ties = ["2026-11-15T08:00:00+00:00,L1,,wound", "2026-11-15T08:00:00+00:00,L1,,nut"]
    told = []
    for number in range(3):
        random.Random(number).shuffle(rows)  # noqa: S311  # a shuffle, no secret
        mixed = [*rows[:5], ties[0], *rows[5:], ties[1]]
        book = open_book(tmp_path / f"{number}.db")
        bring(book, ledger(tmp_path / f"in{number}", checkins="\n".join(["at,tag,error_s,work", *mixed]) + "\n"))
        told.append([record.body for record in book.check_ins()])
        book.close()
    assert told[0] == told[1] == told[2]
    assert [body.work for body in told[0][-2:]] == [Work.WOUND, Work.NUT]


def test_what_is_written_is_plain(book: SqliteBook, tmp_path: Path) -> None:
    """Columns and forms as the interface names them: id and replaces first, yes and no, times in UTC with +00:00."""
    at = datetime(2026, 11, 2, 8, 30, tzinfo=UTC)
    book.append(
        [
            Draft(clock(on_stand_at="2026-11-01T09:00:00+01:00", moon="no", duration_h=192).body, id="c1"),
            Draft(reading(2, error_s=0.1, staged="yes", hour=3, blows=3, note='say "so", twice'), id="r1"),
            Draft(reading(2, error_s=2), id="r2", replaces="r1"),
            Draft(None, id="r3", replaces="r2"),
            Draft(build(Waiver, {"at": at, "tag": "L1", "requirement": "moon", "reason": "r", "by": "K"}), id="w1"),
            Draft(build(Handover, {"at": at, "tag": "L1", "what": "reopened", "reason": "r"}), id="h1"),
        ],
        at=NOW,
    )
    book.set({"zone": "Europe/London"}, at=NOW)
    files = {name: raw.decode().splitlines() for name, raw in exported(book, tmp_path / "out").items()}
    assert set(files) == {"book.csv", "checkins.csv", "clocks.csv", "releases.csv", "waivers.csv"}
    assert files["book.csv"] == ["name,value", "zone,Europe/London"]
    rows = files["checkins.csv"]
    assert rows[0].startswith("id,replaces,at,tag,error_s,error_u_s,dial,read_by,")
    first, second, third = csv.DictReader(rows)
    assert (first["at"], first["error_s"], first["staged"]) == ("2026-11-02T08:00:00+00:00", "0.1", "yes")
    assert first["note"] == 'say "so", twice'
    assert (second["replaces"], second["error_s"]) == ("r1", "2")
    assert rows[3] == "r3,r2" + "," * (rows[0].count(",") - 1)
    assert third["at"] == ""
    [kept] = csv.DictReader(files["clocks.csv"])
    assert (kept["on_stand_at"], kept["moon"]) == ("2026-11-01T08:00:00+00:00", "no")
    assert kept["duration_h"] == "192"


def test_settings_of_a_ledger_go_into_an_empty_book_alone(book: SqliteBook, tmp_path: Path) -> None:
    shop = "name,value\nzone,Europe/Berlin\nopen_days,Mon-Sat\n"
    bring(book, ledger(tmp_path / "one", book=shop))
    assert book.settings() == {"zone": "Europe/Berlin", "open_days": "Mon-Sat"}
    report = bring(book, ledger(tmp_path / "two", book="name,value\nzone,Europe/London\n"))
    assert book.settings()["zone"] == "Europe/Berlin"
    assert "zone stays Europe/Berlin; the ledger has Europe/London" in report.notes[0]


def test_an_export_that_cannot_be_written_leaves_the_folder_as_it_was(book: SqliteBook, tmp_path: Path) -> None:
    folder = ledger(tmp_path / "out", checkins="mine")
    (folder / "waivers.csv").mkdir()
    before = sorted((path.name, path.is_file() and path.read_bytes()) for path in folder.iterdir())
    with pytest.raises(Exception, match="can't be written"):
        book.export_ledger(folder)
    after = sorted((path.name, path.is_file() and path.read_bytes()) for path in folder.iterdir())
    assert after == before
    with pytest.raises(Exception, match="can't be written"):
        book.export_ledger(folder / "clocks.csv")
