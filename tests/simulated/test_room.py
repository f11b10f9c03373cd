"""The room's warmth: its spread, its memory, its day, and what it does over a day. Fixed seeds."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from tests.simulated.room import HOURS, Room, between_hours, gathered


def test_weather_has_its_spread_and_its_memory() -> None:
    room = Room()
    hourly = room.weather(4000, 12, np.random.default_rng(1))
    assert np.mean(hourly) == pytest.approx(0, abs=0.1)
    assert np.std(hourly, axis=0) == pytest.approx(np.full(hourly.shape[1], 1.5), rel=0.06)
    for days in (1, 3, 6):  # an autoregressive process forgets exponentially
        pairs = hourly[:, 0] * hourly[:, days * HOURS]
        assert np.mean(pairs) / 1.5**2 == pytest.approx(np.exp(-days / 3), abs=0.06)


def test_a_day_is_a_cycle_of_mean_nought() -> None:
    room = Room()
    hours = np.linspace(0, 1, 25)
    day = room.daily(hours)
    assert hours[np.argmax(day)] == pytest.approx(15 / 24)
    assert day.max() == pytest.approx(1.2)
    whole, _ = quad(lambda t: float(room.daily(np.array(t))), 0, 1)
    assert whole == pytest.approx(0, abs=1e-9)


def test_degree_days_are_the_integral() -> None:
    room = Room()
    want, _ = quad(lambda t: float(room.daily(np.array(t))), 0.3, 2.1)
    assert room.daily_gain(np.array(2.1)) - room.daily_gain(np.array(0.3)) == pytest.approx(want, abs=1e-9)
    hourly = np.array([[0.0, 1.0, 2.0, 3.0]])
    assert gathered(hourly)[0].tolist() == pytest.approx([0, 0.5 / 24, 2 / 24, 4.5 / 24])
    assert between_hours(hourly, np.array([[1.25 / 24]]))[0, 0] == pytest.approx(1.25)
