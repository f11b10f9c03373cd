"""How restless a clock may be: a grid of factors on its kind's noise, and what is believed of each before any reading.

Three factors multiply the standard deviations of white frequency noise, random-walk frequency noise and reading. Their
logarithms are normal from clock to clock; three Gauss-Hermite nodes each stand for that, since the answers are
averages over it. Two members more stand for a clock unlike its kind, that wanders far more than any sound one: without
them half its readings would pass for misread. And three for a clock that is minutes a day out, as one may be that was
just hung: without them a straight line far from any limit would pass for misread.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.learned import NoiseShift

Floats = NDArray[np.float64]

SPREAD = (0.40, 0.45, 0.22)
"""Standard deviations of the three factors' logarithms, from one clock of a kind to the next (common practice)."""
_NODES, _WEIGHTS = (-math.sqrt(3.0), 0.0, math.sqrt(3.0)), (1 / 6, 2 / 3, 1 / 6)
_WILD = ((4.0, 0.004), (12.0, 0.002))
"""Factors on q1 and q2 of a clock that is not well, and how many such there are."""
_FAR_SHARE, FAR_RATE_SD = 0.03, 600.0
"""How many clocks are far out, and by how much, in s/day."""
_FAR_FACTORS = (0.5, 1.0, 2.0)
AS_THE_KIND = NoiseShift(1.0, 1.0, 1.0, 0)


@dataclass(frozen=True, slots=True)
class Grid:
    """G members: factors (G,) on the variances q1, q2 and r, the log of each member's prior, and its least rate_var.

    rate_var (G,) in (s/day)^2: where a kind's clocks are thought to lie nearer, these members think otherwise.
    """

    white: Floats
    walk: Floats
    reading: Floats
    log_prior: Floats
    rate_var: Floats

    @property
    def members(self) -> int:
        """G."""
        return len(self.log_prior)


def grid(shift: NoiseShift = AS_THE_KIND) -> Grid:
    """The 32 members about the kind's noise, or about what the shop's clocks have taught of it.

    27 are the products of three Gauss-Hermite nodes an axis (Abramowitz and Stegun 25.4.46, from memory), two are wild,
    three far out, with the same nodes in common for q1 and q2.
    """
    logs = np.meshgrid(*(sd * np.array(_NODES) for sd in SPREAD), indexing="ij")
    odd = np.log([*(factor for factor, _ in _WILD), *_FAR_FACTORS])
    none = np.zeros(len(odd))
    white, walk, reading = (np.append(log.ravel(), more) for log, more in zip(logs, (odd, odd, none), strict=True))
    weights = np.einsum("i,j,k->ijk", _WEIGHTS, _WEIGHTS, _WEIGHTS).ravel()
    rest = [*(share for _, share in _WILD), *(_FAR_SHARE * weight for weight in _WEIGHTS)]
    far = np.zeros(len(white))
    far[-len(_FAR_FACTORS) :] = FAR_RATE_SD**2
    return Grid(
        np.exp(2 * white) * shift.white**2,
        np.exp(2 * walk) * shift.walk**2,
        np.exp(2 * reading) * shift.reading**2,
        np.log(np.append(weights * (1 - sum(rest)), rest)),
        far,
    )


def one_member() -> Grid:
    """The kind's own noise and nothing else."""
    one = np.ones(1)
    return Grid(one, one, one, np.zeros(1), np.zeros(1))
