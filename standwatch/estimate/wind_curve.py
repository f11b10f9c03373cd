"""What winding does to the error: a spring's rate through the wind, and the winds that are still to come."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass
from itertools import accumulate, pairwise

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.history import History
from standwatch.estimate.winding import wind_period_days, winds
from standwatch.horology.kinds import Traits
from standwatch.model.units import days
from standwatch.model.words import Train

_READ_FIRST = 1 / 24
_SLACK_END = 1.5
"""Wind periods after which nobody can say where in its wind a spring is: someone wound it, or it stands."""


def usual_period_days(traits: Traits) -> float:
    """How often a clock is wound until its own winds tell: whole weeks where a wind lasts that long, else daily."""
    weeks = math.floor(traits.duration_h / 168)
    return 7.0 * weeks if weeks else 1.0


def _within(u: float, period: float) -> float:
    """The integral of w over the first `u` days of a wind."""
    u = min(u, _SLACK_END * period)
    return u / 2 - u * u / (2 * period)


@dataclass(frozen=True, slots=True)
class WindCurve:
    """The winds of the going train, past and expected, `period` days apart.

    `times` are the winds so far in days since 2000; `base` the curve's integral at each. `now` is when the past ends:
    the next wind is one period after the last, or now where that is over. `told` is False where no wind was ever
    logged and the first reading stands for one.
    """

    times: tuple[float, ...]
    base: tuple[float, ...]
    period: float
    now: float
    told: bool

    def integral(self, day: float) -> float:
        """The integral of w from the first wind to `day`, in days; w(u) = 1/2 - u/period, u days since the last wind.

        Its mean over a wind is nought. Before the first wind, and where no wind was ever logged, the clock is taken
        to have been wound every period.
        """
        first, last = self.times[0], self.times[-1]
        due = self.due
        if day < first or not self.told:
            return _within((day - first) % self.period, self.period)
        if day > due:
            return self.base[-1] + _within(due - last, self.period) + _within((day - due) % self.period, self.period)
        place = bisect_right(self.times, day) - 1
        return self.base[place] + _within(day - self.times[place], self.period)

    def integrals(self, at: NDArray[np.float64]) -> NDArray[np.float64]:
        """`integral` of many days, none of them in the future."""
        times, base = np.array(self.times), np.array(self.base)
        place = np.searchsorted(times, at, side="right") - 1
        u = np.minimum(at - times[np.maximum(place, 0)], _SLACK_END * self.period)
        told = np.where(place >= 0, base[np.maximum(place, 0)] + u / 2 - u * u / (2 * self.period), 0.0)
        v = (at - times[0]) % self.period
        guessed = v / 2 - v * v / (2 * self.period)
        return np.where((place < 0) | (not self.told), guessed, told)

    @property
    def due(self) -> float:
        """When the next wind is expected."""
        return max(self.times[-1] + self.period, self.now)

    def winds_by(self, day: float) -> int:
        """How many winds are expected after now and before `day`; none where none was ever logged.

        A round reads before it winds: one that is due at the hour itself is still to come.
        """
        if not self.told or day <= self.due + _READ_FIRST:
            return 0
        return 1 + math.floor((day - self.due - _READ_FIRST) / self.period)


def wind_curve(history: History, start: float) -> WindCurve:
    """The winds of the clock's going train; `start` (days since 2000) stands for a wind where none was logged."""
    told = tuple(dict.fromkeys(days(at) for at, _ in winds(history, Train.GOING)))
    longest = 2 * history.traits.duration_h / 24
    kept = wind_period_days(history, Train.GOING)
    # whole days, so that a wind an hour late doesn't bend the whole past
    period = min(max(1.0, float(round(kept))) if kept else usual_period_days(history.traits), longest)
    times = told or (start,)
    base = accumulate((_within(b - a, period) for a, b in pairwise(times)), initial=0.0)
    return WindCurve(times, tuple(base), period, days(history.now), bool(told))
