"""What the start sheet lacks, by kind; and what of it is worth a step of its own."""

from __future__ import annotations

from typing import Any

import pytest

from standwatch.judge.start_sheet import missing_of
from standwatch.model.words import NextStep
from tests.judge.judged import assessed, case
from tests.stories import daily


def missing(kind: str, *rows: str, **columns: Any) -> list[str]:
    told = case(kind, rows, now="11-10 09:00", **columns)
    return [each.text for each in missing_of(told.estimates)]


WEIGHTS = "11-09 08:00 error_s=1 going_mm=10 strike_mm=10"


def test_a_longcase_wants_its_unlocking_point_its_weights_and_their_kg() -> None:
    first, second, third = missing("longcase", "11-09 08:00 error_s=1")
    assert first == "no unlocking point: the swing can't be judged; two minutes with the bob"
    assert second == "read the weights: where the going weight hangs is not known"
    assert third == "no kg of the going and strike weights: an exchange could not be told; two minutes with the scale"
    assert missing("longcase", WEIGHTS, unlock_deg=1.6, going_kg=5.4, strike_kg=5.4) == []


def test_one_weight_can_t_be_exchanged() -> None:
    assert missing("regulator", "11-09 08:00 error_s=1 going_mm=10", unlock_deg=1.0) == []
    assert missing("longcase-30h", "11-09 08:00 error_s=1 going_mm=10", unlock_deg=1.0) == []


def test_a_spring_wants_its_turns() -> None:
    [text] = missing("mantel", "11-09 08:00 error_s=1", unlock_deg=4.0, going_turns=14)
    assert text.startswith("key turns to full of the strike spring not told: run-down is told by days alone")
    assert missing("mantel", "11-09 08:00 error_s=1", unlock_deg=4.0, going_turns=14, strike_turns=14) == []


@pytest.mark.parametrize("kind", ["carriage", "mantel-chiming"])
def test_an_unnamed_balance_is_asked_for(kind: str) -> None:
    turns = {"going_turns": 8, "strike_turns": 8, "chime_turns": 8 if kind == "mantel-chiming" else None}
    [text] = missing(kind, "11-09 08:00 error_s=1", **turns)
    assert text.startswith("which balance: plain, cut or alloy?")
    assert missing(kind, "11-09 08:00 error_s=1", balance="plain", **turns) == []


def test_a_pendulum_and_a_torsion_strip_have_no_balance() -> None:
    assert not any("balance" in text for kind in ("torsion", "longcase") for text in missing(kind))


def test_nothing_of_a_reference() -> None:
    assert missing("reference", "11-09 08:00 error_s=1 error_u_s=0.1") == []


def test_naming_the_balance_is_the_next_step_where_nothing_else_is_due() -> None:
    rows = [
        "11-02 08:00 work=wound",
        "11-09 08:05 work=wound",
        *daily("11-03 08:00", "11-10 08:00", "error_s={2*d:.0f} temperature_c={20-d:.0f}"),
        *(f"11-05 08:{m} hour={h} blows={h}" for m, h in enumerate(range(1, 13), 10)),
    ]
    asked = assessed("carriage", rows, now="11-10 08:30")
    assert (asked.next.code, asked.next.short) == (NextStep.LOOK, "which balance")
    assert "which balance" not in assessed("carriage", rows, now="11-10 08:30", balance="plain").next.short
