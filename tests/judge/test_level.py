"""Level with the bob, in words and as the next thing to look at."""

from __future__ import annotations

from typing import Any

import pytest

from standwatch.judge.level import level_words, levels_of, next_level
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import NextStep
from tests.judge.judged import assessed, case
from tests.stories import ZONE, at, daily

FALLS = daily("11-02 08:00", "11-05 08:00", "error_s={d:.1f} going_mm={165*d:.0f} strike_mm={160*d:.0f}")
LEDGER = [*FALLS, "11-02 08:01 work=wound"]
BOB: dict[str, Any] = {"bob_below_top_mm": 560}  # 560/165 = 3.4 days: Thu 5 Nov evening


def _said(now: str, kind: str = "longcase", lines: list[str] | None = None, **columns: Any) -> list[str]:
    found = levels_of(case(kind, lines or LEDGER, now=now, **columns).estimates)
    assert not isinstance(found, NotYetKnown), found.because
    return [level_words(each, at(now), ZONE) for each in found]


@pytest.mark.parametrize(("now", "verb"), [("11-05 12:00", ""), ("11-06 06:00", " are now"), ("11-08 12:00", " were")])
def test_to_come_now_and_past(now: str, verb: str) -> None:
    [said] = _said(now, **BOB)
    assert said.startswith(f"weights{verb} level with the bob Thu 5 to Fri 6 Nov")


def test_in_its_own_case_again() -> None:
    lines = [*LEDGER, "11-07 09:00 work=wound", "11-08 08:00 work=cased", "11-08 08:05 work=wound"]
    lines += daily("11-09 08:00", "11-10 08:00", "error_s=0 going_mm={165*d+165:.0f} strike_mm={160*d+160:.0f}")
    [said] = _said("11-10 09:00", lines=lines, **BOB)
    assert said.startswith("weights level with the bob Wed 11 to Thu 12 Nov in its own case")


def test_a_bob_nobody_measured_is_taken_from_its_beats_and_said() -> None:
    # a seconds pendulum of 994 mm hangs so far below the suspension; at 165 mm a day that is six days
    [said] = _said("11-05 12:00")
    assert said.startswith("weights level with the bob Sun 8 to")
    assert "not measured" in said
    assert "95 %: Fri 6 to" in said


def test_weights_that_pass_apart_are_told_apart() -> None:
    lines = [line.replace("strike_mm=", "strike_mm=2").replace("strike_mm=20 ", "") for line in LEDGER]
    lines = [line for line in LEDGER if "strike" not in line]
    lines += daily("11-02 08:00", "11-05 08:00", "error_s={d:.1f} going_mm={165*d:.0f} strike_mm={110*d:.0f}")
    first, second = _said("11-05 12:00", lines=lines, **BOB)
    assert first.startswith("going weight level with the bob Thu 5 to")
    assert second.startswith("strike weight level with the bob Sat 7 to")


def test_a_clock_wound_daily_is_told_in_hours() -> None:
    lines = ["11-02 08:00 error_s=0 work=wound", "11-02 18:00 error_s=0 going_mm=575", "11-03 07:00 work=wound"]
    [said] = _said("11-03 08:00", kind="longcase-30h", lines=lines, bob_below_top_mm=900)
    assert said.startswith("weight level with the bob Tue 3 Nov 2")


def test_a_bob_below_the_last_turn_of_line_is_never_reached() -> None:
    assert _said("11-05 12:00", bob_below_top_mm=1500) == []
    assert _said("11-05 12:00", case_fall_mm=500, **BOB) == []


@pytest.mark.parametrize("kind", ["mantel", "carriage", "torsion", "reference"])
def test_no_weight_beside_a_pendulum(kind: str) -> None:
    assert _said("11-05 12:00", kind=kind, lines=["11-02 08:00 error_s=0"]) == []


def test_unread_weights_are_not_guessed() -> None:
    found = levels_of(case("longcase", ["11-02 08:00 error_s=0 work=wound"], now="11-03 08:00", **BOB).estimates)
    assert isinstance(found, NotYetKnown)


def test_the_one_that_is_now_or_next_comes_first() -> None:
    lines = [line for line in LEDGER if "strike" not in line]
    lines += daily("11-02 08:00", "11-05 08:00", "error_s={d:.1f} going_mm={165*d:.0f} strike_mm={110*d:.0f}")
    told = case("longcase", lines, now="11-05 12:00", **BOB)
    levels = levels_of(told.estimates)
    assert not isinstance(levels, NotYetKnown)
    assert next_level(levels, at("11-05 12:00")) is levels[0]
    assert next_level(levels, at("11-07 12:00")) is levels[1]
    assert next_level(levels, at("11-20 12:00")) is levels[1]
    assert next_level((), at("11-20 12:00")) is None


WEEK = "error_s={d:.1f} going_mm={165*d:.0f} strike_mm={160*d:.0f}"
SHOWN = [
    "10-26 08:00 error_s=0 work=wound",
    *daily("10-26 08:00", "11-01 08:00", WEEK)[1:],
    *(f"10-{27 + n // 6} {9 + n % 6:02}:01 hour={n + 1} blows={n + 1} staged=yes" for n in range(12)),
    *("10-28 08:02 beat_error_pct=1 amplitude_deg=3", "10-30 08:02 beat_error_pct=1 amplitude_deg=3"),
    *(
        "11-02 08:00 error_s=7 amplitude_deg=3",
        "11-02 08:01 work=wound",
        "11-02 08:30 work=oil-checked amount=0 note=KM",
    ),
    *daily("11-02 08:00", "11-06 08:00", WEEK)[1:],
]


def test_the_swing_is_watched_once_while_they_pass() -> None:
    watch = assessed("longcase", SHOWN, now="11-06 09:00", unlock_deg=2, **BOB).next
    assert (watch.code, watch.short) == (NextStep.LOOK, "watch swing")
    assert watch.text.startswith("watch the swing: weights are now level with the bob Thu 5 to Fri 6 Nov")
    read = [*SHOWN, "11-06 08:30 amplitude_deg=3"]
    assert assessed("longcase", read, now="11-06 09:00", unlock_deg=2, **BOB).next.short != "watch swing"
    assert assessed("longcase", SHOWN, now="11-05 09:00", unlock_deg=2, **BOB).next.short != "watch swing"
