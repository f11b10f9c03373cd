"""The use cases on a real book: what is kept, what is worked out again, and what two terminals see."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.errors import BadValue, Refused
from standwatch.service.stand import Stand
from tests.service.conftest import OpenStand
from tests.shop import NOW, morning, regulator_ready, write_ledger

MINUTE = timedelta(minutes=1)


def add(stand: Stand, tag: str, kind: str = "longcase", slot: str = "", **columns: object) -> None:
    stand.add_clock({"tag": tag, "kind": kind, **({"position": slot} if slot else {}), **columns}, NOW)


def read(stand: Stand, tag: str, days: int = 6, rate: float = 2.0) -> None:
    for d in range(days, -1, -1):
        stand.check_in({"tag": tag, "at": morning(d), "error_s": rate * (days - d)}, NOW)


def test_the_roster_is_by_slot_and_knows_moves(stand: Stand) -> None:
    for tag, slot in (("T1", "A10"), ("T2", "A2"), ("T3", ""), ("T4", "B1")):
        add(stand, tag, slot=slot)
    stand.move_clock("T4", "A1", NOW, at=morning(0))
    assert [(line.tag, line.position) for line in stand.roster(NOW)] == [
        ("T4", "A1"),
        ("T2", "A2"),
        ("T1", "A10"),
        ("T3", ""),
    ]
    assert stand.roster(morning(1))[-2].position == "B1"


def test_a_clock_that_came_later_is_not_there_yet(stand: Stand) -> None:
    add(stand, "T1", on_stand_at=morning(0))
    assert [line.tag for line in stand.roster(NOW)] == ["T1"]
    assert stand.roster(morning(1)) == ()
    assert stand.view(morning(1)).assessments == ()
    stand.check_in({"tag": "T1", "at": morning(2), "error_s": 1}, NOW)  # facts before it count too
    assert [line.tag for line in stand.roster(morning(1))] == ["T1"]


def test_a_receipt_tells_what_was_expected_before_the_reading(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, "T1")
    done = stand.check_in({"tag": "t1", "at": NOW, "error_s": 12.2}, NOW)
    assert isinstance(done.expected, Quantity)
    assert done.expected.low < 12 < done.expected.high
    assert (done.tag, done.found_s, done.surprise) == ("T1", 12.2, False)
    wild = stand.check_in({"tag": "T1", "at": NOW + MINUTE / 2, "error_s": 300}, NOW)
    assert wild.surprise


def test_a_first_reading_surprises_nobody(stand: Stand) -> None:
    add(stand, "T1")
    done = stand.check_in({"tag": "T1", "error_s": 900}, NOW)
    assert not done.surprise
    silent = stand.check_in({"tag": "T1", "note": "looked at"}, NOW)
    assert silent.found_s is None


def test_nothing_is_expected_of_a_clock_that_hangs(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, "T1")
    stand.check_in({"tag": "T1", "at": NOW - MINUTE, "work": "stopped", "dial": "3:47"}, NOW)
    done = stand.check_in({"tag": "T1", "at": NOW, "note": "still hanging"}, NOW)
    assert isinstance(done.expected, NotYetKnown)


def test_a_back_dated_reading_is_expected_from_what_came_before(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, "T1")
    done = stand.check_in({"tag": "T1", "at": morning(3.5), "error_s": 5.0}, NOW)
    assert isinstance(done.expected, Quantity)
    assert done.expected.low < 5 < done.expected.high


def test_only_the_clock_that_changed_is_worked_out_again(stand: Stand) -> None:
    add(stand, "T1")
    add(stand, "T2")
    read(stand, "T1")
    read(stand, "T2")
    before = {each.tag: each for each in stand.view(NOW).assessments}
    stand.check_in({"tag": "T1", "at": NOW, "error_s": 12}, NOW)
    after = {each.tag: each for each in stand.view(NOW).assessments}
    assert after["T1"] is not before["T1"]
    assert after["T2"] is before["T2"]


def test_a_bump_touches_its_rail(stand: Stand) -> None:
    for tag, slot in (("T1", "A1"), ("T2", "A2"), ("T3", "B1")):
        add(stand, tag, slot=slot)
        read(stand, tag)
    before = {each.tag: each for each in stand.view(NOW).assessments}
    stand.check_in({"tag": "T1", "at": NOW, "work": "bumped"}, NOW)
    after = {each.tag: each for each in stand.view(NOW).assessments}
    assert after["T2"] is not before["T2"]
    assert after["T2"].estimates.history.bumps == (NOW,)
    assert after["T3"] is before["T3"]


def test_a_bump_counts_for_the_rail_its_clock_stood_on_then(stand: Stand) -> None:
    for tag, slot in (("T1", "A1"), ("T2", "A2"), ("T3", "B1")):
        add(stand, tag, slot=slot)
    stand.check_in({"tag": "T1", "at": morning(2), "work": "bumped"}, NOW)
    stand.move_clock("T1", "B2", NOW, at=morning(1))
    bumps = {tag: stand.assess(tag, NOW).estimates.history.bumps for tag in ("T2", "T3")}
    assert bumps == {"T2": (morning(2),), "T3": ()}


def test_time_alone_works_everything_out_again_unless_old_answers_will_do(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, "T1")
    [before] = stand.view(NOW).assessments
    assert stand.view(NOW + MINUTE / 2, keep=MINUTE).assessments[0] is before
    [later] = stand.view(NOW + MINUTE).assessments
    assert later is not before
    assert later.estimates.history.now == NOW + MINUTE
    assert stand.view(NOW).assessments[0].estimates.history.now == NOW  # and back


def test_kept_answers_are_the_ones_from_nothing(stand: Stand, open_stand: OpenStand) -> None:
    for tag in ("T1", "T2"):
        add(stand, tag, slot="A1")
        read(stand, tag)
    stand.view(NOW)
    stand.check_in({"tag": "T1", "at": NOW, "error_s": 12}, NOW)
    kept = stand.view(NOW).assessments
    fresh = open_stand().view(NOW).assessments
    assert [(a.tag, a.standing, a.error_s, a.verdicts, a.next) for a in kept] == [
        (a.tag, a.standing, a.error_s, a.verdicts, a.next) for a in fresh
    ]


def test_another_terminal_s_writing_is_seen(stand: Stand, open_stand: OpenStand) -> None:
    add(stand, "T1")
    stand.view(NOW)
    version = stand.version()
    other = open_stand()
    other.check_in({"tag": "T1", "at": NOW, "error_s": 12}, NOW)
    assert stand.version() > version
    assert len(stand.facts("T1")) == 1
    other.set_settings({"next_round": "09:30"}, NOW)
    assert stand.view(NOW).next_round == NOW + timedelta(minutes=30)


def test_settings_change_what_is_worked_out(stand: Stand) -> None:
    add(stand, "T1")
    [before] = stand.view(NOW).assessments
    stand.set_settings({"open_days": "Sat"}, NOW)
    assert stand.view(NOW).assessments[0] is not before
    assert stand.view(NOW).next_round == NOW.replace(hour=8) + timedelta(days=1)


def test_the_first_fact_fixes_the_zone(stand: Stand) -> None:
    assert not {each.name: each for each in stand.settings()}["zone"].given
    add(stand, "T1")
    zone = {each.name: each for each in stand.settings()}["zone"]
    assert (zone.given, zone.value) == (True, "Europe/London")


def test_an_error_leaves_everything_as_it_was(stand: Stand) -> None:
    add(stand, "T1")
    done = stand.check_in({"tag": "T1", "error_s": 3}, NOW)
    version = stand.version()
    tries: list[Callable[[], object]] = [
        lambda: stand.check_in({"tag": "T1", "going_mm": 9000}, NOW),
        lambda: stand.check_in({"tag": "T2", "error_s": 3}, NOW),
        lambda: stand.add_clock({"tag": "T1", "kind": "mantel"}, NOW),
        lambda: stand.correct(done.id, {"error_s": "x"}, NOW),
        lambda: stand.correct(done.id, {}, NOW),
        lambda: stand.correct(done.id, {"error_s": None}, NOW),  # nothing would be left of it
        lambda: stand.change_clock("T1", {"kind": "sundial"}, NOW),
        lambda: stand.set_settings({"next_round": "09:00", "zone": "x"}, NOW),
        lambda: stand.move_clock("T1", "a slot too long", NOW),
    ]
    for attempt in tries:
        with pytest.raises(BadValue):
            attempt()
    assert stand.version() == version


def test_undo_of_a_correction_restores(stand: Stand) -> None:
    add(stand, "T1")
    done = stand.check_in({"tag": "T1", "error_s": 3}, NOW)
    stand.correct(done.id, {"error_s": "4"}, NOW)
    undone = stand.undo("T1", NOW)
    assert undone.restored is not None
    assert undone.restored.id == done.id
    assert stand.facts("T1")[0].body.error_s == 3


def test_undo_of_a_changed_clock_restores_its_columns(stand: Stand) -> None:
    add(stand, "T1", slot="A1")
    stand.change_clock("T1", {"position": "A2", "rod": "steel"}, NOW)
    assert stand.clock("T1").body.position == "A2"
    stand.change_clock("T1", {"rod": None}, NOW)
    assert stand.clock("T1").body.rod is None
    stand.undo(None, NOW)
    stand.undo(None, NOW)
    assert stand.clock("T1").body.position == "A1"


def test_a_clock_with_facts_is_not_taken_back(stand: Stand, tmp_path: Path) -> None:
    add(stand, "T1")
    stand.check_in({"tag": "T1", "error_s": 3}, NOW)
    add(stand, "T2")
    stand.undo(None, NOW)
    with pytest.raises(BadValue, match="no clock is called 'T2'"):
        stand.undo("T2", NOW)
    stand.undo("T1", NOW)
    stand.undo("T1", NOW)
    assert stand.clocks() == ()


def test_a_record_outlives_everything_that_comes_later(stand: Stand, tmp_path: Path) -> None:
    clock, rows = regulator_ready()
    stand.import_ledger([write_ledger(tmp_path / "ledger", [clock], rows)], NOW)
    done = stand.release("R1", by="K. M.", waive={}, now=NOW)
    assert len(str(done.record["digest"])) == 64
    first = stand.facts("R1")[0]
    stand.correct(first.id, {"note": "later"}, NOW)
    stand.check_in({"tag": "R1", "at": NOW, "error_s": 6}, NOW)
    assert stand.selfcheck().problems == ()
    assert stand.selfcheck().releases == 1
    with pytest.raises(Refused):
        stand.release("R1", by="L.", waive={}, now=NOW)


def test_a_second_release_stands_on_the_first_s_record_too(stand: Stand, tmp_path: Path) -> None:
    clock, rows = regulator_ready()
    stand.import_ledger([write_ledger(tmp_path / "ledger", [clock], rows)], NOW)
    stand.release("R1", by="K. M.", waive={}, now=NOW)
    stand.reopen("R1", reason="hands rub", now=NOW + MINUTE)
    stand.release("R1", by="K. M.", waive={}, now=NOW + 2 * MINUTE)
    told = stand.selfcheck()
    assert (told.releases, told.problems) == (2, ())


def test_a_waiver_of_what_needs_none_is_not_recorded(stand: Stand, tmp_path: Path) -> None:
    clock, rows = regulator_ready()
    stand.import_ledger([write_ledger(tmp_path / "ledger", [clock], rows)], NOW)
    assert stand.release("R1", by="K. M.", waive={"oil": "fresh"}, now=NOW).waived == ()
