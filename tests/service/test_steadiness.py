"""How steadily a clock goes, in words, by the service over a real book."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.estimate.stability import DailyRates, StabilityPoint
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.service.stand import Stand
from standwatch.service.steadiness import brief, daily_words, figures, point_words, stability
from tests.shop import NOW, morning, write_ledger

WOBBLE = (0, 3, -4, 2, 5, -6, 1, 4, -2, 3, -5, 0, 2, -3, 1, 5, -1, -4, 3, 2, -2, 4, 0, -5, 1)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"), (0.0937, "0.094"), (0.0996, "0.10"), (0.94, "0.94"), (0.996, "1.0"), (1.25, "1.2"), (9.96, "10"),
        (12.6, "13"), (99.6, "100"), (123.0, "120"),
    ],
)  # fmt: skip
def test_two_figures(value: float, text: str) -> None:
    assert figures(value) == text


def test_a_number_its_upper_end_or_nothing() -> None:
    told = Quantity(0.94, 0.64, 1.8)
    assert point_words(StabilityPoint(1, told, 0.1, 11)) == "0.94 (0.64 to 1.8)"
    assert point_words(StabilityPoint(1, told, 0.1, 11), " s/day") == "0.94 s/day (0.64 to 1.8)"
    assert point_words(StabilityPoint(1, told, 0.87, 11)) == "under 1.8"
    assert point_words(StabilityPoint(1, NotYetKnown("wants more"), 0.87, 1)) == "not yet known"


def test_daily_rates_get_a_place_more_where_they_are_small() -> None:
    assert daily_words(DailyRates(9, -2.84, 1.1, 4.2, 3.04)) == (
        "mean −2.8, mean variation 1.1, greatest 4.2, difference 3.0"
    )
    assert daily_words(DailyRates(9, 0.2, 0.06, 0.12, 0.1)) == (
        "mean +0.20, mean variation 0.06, greatest 0.12, difference 0.10"
    )


def test_from_a_book_to_words(stand: Stand, tmp_path: Path) -> None:
    """A longcase read each morning for 25 days: steadier from week to week than from day to day."""
    rows = [{"at": morning(24 - n), "tag": "T1", "error_s": 2 * n + w / 4} for n, w in enumerate(WOBBLE)]
    stand.import_ledger([write_ledger(tmp_path / "ledger", [{"tag": "T1", "kind": "longcase"}], rows)], NOW)
    found = stability(stand.assess("T1", NOW + timedelta(minutes=5)))
    (day, of_day), (week, _) = brief(found)
    assert (day, week) == ("day to day", "week to week")
    first, seventh = found.points[0], found.points[3]
    assert isinstance(first.deviation, Quantity)
    assert isinstance(seventh.deviation, Quantity)
    assert seventh.deviation.estimate < first.deviation.estimate
    assert first.count == 23
    assert of_day == point_words(first)
    assert of_day[0].isdigit()
