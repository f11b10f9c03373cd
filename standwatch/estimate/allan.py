"""Overlapping Allan deviation from time errors with gaps, and how sure it is.

W. J. Riley, Handbook of Frequency Stability Analysis, NIST SP 1065 (2008): the overlapping deviation 5.2.5, its
equivalent degrees of freedom and its chi-square interval 5.3. The handbook's formulas for the degrees of freedom hold
for one noise and no gap; here they are worked out from the same definition, edf = 2 E^2 / Var, for the three noises
together and for the second differences that are there. Errors in s, times in days, deviations in s/day.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from standwatch.estimate.chi_square import chi_square_quantile
from standwatch.model.answers import Quantity


@dataclass(frozen=True, slots=True)
class Phase:
    """One time error: when (days), how much (s, + fast), and what winding had then put in doubt (s, added up)."""

    day: float
    error_s: float
    wound_s: float = 0.0


Run = Mapping[int, Phase]
"""The errors of an unbroken run by the number of their day."""


@dataclass(frozen=True, slots=True)
class Noise:
    """Variances: white frequency noise in s^2/day, random-walk frequency noise in (s/day)^2/day, a reading in s^2."""

    white: float
    walk: float
    reading: float


@dataclass(frozen=True, slots=True)
class Allan:
    """Overlapping Allan deviation in s/day over `tau_days`, from `count` second differences.

    `freedom` are its equivalent degrees of freedom.
    """

    tau_days: int
    deviation: float
    count: int
    freedom: float

    @property
    def quantity(self) -> Quantity:
        """With its 95 % interval: edf s^2 / sigma^2 is chi-square (NIST SP 1065, 5.3.1)."""
        low, high = (self.deviation * math.sqrt(self.freedom / self._quantile(p)) for p in (0.975, 0.025))
        return Quantity(self.deviation, low, high)

    def _quantile(self, chance: float) -> float:
        return chi_square_quantile(chance, self.freedom)


def allan(runs: Sequence[Run], tau_days: int, noise: Noise) -> Allan | None:
    """The overlapping Allan deviation over `tau_days`; None where no three errors stand so far apart in one run.

    Gaps are not bridged: a day that is missing takes away the differences that want it. Rates are by the times
    actually read, so that a steady rate adds nothing. `noise` is for the degrees of freedom alone, and only its
    proportions matter.
    """
    total = 0.0
    starts = []
    for run in runs:
        found = {first: d for first in run if (d := _difference(run, first, tau_days)) is not None}
        total += sum(d * d for d in found.values())
        starts.append(list(found))
    count = sum(len(each) for each in starts)
    if not count:
        return None
    deviation = math.sqrt(total / (2 * count))
    return Allan(tau_days, deviation, count, _freedom(starts, tau_days, noise))


def _difference(run: Run, first: int, tau: int) -> float | None:
    """The step in rate (s/day) between two neighbouring spans of `tau` days, the first from day `first`.

    Only where as much was wound in one as in the other: what winding does to the error then falls out.
    """
    a, b, c = run[first], run.get(first + tau), run.get(first + 2 * tau)
    if b is None or c is None or abs(c.wound_s - 2 * b.wound_s + a.wound_s) > 1e-6:
        return None
    return (c.error_s - b.error_s) / (c.day - b.day) - (b.error_s - a.error_s) / (b.day - a.day)


def _freedom(starts: Sequence[Sequence[int]], tau: int, noise: Noise) -> float:
    """2 E^2 / Var of the sum of the squared differences, which start on the days of `starts`, a list for each run."""
    covariance = [_covariance(lag, tau, noise) for lag in range(2 * tau + 1)]
    count = sum(len(each) for each in starts)
    squares = count * covariance[0] ** 2
    for each in starts:
        base = min(each, default=0)
        days = 0
        for start in each:
            days |= 1 << (start - base)  # a bit a day: the pairs of one lag are counted at once
        for lag in range(1, 2 * tau + 1):
            squares += 2 * (days & (days >> lag)).bit_count() * covariance[lag] ** 2
    return count**2 * covariance[0] ** 2 / squares


def _covariance(lag: int, tau: int, noise: Noise) -> float:
    """Covariance in s^2 of two second differences x(t + 2 tau) - 2 x(t + tau) + x(t) that start `lag` days apart.

    From the driven noises of the two-state clock model; at lag 0 it is 2 tau^2 AVAR = 2 tau q1 + 2/3 tau^3 q2 + 6 r.
    """
    u = lag / tau
    white = (2 - 3 * u) if u <= 1 else (u - 2)
    walk = (2 / 3 - u * u + u**3 / 2) if u <= 1 else (2 - u) ** 3 / 6
    reading = {0: 6.0, tau: -4.0, 2 * tau: 1.0}.get(lag, 0.0)
    return noise.white * tau * white + noise.walk * tau**3 * walk + noise.reading * reading
