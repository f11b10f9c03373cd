"""Facts as the book keeps them: what replaces what, what is current, and that nothing written is ever edited."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from standwatch.model.errors import BadValue
from standwatch.model.facts import CheckIn, Clock, Handover, Waiver
from standwatch.model.records import Draft, build
from standwatch.model.words import Work
from standwatch.store import SqliteBook, open_book
from tests.store.shelf import NOW, clock, everything, reading


def write(book: SqliteBook, *drafts: Draft) -> list[str]:
    return book.append(drafts, at=NOW)


def errors(book: SqliteBook, tag: str | None = "L1") -> list[float | None]:
    return [r.body.error_s for r in book.check_ins(tag)]


def test_a_fact_comes_back_as_it_was_given(book: SqliteBook) -> None:
    full_clock = build(
        Clock,
        {
            "tag": "L1", "kind": "longcase", "position": "A3", "drive": "weight", "trains": "going+strike",
            "duration_h": 192, "case_fall_mm": 1320.5, "half_hour": "yes", "moon": "no", "tunes": "a;b",
            "promised_on": "2026-12-04", "on_stand_at": "2026-11-01T08:00:00+01:00", "night_silence": "22:00-07:00",
        },
    )  # fmt: skip
    full_row = reading(
        2, dial="8:01:30", read_by="minute-hand", amplitude_deg=2.125, going_mm=-3, hour=8, blows=8, staged="yes",
        work="wound", train="strike", amount=0.1, explained="no", note="\u2192 \U0001f550 second wind",
    )  # fmt: skip
    at = datetime(2026, 11, 19, 8, 0, 0, 123456, tzinfo=timezone(timedelta(hours=5, minutes=30)))
    waiver = build(Waiver, {"at": at, "tag": "L1", "requirement": "moon", "reason": "no moon fitted", "by": "K. M."})
    release = build(Handover, {"at": at, "tag": "L1", "what": "released", "by": "K. M.", "record": "r" * 5000})
    write(book, Draft(full_clock), Draft(full_row), Draft(waiver), Draft(release))
    assert [r.body for r in book.clocks()] == [full_clock]
    assert [r.body for r in book.check_ins()] == [full_row]
    assert [r.body for r in book.waivers()] == [waiver]
    assert [r.body for r in book.handovers()] == [release]
    assert book.waivers()[0].body.at.utcoffset() == timedelta(0)
    assert book.waivers()[0].recorded_at == NOW


def test_check_ins_are_in_order_of_time_then_of_writing(book: SqliteBook) -> None:
    write(book, clock(), Draft(reading(3, error_s=1)), Draft(reading(2, error_s=2)), Draft(reading(3, error_s=3)))
    assert errors(book) == [2, 1, 3]
    assert [r.body.error_s for r in book.check_ins("L1", work=Work.WOUND)] == []


def test_one_bad_draft_keeps_all_out(book: SqliteBook) -> None:
    before = everything(book)
    with pytest.raises(BadValue, match="no fact of this id"):
        write(book, clock(), Draft(reading(2)), Draft(reading(3), replaces="gone"))
    assert everything(book) == before


@pytest.mark.parametrize(
    ("draft", "column"),
    [
        (Draft(reading(3), id="one"), "id"),
        (Draft(None), "replaces"),
        (Draft(None, replaces="gone"), "replaces"),
        (Draft(build(Clock, {"tag": "L1", "kind": "mantel"}), replaces="one"), "replaces"),
        (Draft(reading(3), replaces="back"), "replaces"),
    ],
)
def test_a_draft_that_cannot_be_written(book: SqliteBook, draft: Draft, column: str) -> None:
    write(book, clock(), Draft(reading(2), id="one"), Draft(None, replaces="one", id="back"))
    before = everything(book)
    with pytest.raises(BadValue) as caught:
        write(book, draft)
    assert caught.value.column == column
    assert everything(book) == before


def test_a_correction_stands_in_the_place_of_what_it_replaces(book: SqliteBook) -> None:
    _, first, _second = write(book, clock(), Draft(reading(2, error_s=1)), Draft(reading(2, error_s=2)))
    [again] = write(book, Draft(reading(2, error_s=10), replaces=first))
    [third] = write(book, Draft(reading(2, error_s=11), replaces=again))
    assert errors(book) == [11, 2]
    found = book.check_ins("L1")[0]
    assert (found.id, found.replaces, found.place) == (third, again, 2)
    assert set(book.ever([first, again, third, "gone"])) == {first, again, third}


def test_of_two_corrections_of_one_fact_the_later_stands(book: SqliteBook) -> None:
    _, first = write(book, clock(), Draft(reading(2, error_s=1)))
    write(book, Draft(reading(2, error_s=2), replaces=first), Draft(reading(2, error_s=3), replaces=first))
    assert errors(book) == [3]


def test_taking_back_a_correction_restores_what_it_replaced(book: SqliteBook) -> None:
    _, first = write(book, clock(), Draft(reading(2, error_s=1)))
    [again] = write(book, Draft(reading(2, error_s=2), replaces=first))
    last = book.last("L1")
    assert last is not None
    assert last.id == again
    write(book, Draft(None, replaces=again))
    assert errors(book) == [1]
    last = book.last()
    assert last is not None
    assert last.id == first
    write(book, Draft(None, replaces=first))
    assert errors(book) == []
    last = book.last()
    assert last is not None
    assert isinstance(last.body, Clock)
    write(book, Draft(None, replaces=last.id))
    assert book.last() is None
    assert book.clocks() == []


def test_a_correction_may_move_a_reading_to_another_clock(book: SqliteBook) -> None:
    _, _, moved = write(book, clock(), clock("M1", "mantel"), Draft(reading(2, error_s=1)))
    seen = book.version()
    [again] = write(book, Draft(reading(2, "M1", error_s=1), replaces=moved))
    assert (errors(book, "L1"), errors(book, "M1")) == ([], [1])
    assert book.touched(seen) == frozenset({"L1", "M1"})
    seen = book.version()
    write(book, Draft(None, replaces=again))
    assert (errors(book, "L1"), errors(book, "M1")) == ([1], [])
    assert book.touched(seen) == frozenset({"L1", "M1"})


def test_find_takes_the_beginning_of_an_id(book: SqliteBook) -> None:
    write(book, clock(), Draft(reading(2, error_s=1), id="abc1"), Draft(reading(3, error_s=2), id="abd1"))
    write(book, Draft(reading(3, error_s=3), id="ab", replaces="abd1"))
    assert book.find("abc").id == "abc1"
    assert book.find("ABC").id == "abc1"  # ids of our own are lower case
    assert book.find("ab").id == "ab"  # the whole of it, though another begins so
    write(book, Draft(None, id="zz", replaces="abc1"))
    for prefix, why in (("abd", "replaced by ab"), ("abc", "taken back"), ("q", "no fact's id"), ("", "no fact's id")):
        with pytest.raises(BadValue, match=why):
            book.find(prefix)
    with pytest.raises(BadValue, match="no fact's id"):
        book.find("zz")  # what takes back is nothing to correct
    write(book, Draft(reading(4), id="s1"), Draft(reading(5), id="s2"))
    with pytest.raises(BadValue, match="several ids"):
        book.find("s")


def test_new_ids_are_unlike_each_other(book: SqliteBook) -> None:
    ids = write(book, clock(), *(Draft(reading(2, error_s=n)) for n in range(500)))
    assert len(set(ids)) == 501
    assert all(len(i) == 12 and i.isalnum() and i == i.lower() for i in ids)


@pytest.mark.parametrize("table", ["facts", "clocks", "checkins", "handovers", "waivers", "settings", "restores"])
@pytest.mark.parametrize("deed", ["UPDATE {} SET seq = seq + 100", "DELETE FROM {}"])
def test_no_row_can_be_updated_or_deleted(book: SqliteBook, table: str, deed: str) -> None:
    at = "2026-11-02T08:00:00+00:00"
    waiver = build(Waiver, {"at": at, "tag": "L1", "requirement": "moon", "reason": "none", "by": "K"})
    called = build(Handover, {"at": at, "tag": "L1", "what": "called"})
    write(book, clock(), Draft(reading(2)), Draft(waiver), Draft(called))
    book.set({"zone": "Europe/London"}, at=NOW)
    book._db.execute("INSERT INTO restores (seq, lost, recorded_at) VALUES (99, 5, 'x')")
    with pytest.raises(Exception, match="appended to, never edited"):
        book._db.execute(deed.format(table))


def test_a_fact_of_a_missing_fact_is_refused_by_the_file_itself(book: SqliteBook) -> None:
    with pytest.raises(Exception, match="FOREIGN KEY"):
        book._db.execute("INSERT INTO checkins (seq, at) VALUES (77, 'x')")
    with pytest.raises(Exception, match="cannot store TEXT"):  # a strict table
        book._db.execute("INSERT INTO checkins (seq, at, error_s) VALUES (77, 'x', 'fast')")


def test_settings_keep_the_last_value_and_only_changes_count(book: SqliteBook) -> None:
    book.set({"zone": "Europe/London", "site": ""}, at=NOW)
    seen = book.version()
    book.set({"zone": "Europe/London"}, at=NOW)
    assert book.version() == seen
    book.set({"zone": "Europe/Berlin"}, at=NOW)
    assert book.version() > seen
    assert book.settings() == {"site": "", "zone": "Europe/Berlin"}
    assert book.touched(seen) == frozenset()


def test_another_connection_sees_what_was_written(book: SqliteBook, tmp_path: Path) -> None:
    other = open_book(tmp_path / "stand.db")
    seen = other.version()
    write(book, clock(), clock("M1", "mantel"), Draft(reading(2, "M1")))
    assert other.version() == seen + 3
    assert other.touched(seen) == frozenset({"L1", "M1"})
    assert other.touched(other.version()) == frozenset()
    other.close()


def test_a_transaction_within_a_transaction_is_a_step_of_it(book: SqliteBook) -> None:
    with book.writing():
        write(book, clock())
        with pytest.raises(BadValue):
            write(book, Draft(reading(2)), Draft(None))
        write(book, Draft(reading(3, error_s=3)))
    assert errors(book) == [3]
    with pytest.raises(ZeroDivisionError), book.writing():
        raise ZeroDivisionError(write(book, Draft(reading(4))))
    assert errors(book) == [3]


def test_half_a_character_is_refused_in_a_sentence(book: SqliteBook) -> None:
    body = CheckIn.model_construct(**{**dict(reading(2)), "note": "caf\udce9"})
    with pytest.raises(BadValue, match="UTF-8"):
        write(book, clock(), Draft(body))
    assert book.version() == 0


def test_times_outside_a_pocket_calendar(book: SqliteBook) -> None:
    early = build(CheckIn, {"at": datetime(1, 1, 1, tzinfo=UTC), "tag": "L1"})
    late = build(CheckIn, {"at": datetime(9999, 12, 31, 23, 59, 59, 999999, tzinfo=UTC), "tag": "L1"})
    write(book, clock(), Draft(late), Draft(early))
    assert [r.body for r in book.check_ins()] == [early, late]


def test_temperatures_are_those_that_stand(book: SqliteBook) -> None:
    rows = [reading(2, temperature_c=18.0), reading(1, temperature_c=17.0), reading(3), reading(4, temperature_c=9.0)]
    ids = book.append([clock(), *map(Draft, rows)], at=NOW)[1:]
    [mended] = book.append([Draft(reading(2, temperature_c=19.0), replaces=ids[0])], at=NOW)
    book.append([Draft(None, replaces=ids[3])], at=NOW)
    told = book.temperatures()
    assert [(fact, c) for fact, _, _, c, _ in told] == [(ids[1], 17.0), (mended, 19.0)]
    assert {tag for _, tag, *_ in told} == {rows[0].tag}
    assert [at for _, _, at, *_ in told] == [rows[1].at, rows[0].at]
