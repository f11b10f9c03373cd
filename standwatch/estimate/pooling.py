"""One number from many that should agree, when some of them may be wrong and none may decide alone."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Values = Sequence[float] | NDArray[np.float64]

FEWEST = 5
"""What is shared must be said by so many clocks at least."""
_MEDIAN_LOSS = math.pi / 2
"""The variance of a median over that of a mean, of normal values."""


def pooled(values: Values, sds: Values, *, fewest: int = FEWEST) -> tuple[float, float]:
    """The weighted median of `values` with standard doubts `sds`, and its standard error. There must be one.

    No value weighs more than the finest but `fewest` - 1: one fine clock must not speak for a whole stand.
    """
    each, doubts = np.asarray(values, float), np.asarray(sds, float)
    floor = np.sort(doubts)[:fewest][-1]
    weights = 1 / np.maximum(doubts, floor) ** 2
    order = np.argsort(each, kind="stable")
    gathered = np.cumsum(weights[order])
    half = gathered[-1] / 2
    place = int(np.searchsorted(gathered, half * (1 - 1e-12)))
    error = math.sqrt(_MEDIAN_LOSS / gathered[-1])
    if math.isclose(gathered[place], half) and place + 1 < len(each):
        return float(each[order[place]] + each[order[place + 1]]) / 2, error
    return float(each[order[place]]), error


def weighted_mean(values: Values, sds: Values) -> tuple[float, float]:
    """The mean of `values` weighted by 1/sd², and its standard error, widened where they scatter more than that.

    The widening is Birge's ratio (R. T. Birge, Phys. Rev. 40 (1932) 207, from memory), never under one.
    """
    each, weights = np.asarray(values, float), 1 / np.asarray(sds, float) ** 2
    total = float(weights.sum())
    mean = float(weights @ each) / total
    chi2 = float(weights @ (each - mean) ** 2)
    return mean, math.sqrt(max(1.0, chi2 / max(len(each) - 1, 1)) / total)
