"""Clocks that went home and are done with cost the stand nothing but their line in the register."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from standwatch.model.facts import Body, CheckIn, Clock, Handover
from standwatch.model.records import Draft, Record, build
from standwatch.model.words import Work
from standwatch.service import assessing
from standwatch.service.stand import Stand
from standwatch.store import open_book
from standwatch.store.book import SqliteBook
from standwatch.store.connection import BUSY_S, connect
from tests.shop import NOW, morning

DAY = timedelta(days=1)
GONE = 12
READ = 6


class Watched(SqliteBook):
    """A real book that writes down of which clocks facts were read, and how many."""

    def __init__(self, path: Path) -> None:
        super().__init__(connect(path, create=False, busy_s=BUSY_S), path, BUSY_S)
        self.told: list[str] = []

    def check_ins(
        self, tag: str | None = None, *, work: Work | None = None, of: Collection[str] | None = None
    ) -> list[Record[CheckIn]]:
        found = super().check_ins(tag, work=work, of=of)
        self.told += [record.body.tag for record in found]
        return found

    def handovers(self, tag: str | None = None, *, of: Collection[str] | None = None) -> list[Record[Handover]]:
        found = super().handovers(tag, of=of)
        self.told += [record.body.tag for record in found]
        return found


def facts(tag: str, days_ago: float, *, home: bool) -> Iterator[Body]:
    """A longcase that was read for six mornings, begun so many days ago; maybe sent home and called about."""
    yield build(Clock, {"tag": tag, "kind": "longcase", "position": "A1"})
    for n in range(READ):
        at = morning(days_ago - n)
        yield build(CheckIn, {"at": at, "tag": tag, "error_s": 2.0 * n, **({"temperature_c": 19} if n == 0 else {})})
    yield build(CheckIn, {"at": morning(days_ago - READ), "tag": tag, "work": "moved", "note": "B1"})
    for n, what in enumerate(("released", "delivered", "called") if home else ()):
        at = morning(days_ago - READ - 1) + n * 8 * DAY
        yield build(Handover, {"at": at, "tag": tag, "what": what, "reason": "goes well", "by": "K. M."})


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Two clocks on the stand; twelve that went home in the spring."""
    drafts = [Draft(body) for n in range(GONE) for body in facts(f"G{n}", 200 + n, home=True)]
    drafts += [Draft(body) for n in range(2) for body in facts(f"T{n}", 8, home=False)]
    with closing(open_book(tmp_path / "book.sqlite")) as kept:
        kept.set({"zone": "Europe/London", "learning": "no"}, at=NOW)
        kept.append(drafts, at=NOW)
    return tmp_path / "book.sqlite"


@pytest.fixture
def watched(book: Path) -> Iterator[Watched]:
    """The same book, watched."""
    with closing(Watched(book)) as found:
        yield found


def on_stand(told: list[str]) -> bool:
    """Whether something was read, and all of it of the two clocks on the stand."""
    return bool(told) and all(tag.startswith("T") for tag in told)


@pytest.mark.parametrize(
    "look",
    [
        lambda stand: stand.roster(NOW),
        lambda stand: stand.view(NOW),
        lambda stand: stand.assess("T0", NOW),
        lambda stand: stand.due(None, NOW),
        lambda stand: stand.check_in({"tag": "T1", "error_s": 20}, NOW),
    ],
)
def test_only_the_stand_s_own_facts_are_read(watched: Watched, look: Callable[[Stand], object]) -> None:
    look(Stand(watched))
    assert on_stand(watched.told)
    assert len(watched.told) <= 2 * 2 * (READ + 2)


def test_a_reading_more_reads_its_own_clock_alone(watched: Watched) -> None:
    stand = Stand(watched)
    assert len(stand.view(NOW).assessments) == 2
    watched.told.clear()
    stand.check_in({"tag": "T1", "error_s": 20}, NOW)
    stand.view(NOW)
    assert set(watched.told) == {"T1"}
    assert len(watched.told) <= 3 * (READ + 2)


def test_a_clock_gone_is_read_when_it_is_asked_for(watched: Watched) -> None:
    stand = Stand(watched)
    assert len(stand.facts("g3")) == READ + 1
    assert set(watched.told) == {"G3"}
    found = stand.assess("G3", NOW)
    assert len(found.estimates.history.readings) == READ
    assert "G11" in {record.body.tag for record in stand.clocks()}


def test_what_it_shared_with_those_of_its_time_is_counted_still(watched: Watched) -> None:
    stand = Stand(watched)
    stand.assess("G3", NOW)
    assert {f"G{n}" for n in range(GONE)} <= set(watched.told)  # each hung there within days of it
    assert "T0" in watched.told  # whose own time it isn't, and which is the stand's


@pytest.mark.parametrize("most", [3, 5])
def test_of_a_kind_the_latest_are_asked_what_they_teach(
    watched: Watched, monkeypatch: pytest.MonkeyPatch, most: int
) -> None:
    monkeypatch.setattr(assessing, "MOST_TEACHERS", most)
    stand = Stand(watched)
    stand.set_settings({"learning": "yes"}, NOW)
    stand.view(NOW)
    teachers = {tag for tag in watched.told if tag.startswith("G")}
    assert teachers == {f"G{n}" for n in range(most - 2)}  # G0 went last; the two of the stand are later still


def test_it_is_on_the_stand_until_its_last_call_and_again_when_it_comes_back(watched: Watched) -> None:
    stand = Stand(watched)

    def here(now: datetime) -> set[str]:
        return {each.tag for each in stand.view(now).assessments}

    assert here(NOW) == {"T0", "T1"}
    gone = morning(200 - READ - 1) + 8 * DAY
    assert "G0" in here(gone + DAY)  # as of then: delivered, and not called about
    assert "G0" not in here(gone + 9 * DAY)
    stand.reopen("G0", reason="came back", now=NOW)
    assert here(NOW) == {"T0", "T1", "G0"}
    assert [line.tag for line in stand.roster(NOW)] == ["G0", "T0", "T1"]
    stand.undo("G0", NOW)
    assert here(NOW) == {"T0", "T1"}


def test_a_call_that_is_taken_back_is_due_again(watched: Watched) -> None:
    stand = Stand(watched)
    stand.view(NOW)
    stand.undo("G5", NOW)  # the call
    assert {each.tag for each in stand.view(NOW).assessments} == {"T0", "T1", "G5"}
    stand.set_settings({"calls": "14;400"}, NOW)
    assert len(stand.view(NOW).assessments) == 2 + GONE


def test_the_stand_is_told_alike_whether_the_register_was_kept_or_read_anew(watched: Watched, book: Path) -> None:
    stand = Stand(watched)
    stand.view(NOW)
    stand.add_clock({"tag": "T9", "kind": "mantel", "position": "C2"}, NOW)
    stand.check_in({"tag": "T9", "error_s": 4, "temperature_c": 21}, NOW)
    stand.correct(stand.facts("T0")[0].id, {"temperature_c": "15"}, NOW)
    stand.check_in({"tag": "T0", "work": "bumped"}, NOW)
    stand.reopen("G1", reason="came back", now=NOW)
    kept = stand.view(NOW)
    with closing(open_book(book)) as again:
        fresh = Stand(again).view(NOW)
    assert [each.tag for each in kept.assessments] == [each.tag for each in fresh.assessments]
    for one, other in zip(kept.assessments, fresh.assessments, strict=True):
        assert one.estimates.history == other.estimates.history
        assert (one.error_s, one.verdicts, one.next) == (other.error_s, other.verdicts, other.next)
