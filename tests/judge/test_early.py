"""What should be true of a clock that goes early: a single fault found, a second wind like the first, margin."""

from __future__ import annotations

import pytest

from standwatch.judge.early import Condition, early_conditions
from tests.judge.judged import assessed
from tests.stories import daily

FAULT, WINDS, SWING = range(3)


def told(ledger: list[str], *, now: str, kind: str = "longcase", **columns: object) -> tuple[Condition, ...]:
    return early_conditions(assessed(kind, ledger, now=now, **columns))


def two_winds(first: float, second: float) -> list[str]:
    """A week at each rate in s/day, wound at its start and on the seventh day."""
    one = daily("11-02 08:05", "11-09 08:05", f"error_s={{{first}*d:.1f}}")
    two = daily("11-10 08:05", "11-16 08:05", f"error_s={{{7 * first} + {second}*(d+1):.1f}}")
    return ["11-02 08:00 work=wound", *one, "11-09 08:06 work=wound", *two]


def test_no_fault_was_seen() -> None:
    assert told(two_winds(1, 1), now="11-16 09:00")[FAULT].holds is None


@pytest.mark.parametrize(
    ("stops", "holds"),
    [
        (["11-05 10:00 work=stopped explained=yes", "11-05 10:05 work=restarted"], True),
        (["11-05 10:00 work=stopped", "11-05 10:05 work=restarted"], False),
        (
            [
                *("11-05 10:00 work=stopped explained=yes", "11-05 10:05 work=restarted"),
                *("11-06 10:00 work=stopped explained=yes", "11-06 10:05 work=restarted"),
            ],
            False,
        ),
    ],
)
def test_a_single_fault_that_is_explained(stops: list[str], holds: bool) -> None:  # noqa: FBT001
    rows = sorted([*two_winds(1, 1), *stops])
    assert told(rows, now="11-16 09:00")[FAULT].holds is holds


def test_a_second_wind_like_the_first() -> None:
    found = told(two_winds(1, 1), now="11-16 09:00")[WINDS]
    assert found.holds is True, found.because
    assert found.because.startswith("0.0")
    assert "s/day apart" in found.because


def test_a_rate_that_slides_away_makes_another_second_wind() -> None:
    """The rate grows by 2.5 s/day each day: the second week is 17.5 s/day faster than the first, of 8 that it may."""
    one = daily("11-02 08:05", "11-09 08:05", "error_s={1.25*d*d:.1f}")
    two = daily("11-10 08:05", "11-16 08:05", "error_s={1.25*(d+8)*(d+8):.1f}")
    found = told(["11-02 08:00 work=wound", *one, "11-09 08:06 work=wound", *two], now="11-16 09:00")[WINDS]
    assert found.holds is False, found.because
    assert "limit 8" in found.because


def test_one_wind_tells_nothing_of_a_second() -> None:
    found = told(two_winds(1, 1)[:9], now="11-09 08:06")[WINDS]
    assert (found.holds, found.because) == (None, "one wind was read through since its rate was opened")
    nothing = told(["11-02 08:00 work=wound"], now="11-02 09:00")[WINDS]
    assert (nothing.holds, nothing.because) == (None, "no wind was read through since its rate was opened")


def test_a_turn_of_the_nut_begins_the_winds_anew() -> None:
    rows = sorted([*two_winds(1, 1), "11-10 09:00 work=nut amount=0.5"])
    assert told(rows, now="11-16 09:00")[WINDS].holds is None


@pytest.mark.parametrize(("degrees", "holds"), [(2.8, True), (2.1, False)])
def test_margin_of_the_swing(degrees: float, holds: bool) -> None:  # noqa: FBT001
    swings = [f"11-{day} 08:07 amplitude_deg={degrees}" for day in ("13", "14", "15", "16")]
    rows = sorted([*two_winds(1, 1), *swings])
    assert told(rows, now="11-16 09:00", unlock_deg="2.0")[SWING].holds is holds


def test_margin_without_readings_is_not_known() -> None:
    assert told(two_winds(1, 1), now="11-16 09:00")[SWING].holds is None
