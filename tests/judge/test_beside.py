"""Near-equal neighbours in words: how far apart they go, how often they exchange their swing, and what to do."""

from __future__ import annotations

import pytest

from standwatch.estimate.beside import Beside, beside_of
from standwatch.estimate.timekeeping import timekeepings_of
from standwatch.judge.beside import beside_words
from standwatch.model.answers import NotYetKnown, Quantity
from tests.judge.judged import history
from tests.stories import daily


def beside(ours: float, theirs: float, days: str = "11-20 08:00", kind: str = "longcase") -> Beside:
    """Two clocks that gain so many s/day, read for weeks."""
    told = [
        history(
            kind, daily("11-02 08:00", days, f"error_s={{{rate}*d:.1f}}"), now="11-20 09:00", tag=tag, position=slot
        )
        for tag, slot, rate in (("2398", "A1", ours), ("2402", "A2", theirs))
    ]
    times = timekeepings_of(told)
    [found] = beside_of(told[0], times[0], [(told[1], times[1])])
    return found


def test_ten_seconds_apart_at_two_seconds_period() -> None:
    # 86400 T / |difference|: ten s/day apart at T = 2 s is 4.8 h (any text on coupled oscillations)
    found = beside(8.0, -2.0)
    assert isinstance(found.apart_s_per_day, Quantity)
    assert found.apart_s_per_day.estimate == pytest.approx(10, abs=0.1)
    assert isinstance(found.hours, Quantity)
    assert found.hours.estimate == pytest.approx(4.8, abs=0.05)
    assert found.hours.low < 4.8 < found.hours.high
    assert beside_words(found) == (
        "2402 in A2 swings alike, 10 s/day apart: they may pass swing to and fro every 4.8 h; isolate before judging"
    )


def test_within_two_a_day_it_looks_like_drift() -> None:
    found = beside(3.0, 2.5)
    assert found.near
    assert isinstance(found.hours, NotYetKnown)
    assert beside_words(found) == "2402 in A2 swings alike, too near to tell apart from drift; isolate before judging"


def test_far_apart_they_do_nothing() -> None:
    assert beside_words(beside(70.0, -20.0)) == ""


def test_without_a_rate_nothing_is_guessed() -> None:
    found = beside(8.0, -2.0, "11-02 08:00")
    assert isinstance(found.hours, NotYetKnown)
    assert beside_words(found) == "2402 in A2 swings alike: they may pass swing to and fro; isolate before judging"


def test_the_faster_beat_exchanges_sooner() -> None:
    slow, fast = beside(8.0, -2.0), beside(8.0, -2.0, kind="floor-chiming")
    assert isinstance(slow.hours, Quantity)
    assert isinstance(fast.hours, Quantity)
    assert fast.hours.estimate == pytest.approx(slow.hours.estimate * 3600 / 3960, rel=0.02)
