"""Clocks that hang alike on one rail: a warning where one is placed, and what their swings betray."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.model.facts import Clock
from standwatch.model.records import build
from standwatch.service.office.rails import warning_of
from standwatch.service.stand import Stand
from tests.service.conftest import OpenStand
from tests.shop import NOW, Row, morning, regulator_ready, write_ledger


def add(stand: Stand, tag: str, kind: str = "longcase", position: str = "", **columns: object) -> str:
    return stand.add_clock({"tag": tag, "kind": kind, "position": position, **columns}, NOW).warning


def test_placing_beside_one_alike_warns_and_refuses_nothing(stand: Stand) -> None:
    assert add(stand, "2417", position="A1") == ""
    warning = add(stand, "2418", position="A3")
    assert warning == (
        "2417 in A1 swings alike on this rail: they may pass swing to and fro (10 s/day apart, say, every 4.8 h), and "
        "within 2 s/day it looks like drift; isolate before judging"
    )
    assert "2417 in A1 and 2418 in A3 swing alike" in add(stand, "2419", "regulator", "A5")
    assert {record.body.tag for record in stand.clocks()} == {"2417", "2418", "2419"}


@pytest.mark.parametrize(
    ("kind", "position", "columns"),
    [
        ("longcase", "B1", {}),  # another rail
        ("longcase", "", {}),  # no slot told
        ("mantel", "A2", {}),  # a short pendulum
        ("carriage", "A2", {}),
        ("torsion", "A2", {}),
        ("reference", "A2", {}),
        ("longcase", "A2", {"beats_per_hour": 3650}),
    ],
)
def test_no_warning_where_nothing_pulls(stand: Stand, kind: str, position: str, columns: dict[str, object]) -> None:
    add(stand, "2417", position="A1")
    assert add(stand, "2418", kind, position, **columns) == ""


def test_moving_and_changing_warn_as_well(stand: Stand) -> None:
    add(stand, "2417", position="A1")
    add(stand, "2418", position="B1")
    assert stand.move_clock("2418", "A2", NOW).warning.startswith("2417 in A1 swings alike")
    assert stand.move_clock("2418", "C2", NOW + timedelta(hours=1)).warning == ""
    add(stand, "2419", position="D1")
    assert stand.change_clock("2419", {"position": "C1"}, NOW + timedelta(hours=2)).warning.startswith("2418 in C2")
    assert stand.change_clock("2419", {"owner": "Quillane"}, NOW + timedelta(hours=2)).warning == ""


def test_a_clock_gone_home_pulls_at_none(stand: Stand, tmp_path: Path) -> None:
    clock, rows = regulator_ready()
    stand.import_ledger([write_ledger(tmp_path / "in", [clock], rows)], NOW)
    later = NOW + timedelta(hours=2)
    assert stand.add_clock({"tag": "T2", "kind": "longcase", "position": "A2"}, NOW).warning
    stand.release("R1", by="K. M.", waive={}, now=NOW)
    stand.deliver("R1", {"at": NOW + timedelta(hours=1)}, NOW + timedelta(hours=1))
    told = stand.add_clock({"tag": "T3", "kind": "longcase", "position": "A3"}, later).warning
    assert told.startswith("T2 in A2 swings alike")


def test_the_warning_names_clocks_by_slot() -> None:
    clocks = [(build(Clock, {"tag": tag, "kind": "longcase"}), slot) for tag, slot in (("9", "A10"), ("8", "A2"))]
    told = warning_of(build(Clock, {"tag": "7", "kind": "longcase"}), "A3", clocks)
    assert told.startswith("8 in A2 and 9 in A10 swing alike")
    many = [(build(Clock, {"tag": str(n), "kind": "longcase"}), f"A{n}") for n in range(1, 7)]
    told = warning_of(build(Clock, {"tag": "7", "kind": "longcase"}), "A7", many)
    assert told.startswith("1 in A1, 2 in A2 and 4 more swing alike")


def pair(tmp_path: Path, *, turns: float, slots: tuple[str, str] = ("A1", "A2"), rate: float = 10.0) -> Path:
    """Two longcases read each morning for twelve days, whose swings rise and fall by turns by `turns` degrees."""
    clocks: list[Row] = [
        {"tag": tag, "kind": "longcase", "position": slot, "unlock_deg": 1.8}
        for tag, slot in zip(("L1", "L2"), slots, strict=True)
    ]
    rows: list[Row] = []
    for day in range(12, -1, -1):
        sign = 1 if day % 3 else -1
        for tag, way, gain in (("L1", 1, 0.0), ("L2", -1, rate)):
            swing = round(2.8 + way * sign * turns, 3)
            rows.append(
                {"at": morning(day), "tag": tag, "error_s": round(gain * (12 - day), 1), "amplitude_deg": swing}
            )
    return write_ledger(tmp_path / "pair", clocks, rows)


def codes(stand: Stand, tag: str) -> list[str]:
    return [lead.code for lead in stand.assess(tag, NOW).estimates.leads]


def test_swings_that_rise_and_fall_by_turns_are_a_lead_for_both(stand: Stand, tmp_path: Path) -> None:
    stand.import_ledger([pair(tmp_path, turns=0.2)], NOW)
    [lead] = [each for each in stand.assess("L1", NOW).estimates.leads if each.code == "neighbours"]
    assert lead.odds > 0.8
    assert lead.text.startswith("its swing and that of L2 in A2 rise and fall by turns, about every 5 h by their rates")
    assert "neighbours" in codes(stand, "L2")


def test_a_weekly_wind_between_doesn_t_hide_how_often(stand: Stand, tmp_path: Path) -> None:
    # a longcase loses some seconds at each wind: the last week is no longer one run
    stand.import_ledger([pair(tmp_path, turns=0.2)], NOW)
    for tag in ("L1", "L2"):
        stand.check_in({"tag": tag, "work": "wound", "at": morning(4) + timedelta(minutes=10)}, NOW)
    [lead] = [each for each in stand.assess("L1", NOW).estimates.leads if each.code == "neighbours"]
    assert "rise and fall by turns, about every 5 h by their rates" in lead.text


def test_steady_swings_or_another_rail_are_none(stand: Stand, open_stand: OpenStand, tmp_path: Path) -> None:
    stand.import_ledger([pair(tmp_path, turns=0.02)], NOW)
    assert codes(stand, "L1") == codes(stand, "L2") == []


def test_another_rail_is_none(stand: Stand, tmp_path: Path) -> None:
    stand.import_ledger([pair(tmp_path, turns=0.2, slots=("A1", "B2"))], NOW)
    assert "neighbours" not in codes(stand, "L1")


def test_what_the_neighbour_does_is_seen_at_once(stand: Stand, open_stand: OpenStand, tmp_path: Path) -> None:
    stand.import_ledger([pair(tmp_path, turns=0.2)], NOW)
    assert "neighbours" in codes(stand, "L1")
    stand.move_clock("L2", "B1", NOW)
    assert "neighbours" not in codes(stand, "L1")
    assert codes(open_stand(), "L1") == codes(stand, "L1")
    stand.undo("L2", NOW)
    assert "neighbours" in codes(stand, "L1")


def test_a_clock_in_its_own_case_has_no_neighbours_until_a_slot_is_told_again(stand: Stand, tmp_path: Path) -> None:
    stand.import_ledger([pair(tmp_path, turns=0.2)], NOW)
    assert stand.assess("L1", NOW).estimates.beside
    stand.check_in({"tag": "L2", "work": "cased", "at": NOW}, NOW)
    for tag in ("L1", "L2"):
        assert stand.assess(tag, NOW).estimates.beside == ()
        assert "neighbours" not in codes(stand, tag)
    assert add(stand, "L3", position="A3").startswith("L1 in A1 swings alike")
    stand.move_clock("L2", "A2", NOW + timedelta(minutes=1))
    assert [each.tag for each in stand.assess("L1", NOW + timedelta(minutes=2)).estimates.beside] == ["L2"]


def test_a_drift_beside_a_near_neighbour_is_not_judged_alone(stand: Stand, tmp_path: Path) -> None:
    clocks: list[Row] = [{"tag": t, "kind": "regulator", "position": p} for t, p in (("R1", "A1"), ("R2", "A2"))]
    rows: list[Row] = []
    for day in range(21, -1, -1):
        gone = 21 - day
        rows.append({"at": morning(day), "tag": "R1", "error_s": round(0.1 * gone**2 / 2, 1)})
        rows.append({"at": morning(day), "tag": "R2", "error_s": round(1.2 * gone, 1)})
    stand.import_ledger([write_ledger(tmp_path / "two", clocks, rows)], NOW)
    [lead] = [each for each in stand.assess("R1", NOW).estimates.leads if each.code == "neighbours"]
    assert lead.text.startswith("its rate drifts, and R2 in A2 on the same rail is within 0.")
    assert "isolate it before judging" in lead.text
    assert "neighbours" not in codes(stand, "R2")
