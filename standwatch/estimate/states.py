"""A posterior as a plain mixture: one normal a row and grid member, asked for any linear function of the state."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from standwatch.estimate.batch import Posterior, without_work_last
from standwatch.estimate.fit import Noise
from standwatch.estimate.gaussian_sum import Floats, place
from standwatch.estimate.making import LOSS_SCATTER_S
from standwatch.estimate.mixture import Mixture
from standwatch.estimate.room import straying

_LEAST_SHARE = 1e-6
_THERMOMETER_C = 0.3
"""How far a round's temperature lies off the day's mean, in the mean over the days (common practice)."""
_SURE_OF_NOISE = 0.1
"""A standard deviation of log q1's root under which one noise will do."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A linear function of the state, some time ahead of the last step.

    `of` (n,) its coefficients; variances it gathers on the way: `white` and `walk` for each unit of q1 and q2, `var`
    besides, `kind_var` of a reading that goes by its kind's factor.
    """

    of: Floats
    white: float = 0.0
    walk: float = 0.0
    var: float = 0.0
    kind_var: float = 0.0


class States:
    """The normals of one clock's posterior: weight (M,), mean (n, M), covariance (n(n+1)/2, M)."""

    def __init__(self, posterior: Posterior) -> None:
        self.line = posterior.line
        self.prior = posterior.line.prior
        belief = posterior.belief
        rows = without_work_last(belief)
        log_weight = belief.log_weight[rows]
        weight = np.exp(log_weight - log_weight.max())
        kept = weight > _LEAST_SHARE
        self.weight = weight[kept] / weight[kept].sum()
        self.mean = np.ascontiguousarray(belief.mean[:, rows][:, kept])
        self.cov = np.ascontiguousarray(belief.cov[:, rows][:, kept])
        members = np.broadcast_to(np.arange(posterior.grid.members), weight.shape)[kept]
        self.white = self.prior.q1 * posterior.grid.white[members]
        self.walk = self.prior.q2 * posterior.grid.walk[members]
        self.reading = posterior.grid.reading[members]

    @property
    def last_day(self) -> float:
        """When the last step was, in days since 2000."""
        return self.line.days_at[-1]

    def mixture(self, asked: Asked) -> Mixture:
        """The distribution of what is asked."""
        used = np.flatnonzero(asked.of)
        n = len(self.mean)
        mean = (asked.of[:, None] * self.mean).sum(axis=0)
        var = asked.white * self.white + asked.walk * self.walk + asked.var + asked.kind_var * self.reading
        for i in used:
            for j in used:
                if j >= i:
                    share = asked.of[i] * asked.of[j] * (1.0 if i == j else 2.0)
                    var = var + share * self.cov[place(n, int(i), int(j))]
        return Mixture(self.weight, mean, np.sqrt(np.maximum(var, 1e-300)))

    def of(self, **coefficients: float) -> Floats:
        """Coefficients by the states' names; those that the clock has not are left out."""
        row = np.zeros(len(self.prior.names))
        for name, value in coefficients.items():
            if self.prior.has(name):
                row[self.prior.place(name)] = value
        return row

    def expected(self, values: Floats) -> float:
        """The mean over the mixture of a quantity (M,) of each normal."""
        return float((self.weight * values).sum())

    def moments(self, name: str) -> tuple[float, float]:
        """Mean and standard deviation of one state."""
        return self.mixture(Asked(self.of(**{name: 1.0}))).moments

    @cached_property
    def stray_sd(self) -> float:
        """How far the rate strays with a temperature nobody logs, in s/day."""
        if not self.prior.has("b"):
            return self.prior.stray_sd
        mean, sd = self.moments("b")
        return math.hypot(mean, sd) * self.line.room.sd_c

    def noise(self, weight: Floats | None = None) -> Noise:
        """The noise that the posterior expects, or the mean of it by other weights (M,)."""
        share = self.weight if weight is None else weight / weight.sum()
        warmth = self.moments("b")[0] if self.prior.has("b") else 0.0
        white, walk, reading = (float((share * each).sum()) for each in (self.white, self.walk, self.reading))
        return Noise(white, walk, reading, warmth)

    def noises(self) -> list[tuple[float, Noise]]:
        """Three noises and their weights, which stand for all: middling, calm, restless (Gauss-Hermite over log q1)."""
        if self.prior.q1 <= 0:
            return [(1.0, self.noise())]
        level = 0.5 * np.log(self.white)
        mean = self.expected(level)
        sd = math.sqrt(self.expected((level - mean) ** 2))
        if sd < _SURE_OF_NOISE:
            return [(1.0, self.noise())]
        found = []
        for node, share in ((0.0, 2 / 3), (-math.sqrt(3.0), 1 / 6), (math.sqrt(3.0), 1 / 6)):
            near = self.weight * np.exp(-0.5 * ((level - mean - node * sd) / (sd / 2)) ** 2)
            if near.sum() > 0:
                found.append((share, self.noise(near)))
        whole = sum(share for share, _ in found)
        return [(share / whole, noise) for share, noise in found]

    def error_ahead(self, day: float) -> Asked:
        """The error at `day`, at or after the last step, the clock going on as it does and wound when due."""
        start = self.last_day
        span = max(day - start, 0.0)
        winds = self.line.winds_to_come(day)
        c = float(winds) if self.line.lossy else self.line.curve_between(start, day)
        degree_days, unlogged = self.line.warmth_ahead(start, day)
        _, enters, xx, _, _ = (float(one) for one in straying(np.array(unlogged), self.stray_sd))
        of = self.of(x=1.0, y=span, v=enters, b=-degree_days, c=c)
        var = xx + winds * LOSS_SCATTER_S**2
        if not self.prior.has("v"):
            var += (enters * self.stray_sd) ** 2
        return Asked(of, white=span, walk=span**3 / 3, var=var)

    def rate_ahead(self, day: float, winding_share: float) -> Asked:
        """The rate at `day`; `winding_share` winds a day belong to the mean of a clock that they cost time."""
        span = max(day - self.last_day, 0.0)
        keep, _, _, _, vv = (float(one) for one in straying(np.array(span), self.stray_sd))
        at_20 = self.prior.has("b")
        # a thermometer that is read once a day doesn't tell the day's mean
        unread = (math.hypot(*self.moments("b")) * _THERMOMETER_C) ** 2 if at_20 else 0.0
        of = self.of(y=1.0, v=0.0 if at_20 else keep, c=winding_share if self.line.lossy else 0.0)
        return Asked(of, walk=span, var=unread if at_20 or not self.prior.has("v") else vv)
