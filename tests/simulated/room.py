"""The workshop's warmth: a daily cycle and the weather, in deg C, for many rooms at a time.

Weather is a first-order autoregressive process (Ornstein and Uhlenbeck's), drawn exactly every hour. Its memory of
about three days and its 1.5 deg C are common practice for a heated workshop.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.simulated.physics import Floats

HOURS = 24


@dataclass(frozen=True)
class Room:
    """`mean_c` over the year; the day swings by `daily_c` about it, highest six hours after `mid_morning_h`."""

    mean_c: float = 20.0
    daily_c: float = 1.2
    mid_morning_h: float = 9.0
    weather_c: float = 1.5
    memory_d: float = 3.0

    def weather(self, rooms: int, days: int, rng: np.random.Generator) -> Floats:
        """Deviation from the mean that the weather makes, rooms x hours (both ends included), deg C."""
        kept = np.exp(-1 / (HOURS * self.memory_d))
        fresh = self.weather_c * np.sqrt(1 - kept**2)
        steps = rng.standard_normal((days * HOURS + 1, rooms))
        out = np.empty_like(steps)
        out[0] = self.weather_c * steps[0]
        for hour in range(1, len(out)):
            out[hour] = kept * out[hour - 1] + fresh * steps[hour]
        return out.T

    def daily(self, days: Floats) -> Floats:
        """Deviation that the hour of the day makes; `days` counted from a midnight."""
        return np.asarray(self.daily_c * np.sin(2 * np.pi * (days - self.mid_morning_h / HOURS)))

    def daily_gain(self, days: Floats) -> Floats:
        """The integral of `daily` from midnight on, in deg C days."""
        turn = 2 * np.pi
        return np.asarray(self.daily_c / turn * -np.cos(turn * (days - self.mid_morning_h / HOURS)))


def between_hours(hourly: Floats, days: Floats) -> Floats:
    """The value at `days` (rooms x readings) of what is told hourly from midnight on, straight between hours."""
    place = np.clip(days * HOURS, 0, hourly.shape[1] - 1.000001)
    low = place.astype(np.int64)
    rows = np.arange(len(hourly))[:, None]
    share = place - low
    return np.asarray((1 - share) * hourly[rows, low] + share * hourly[rows, low + 1])


def gathered(hourly: Floats) -> Floats:
    """The integral of what is told hourly, in deg C days, at each hour."""
    steps = (hourly[:, 1:] + hourly[:, :-1]) / (2 * HOURS)
    return np.concatenate([np.zeros((len(hourly), 1)), np.cumsum(steps, axis=1)], axis=1)
