"""Leads by falling weights: seen, with where to look next, and just not."""

from __future__ import annotations

from tests.estimate.leads.seen import codes, lead

WOUND = "11-02 08:20  work=wound"
NOW = "11-15 09:00"


def floor_chiming(going: list[float], strike: list[float], chime: list[float]) -> list[str]:
    """One reading of the three weights a day from 3 November on."""
    return [
        WOUND,
        *(
            f"11-{3 + n:02d} 08:15  error_s=1 going_mm={g:g} strike_mm={s:g} chime_mm={c:g}"
            for n, (g, s, c) in enumerate(zip(going, strike, chime, strict=True))
        ),
    ]


DAYS = [143.0, 278.0, 413.0, 548.0, 683.0]
HUNG = [143.0, 278.0, 283.0, 283.0, 283.0]
RAN_ON = [143.0, 278.0, 413.0, 700.0, 835.0]


def test_sound_trains_give_none() -> None:
    assert codes("floor-chiming", floor_chiming(DAYS, DAYS, DAYS), now=NOW) == []


def test_the_strike_stuck() -> None:
    found = lead("strike-stuck", "floor-chiming", floor_chiming(DAYS, HUNG, DAYS), now=NOW)
    assert found is not None
    assert found.text.startswith("the strike weight has hardly fallen since Wed 4 Nov, and the clock went on: listen")
    assert codes("floor-chiming", floor_chiming(DAYS, HUNG, DAYS), now=NOW) == ["strike-stuck"]


def test_the_chime_stuck() -> None:
    found = lead("chime-stuck", "floor-chiming", floor_chiming(DAYS, DAYS, HUNG), now=NOW)
    assert found is not None
    assert "look at the selector" in found.text


def test_a_silent_chime_is_not_stuck() -> None:
    lines = floor_chiming(DAYS, DAYS, HUNG)
    assert codes("floor-chiming", [*lines[:3], "11-04 08:20  work=tune amount=0", *lines[3:]], now=NOW) == []


def test_the_strike_and_the_chime_ran_on() -> None:
    found = lead("strike-runs-on", "floor-chiming", floor_chiming(DAYS, RAN_ON, DAYS), now=NOW)
    assert found is not None
    assert "fell further by Fri 6 Nov than its blows account for: look at the locking" in found.text
    found = lead("chime-runs-on", "floor-chiming", floor_chiming(DAYS, DAYS, RAN_ON), now=NOW)
    assert found is not None
    assert "than its quarters account for" in found.text


def test_hours_unstruck() -> None:
    short = [10 + 108.0 * (n + 1) for n in range(6)]
    full = [10 + 135.0 * (n + 1) for n in range(6)]
    second = [
        f"11-{10 + n:02d} 08:15  error_s=1 going_mm={g:g} strike_mm={s:g} chime_mm={g:g}"
        for n, (g, s) in enumerate(zip(full, short, strict=True))
    ]
    ledger = [*floor_chiming(full, full, full), "11-09 08:20  work=wound", *second]
    found = lead("strike-lacks", "floor-chiming", ledger, now="11-16 09:00")
    assert found is not None
    assert "where the winds before make it" in found.text
