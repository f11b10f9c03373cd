"""Weighted sums of normal distributions: the quantiles and probabilities of everything the engine answers.

Sums are numpy's own, never a library's product of matrices, whose last bit may hang on where an array lies in memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.conformance import conformance
from standwatch.model.answers import Quantity

Floats = NDArray[np.float64]

_LEVELS = np.array([0.025, 0.5, 0.975])
_STEPS = 60
_CLOSE, _ROUNDING = 1e-10, 1e-15
_erfc = np.frompyfunc(math.erfc, 1, 1)


def normal_below(z: Floats) -> Floats:
    """The standard normal distribution function, elementwise."""
    return 0.5 * np.asarray(_erfc(z / -math.sqrt(2.0)), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class Mixture:
    """Weights adding to 1, means and standard deviations, (M,) each."""

    weight: Floats
    mean: Floats
    sd: Floats

    @property
    def moments(self) -> tuple[float, float]:
        """Mean and standard deviation."""
        mean = float((self.weight * self.mean).sum())
        return mean, math.sqrt(float((self.weight * (self.sd**2 + (self.mean - mean) ** 2)).sum()))

    @property
    def quantity(self) -> Quantity:
        """Median and equal-tailed 95 % interval."""
        low, middle, high = (float(q) for q in self.quantiles(_LEVELS))
        return Quantity(middle, low, high)

    def quantiles(self, levels: Floats) -> Floats:
        """The quantiles of `levels`, all at once: Newton's steps, and bisection where one would leave the bracket."""
        mean, sd = self.moments
        floor = float(self.sd.min())
        reach = 9.0 * (sd + float(np.abs(self.mean - mean).max()))
        low, high = np.full(len(levels), mean - reach), np.full(len(levels), mean + reach)
        x = mean + sd * _START[np.searchsorted(_START_AT, levels)]
        density = self.weight / (self.sd * math.sqrt(2 * math.pi))
        for _ in range(_STEPS):
            z = (x[:, None] - self.mean) / self.sd
            off = (normal_below(z) * self.weight).sum(axis=1) - levels
            low, high = np.where(off < 0, x, low), np.where(off < 0, high, x)
            slope = (np.exp(-0.5 * z * z) * density).sum(axis=1)
            with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
                step = x - off / slope
            new = np.where((step >= low) & (step <= high), step, (low + high) / 2)
            done = np.abs(new - x).max() <= _CLOSE * (np.ptp(new) + floor) + _ROUNDING * np.abs(new).max()
            x = new
            if done:
                break
        return np.asarray(x)

    def within(self, low: float, high: float) -> float:
        """Probability of a value from `low` to `high` (JCGM 106:2012, 7)."""
        parts = zip(self.weight, self.mean, self.sd, strict=True)
        return min(1.0, sum(float(w) * conformance(float(m), float(s), low, high) for w, m, s in parts))


# where Newton starts, in standard deviations, for a level up to the one named
_START_AT = np.array([0.05, 0.95])
_START = np.array([-1.96, 0.0, 1.96])
