"""What the shop's own clocks taught: from which facts, kept how long, and that it can be turned off."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from standwatch.estimate.history import History
from standwatch.estimate.learned import DEFAULTS, Learned, NoiseShift
from standwatch.model.words import KindName
from standwatch.service.office.learning import Learning, last_monday
from standwatch.service.stand import Stand
from tests.service.test_stand import MINUTE, add, read
from tests.shop import NOW, morning, regulator_ready, write_ledger

LONDON = ZoneInfo("Europe/London")
MONDAY = datetime(2026, 11, 16, tzinfo=UTC)


class Lessons:
    """A learner that writes down what it was given: for each lesson, the Histories."""

    def __init__(self) -> None:
        self.given: list[tuple[History, ...]] = []

    def __call__(self, histories: Sequence[History]) -> Learned:
        self.given.append(tuple(histories))
        return Learned({KindName.LONGCASE: NoiseShift(1.5, 1, 1, len(histories))})


@pytest.fixture
def lessons(stand: Stand) -> Lessons:
    """The stand's learner, which remembers its lessons."""
    found = Lessons()
    stand._assessor._learning = Learning(found)
    return found


def pair(stand: Stand, lessons: Lessons) -> None:
    """Two clocks read every morning from 12 November; nothing was learned yet."""
    for tag in ("T1", "T2"):
        add(stand, tag)
        read(stand, tag, days=8)
    lessons.given.clear()
    stand._assessor._learning = Learning(lessons)


@pytest.mark.parametrize(
    ("now", "zone", "monday"),
    [  # civil time by the tz database (RFC 6557)
        ("2026-11-20T09:00+00:00", "Europe/London", "2026-11-16T00:00+00:00"),
        ("2026-11-16T00:00+00:00", "Europe/London", "2026-11-16T00:00+00:00"),
        ("2026-11-15T23:59+00:00", "Europe/London", "2026-11-09T00:00+00:00"),
        ("2026-11-15T23:59+00:00", "Asia/Tokyo", "2026-11-15T15:00+00:00"),
        ("2026-11-16T04:59+00:00", "America/New_York", "2026-11-09T05:00+00:00"),
        ("2026-10-27T09:00+00:00", "Europe/London", "2026-10-26T00:00+00:00"),  # the week after the clocks went back
        ("2026-10-25T23:30+00:00", "Europe/London", "2026-10-18T23:00+00:00"),
    ],
)
def test_the_last_monday_is_the_shop_s(now: str, zone: str, monday: str) -> None:
    found = last_monday(datetime.fromisoformat(now), ZoneInfo(zone))
    assert found == datetime.fromisoformat(monday)
    assert found.utcoffset() == timedelta()


def test_only_facts_up_to_monday_teach(stand: Stand, lessons: Lessons) -> None:
    pair(stand, lessons)
    add(stand, "T3")  # never read
    add(stand, "T0")
    stand.check_in({"tag": "T0", "at": MONDAY + MINUTE, "error_s": 1}, NOW)
    learned = stand.learned(NOW)
    [given] = lessons.given
    assert [history.clock.tag for history in given] == ["T1", "T2"]
    assert {history.now for history in given} == {MONDAY}
    assert [reading.at for reading in given[0].readings] == [morning(d) for d in (8, 7, 6, 5)]  # Thursday to Sunday
    assert learned.noise[KindName.LONGCASE].clocks == 2
    assert stand.view(NOW).learned is learned


def test_nothing_read_teaches_nothing(stand: Stand, lessons: Lessons) -> None:
    add(stand, "T1")
    assert stand.learned(NOW) is DEFAULTS
    assert lessons.given == []


def test_a_week_s_readings_are_one_lesson(stand: Stand, lessons: Lessons) -> None:
    pair(stand, lessons)
    before = {each.tag: each for each in stand.view(NOW).assessments}
    stand.check_in({"tag": "T1", "at": NOW, "error_s": 12}, NOW)
    after = {each.tag: each for each in stand.view(NOW).assessments}
    assert len(lessons.given) == 1
    assert after["T2"] is before["T2"]
    stand.view(NOW + timedelta(days=1))
    assert len(lessons.given) == 1
    stand.view(NOW + timedelta(days=3))  # Monday
    assert len(lessons.given) == 2


def test_a_fact_of_before_monday_is_a_new_lesson(stand: Stand, lessons: Lessons) -> None:
    pair(stand, lessons)
    stand.view(NOW)
    done = stand.check_in({"tag": "T2", "at": morning(5) + MINUTE, "error_s": 6}, NOW)
    stand.view(NOW)
    assert len(lessons.given) == 2
    stand.correct(done.id, {"error_s": "7"}, NOW)
    stand.view(NOW)
    assert lessons.given[-1][1].readings[-1].error_s == 7
    stand.undo("T2", NOW)
    stand.undo("T2", NOW)
    stand.view(NOW)
    assert [len(history.readings) for history in lessons.given[-1]] == [4, 4]
    stand.change_clock("T1", {"kind": "mantel"}, NOW)
    assert stand.learned(NOW).noise[KindName.LONGCASE].clocks == 2
    assert lessons.given[-1][0].clock.kind is KindName.MANTEL


def test_what_was_learned_changes_every_assessment(stand: Stand, lessons: Lessons) -> None:
    pair(stand, lessons)
    before = {each.tag: each for each in stand.view(NOW).assessments}
    add(stand, "T3")
    stand.check_in({"tag": "T3", "at": morning(7), "error_s": 6}, NOW)
    after = {each.tag: each for each in stand.view(NOW).assessments}
    assert len(lessons.given) == 2  # of three clocks now
    assert after["T1"] is not before["T1"]


def test_turned_off_the_defaults_hold(stand: Stand, lessons: Lessons) -> None:
    pair(stand, lessons)
    before = stand.view(NOW).assessments[0]
    stand.set_settings({"learning": "no"}, NOW)
    assert stand.learned(NOW) is DEFAULTS
    assert stand.view(NOW).learned is DEFAULTS
    assert stand.view(NOW).assessments[0] is not before
    stand.set_settings({"learning": "yes"}, NOW)
    assert stand.learned(NOW).noise
    assert len(lessons.given) == 1  # what was kept still holds


def test_released_and_delivered_clocks_teach(stand: Stand, lessons: Lessons, tmp_path: Path) -> None:
    clock, rows = regulator_ready()
    stand.import_ledger([write_ledger(tmp_path / "in", [clock], rows)], NOW)
    stand.release("R1", by="K. M.", waive={}, now=NOW)
    stand.deliver("R1", {"at": NOW + MINUTE}, NOW + MINUTE)
    for days in (2, 14):
        called = NOW + timedelta(days=days)
        stand.call("R1", {"reason": "well", "at": called}, called)
    later = NOW + timedelta(days=60)
    assert stand.view(later).assessments == ()
    stand.learned(later)
    [history] = lessons.given[-1]
    assert (history.clock.tag, len(history.readings)) == ("R1", 29)


def test_the_tags_are_shown_before_anything_is_learned(stand: Stand, lessons: Lessons) -> None:
    pair(stand, lessons)
    assert stand.roster(NOW)
    stand.facts("T1")
    assert lessons.given == []
