"""When trains were wound, how often, and how long ago."""

from __future__ import annotations

from standwatch.estimate.winding import wind_hours, wind_period_days, winds
from standwatch.model.words import Train
from tests.stories import at, story

LEDGER = [
    "11-02 08:00 work=wound",
    "11-09 08:00 work=wound train=going",
    "11-09 08:01 work=wound train=strike amount=900",
    "11-17 08:00 work=wound train=going",
    "11-17 08:30 work=wound train=going amount=20",
    "11-24 08:00 work=wound train=going",
]


def test_winds_are_each_trains_own() -> None:
    history = story("longcase", LEDGER, now="11-25 08:00")
    assert winds(history, Train.STRIKE) == ((at("11-02 08:00"), None), (at("11-09 08:01"), 900))
    assert len(winds(history, Train.GOING)) == 5


def test_an_endless_chain_is_wound_by_either() -> None:
    history = story("longcase-30h", LEDGER, now="11-25 08:00")
    assert winds(history, Train.GOING) == winds(history, Train.STRIKE)
    assert len(winds(history, Train.GOING)) == 6


def test_the_period_as_kept() -> None:
    """Seven, eight and (two winds of one visit being one) 6.98 days: seven in the middle."""
    history = story("longcase", LEDGER, now="11-25 08:00")
    assert wind_period_days(history, Train.GOING) == 7
    assert wind_period_days(story("longcase", LEDGER[:1], now="11-25 08:00"), Train.GOING) is None
    assert wind_period_days(story("longcase", [], now="11-25 08:00"), Train.GOING) is None


def test_hours_since_the_wind_before() -> None:
    history = story("longcase", LEDGER, now="11-25 08:00")
    assert wind_hours(history, at("11-02 08:00")) is None
    assert wind_hours(history, at("11-02 09:30")) == 1.5
    assert wind_hours(history, at("11-09 08:00")) == 168
