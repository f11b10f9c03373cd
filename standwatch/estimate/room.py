"""The room's temperature over time: how many degree-days lie between two moments, and how much of that was logged."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.together import Heating
from standwatch.model.units import days

Floats = NDArray[np.float64]

USUAL_C = 20.0
"""deg C that rates are referred to."""
_USUAL_SD_C = 1.5
"""How far a heated workshop strays from its mean, from day to day (common practice)."""
_WEATHER_DAYS = 3.0
"""Days over which it strays."""
_HOLDS_DAYS = 1.5
"""A logged temperature tells of the room until the next, or so long."""
_LEAST_FOR_SD = 5
_TRUST = 4.0
"""The usual counts as much as so many spells of weather."""


@dataclass(frozen=True, slots=True)
class Room:
    """Knots in days since 2000, with the degree-days over 20 deg C and the days logged up to each.

    `mean_c` and `sd_c` are of the log; `warmer_c` since `warmer_from` is what the steel pendulums betray where nothing
    was logged.
    """

    knots: Floats
    degrees: Floats
    degree_days: Floats
    logged_days: Floats
    mean_c: float
    sd_c: float
    warmer_from: float
    warmer_c: float

    def until(self, at: Floats) -> tuple[Floats, Floats]:
        """Degree-days over 20 deg C and days logged up to each of `at` (days since 2000), from some day before.

        Between two temperatures further apart it goes evenly from one to the other; before the first and long after the
        last it is as warm as the log is in the mean. None of those days is logged.
        """
        warmth = self.warmer_c * np.maximum(at - self.warmer_from, 0.0) if self.warmer_c else np.zeros_like(at)
        if not len(self.knots):
            return warmth, np.zeros_like(at)
        first, end = self.knots[0], self.knots[-1] + _HOLDS_DAYS
        within = np.clip(at, first, end)
        place = np.searchsorted(self.knots, within, side="right") - 1
        following = np.minimum(place + 1, len(self.knots) - 1)
        width = self.knots[following] - self.knots[place]
        after = within - self.knots[place]
        slope = (self.degrees[following] - self.degrees[place]) / np.where(width > 0, width, 1.0)
        degree_days = self.degree_days[place] + after * (self.degrees[place] + 0.5 * slope * after)
        outside = (at - within) * (self.mean_c - USUAL_C)
        logged = self.logged_days[place] + np.where(width <= _HOLDS_DAYS, after, 0.0)
        return degree_days + outside + warmth, logged

    def logged_share(self, start: float, end: float) -> float:
        """How much of the time between two days the temperature is known; 1 for an instant in a logged day."""
        if not len(self.knots):
            return 0.0
        logged = self.until(np.array([start, max(end, start + 1 / 24)]))[1]
        return float(logged[1] - logged[0]) / max(end - start, 1 / 24)


def room_of(temperatures: tuple[tuple[datetime, float], ...], heating: Heating | None) -> Room:
    """The room that a stand's thermometer tells of (time, deg C, in order)."""
    told = {days(at): c for at, c in temperatures}  # of two at one time the later written
    knots, degrees = np.array(list(told)), np.array(list(told.values())) - USUAL_C
    width = np.diff(knots)
    area = width * (degrees[1:] + degrees[:-1]) / 2
    return Room(
        knots,
        degrees,
        np.concatenate([[0.0], np.cumsum(area)])[: len(knots)],
        np.concatenate([[0.0], np.cumsum(np.where(width <= _HOLDS_DAYS, width, 0.0))])[: len(knots)],
        # both to half a degree: they hardly change from day to day
        round(2 * float(degrees.mean())) / 2 + USUAL_C if told else USUAL_C,
        max(round(2 * _strays(degrees, knots)), 1) / 2,
        days(heating.since) if heating and not told else 0.0,
        heating.warmer_c if heating and not told else 0.0,
    )


def _strays(degrees: Floats, knots: Floats) -> float:
    """How far the room strays, in deg C: as the log says, drawn to the usual while the log is young."""
    if len(knots) < _LEAST_FOR_SD:
        return _USUAL_SD_C
    apart = float(knots[-1] - knots[0]) / (2 * _WEATHER_DAYS)  # spells of weather that the log has seen
    return math.sqrt((_TRUST * _USUAL_SD_C**2 + apart * float(degrees.var(ddof=1))) / (_TRUST + apart))


def straying(span: Floats, sd: float) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """A rate that strays about its mean with standard deviation `sd` s/day, over `span` days nobody logged.

    What is left of a stray at the start (keep) and what it adds to the error (days), and the variances gathered: of
    the error (s^2), of both together, of the rate ((s/day)^2); each of the shape of `span`. An Ornstein-Uhlenbeck
    process of memory m, k = exp(-d/m), and its integral (Gillespie, Phys. Rev. E 54 (1996) 2084, from memory):

        keep k;  days m (1 - k);  sd^2 m (2 d - 4 m (1 - k) + m (1 - k^2));  sd^2 m (1 - k)^2;  sd^2 (1 - k^2)
    """
    tau, var = _WEATHER_DAYS, sd * sd
    keep = np.exp(-span / tau)
    gone = -np.expm1(-span / tau)
    error = var * tau * (2 * span - 4 * tau * gone + tau * -np.expm1(-2 * span / tau))
    return keep, tau * gone, np.maximum(error, 0.0), var * tau * gone * gone, var * -np.expm1(-2 * span / tau)


def stray_walk(sd: float) -> float:
    """The variance in (s/day)^2 a day by which such a rate moves at first, for what takes it for a random walk."""
    return 2 * sd * sd / _WEATHER_DAYS


def root_mean_square(mean: float, sd: float) -> float:
    """The root of the mean square of something known to be mean ± sd."""
    return math.hypot(mean, sd)
