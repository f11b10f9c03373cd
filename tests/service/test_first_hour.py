"""The start sheet: what is asked of which clock, what is missing, and what an answer leads to."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import BadValue
from standwatch.service.bench.first_hour import SheetLine, answer, missing_of, sheet_of, uneven
from standwatch.service.stand import Stand
from tests.shop import NOW

LATER = NOW + timedelta(hours=1)


def put(stand: Stand, kind: str, **columns: object) -> None:
    stand.add_clock({"tag": "T1", "kind": kind, **columns}, NOW)
    stand.check_in({"tag": "T1", "error_s": 3, "work": "wound"}, NOW)


def told(stand: Stand) -> Assessment:
    return stand.assess("T1", LATER)


def sheet(stand: Stand) -> tuple[SheetLine, ...]:
    return sheet_of(told(stand))


def line(stand: Stand, key: str) -> SheetLine:
    return next(each for each in sheet(stand) if each.key == key)


def keep(stand: Stand, key: str, typed: str) -> str:
    """Answer one line as the screen does."""
    kept = answer(line(stand, key), typed, told(stand))
    if kept.columns:
        stand.change_clock("T1", kept.columns, LATER)
    if kept.cells:
        stand.check_in({**kept.cells, "tag": "T1"}, LATER)
    return kept.said


@pytest.mark.parametrize(
    ("kind", "keys"),
    [
        ("longcase", ["strike_kg", "going_kg", "bob_below_top_mm", "lines and hooks", "unlocks left", "unlocks right"]),
        ("longcase-30h", ["going_kg", "bob_below_top_mm", "lines and hooks", "unlocks left", "unlocks right", "swing"]),
        ("floor-chiming", ["strike_kg", "going_kg", "chime_kg", "bob_below_top_mm", "lines and hooks", "unlocks left"]),
        ("mantel", ["going_turns", "strike_turns", "unlocks left", "unlocks right", "swing", "cannon friction"]),
        ("carriage", ["going_turns", "strike_turns", "balance", "swing", "cannon friction", "hands"]),
        ("torsion", ["going_turns", "overswing-left", "overswing-right", "cannon friction", "hands", "dial and glass"]),
    ],
)
def test_what_is_asked_of_which_kind(stand: Stand, kind: str, keys: list[str]) -> None:
    put(stand, kind)
    assert [each.key for each in sheet(stand)][:6] == keys
    assert all(each.missing and each.without and each.minutes > 0 for each in sheet(stand))


def test_a_reference_has_no_sheet(stand: Stand) -> None:
    put(stand, "reference")
    assert sheet(stand) == ()
    assert missing_of(()) == ((), 0)


def test_weights_are_asked_left_to_right_as_they_hang(stand: Stand) -> None:
    put(stand, "longcase", weight_order="going;strike")
    assert [each.title for each in sheet(stand)][:2] == ["left weight", "right weight"]
    assert [each.column for each in sheet(stand)][:2] == ["going_kg", "strike_kg"]


def test_columns_and_notes_take_lines_off_what_is_missing(stand: Stand) -> None:
    put(stand, "longcase")
    before = missing_of(sheet(stand))
    keep(stand, "going_kg", "6.1")
    keep(stand, "hands", "right")
    after = missing_of(sheet(stand))
    assert len(before[0]) - len(after[0]) == 2
    assert before[1] - after[1] == 2
    assert line(stand, "going_kg").told == "6.1 kg"
    assert stand.clock("T1").body.going_kg == 6.1
    assert stand.facts("T1")[-1].body.note == "first hour: hands: right"


def test_the_worse_side_is_the_unlocking_point(stand: Stand) -> None:
    put(stand, "longcase")
    keep(stand, "unlocks left", "2.4")
    assert stand.clock("T1").body.unlock_deg == 2.4
    assert line(stand, "unlocks right").missing
    keep(stand, "unlocks right", "1.6")
    assert stand.clock("T1").body.unlock_deg == 2.4, "the worse side"
    assert not line(stand, "unlocks right").missing
    assert uneven(told(stand)) == "it unlocks unevenly, left 2.4° and right 1.6°: set the beat"
    keep(stand, "unlocks left", "1.7")
    assert stand.clock("T1").body.unlock_deg == 1.7
    assert uneven(told(stand)) == ""


def test_on_a_scale_it_is_told_in_mm(stand: Stand) -> None:
    put(stand, "longcase", swing_scale_mm=1000)
    assert "mm" in line(stand, "unlocks left").ask
    keep(stand, "unlocks left", "35")
    # atan(35 / 1000) by hand
    assert stand.clock("T1").body.unlock_deg == pytest.approx(math.degrees(math.atan(0.035)), abs=1e-3)


def test_an_unlocking_point_told_before_stands_for_both_sides(stand: Stand) -> None:
    put(stand, "longcase", unlock_deg=1.9)
    assert [line(stand, f"unlocks {side}").missing for side in ("left", "right")] == [False, False]
    assert uneven(told(stand)) == ""


def test_the_swing_counts_while_the_wind_is_fresh(stand: Stand) -> None:
    put(stand, "longcase")
    keep(stand, "swing", "2.9")
    assert line(stand, "swing").told == "2.9°"
    late = NOW + timedelta(days=3)
    stand.undo("T1", LATER)
    stand.check_in({"tag": "T1", "at": late, "amplitude_deg": 2.8}, late)
    assert next(each for each in sheet_of(stand.assess("T1", late)) if each.key == "swing").missing


def test_each_overswing_of_a_torsion_clock_counts_whenever_it_was_read(stand: Stand) -> None:
    put(stand, "torsion")
    keep(stand, "overswing-left", "24")
    assert line(stand, "overswing-left").told == "24°"
    assert line(stand, "overswing-right").missing


def test_what_was_not_right_stays_missing_until_it_is(stand: Stand) -> None:
    put(stand, "longcase")
    keep(stand, "lines and hooks", "strike line frayed")
    found = line(stand, "lines and hooks")
    assert (found.wrong, found.missing, found.told) == (True, True, "strike line frayed")
    keep(stand, "lines and hooks", "right")
    assert not line(stand, "lines and hooks").missing


def test_what_eyes_saw_is_asked_anew_once_it_was_opened(stand: Stand) -> None:
    put(stand, "longcase")
    keep(stand, "hands", "right")
    keep(stand, "going_kg", "6")
    stand.check_in({"tag": "T1", "at": LATER + timedelta(minutes=1), "work": "opened"}, LATER + timedelta(minutes=1))
    after = sheet_of(stand.assess("T1", LATER + timedelta(hours=1)))
    assert next(each for each in after if each.key == "hands").missing
    assert not next(each for each in after if each.key == "going_kg").missing


@pytest.mark.parametrize(("typed", "kept"), [("1", "plain"), ("2", "cut"), ("3", "alloy"), ("alloy", "alloy")])
def test_a_balance_is_one_of_three(stand: Stand, typed: str, kept: str) -> None:
    put(stand, "carriage")
    keep(stand, "balance", typed)
    assert stand.clock("T1").body.balance == kept


@pytest.mark.parametrize(
    ("kind", "key", "typed"),
    [
        ("carriage", "balance", "4"),
        ("longcase", "going_kg", "heavy"),
        ("longcase", "going_kg", ""),
        ("longcase", "hands", " "),
        ("longcase", "unlocks left", "x"),
    ],
)
def test_what_can_t_be_is_said(stand: Stand, kind: str, key: str, typed: str) -> None:
    put(stand, kind)
    with pytest.raises(BadValue):
        answer(line(stand, key), typed, told(stand))
