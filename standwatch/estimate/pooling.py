"""One number from many that should agree, when some of them may be wrong and none may decide alone."""

from __future__ import annotations

import math
from collections.abc import Sequence

FEWEST = 5
"""What is shared must be said by so many clocks at least."""
_MEDIAN_LOSS = math.pi / 2
"""The variance of a median over that of a mean, of normal values."""


def pooled(values: Sequence[float], sds: Sequence[float], *, fewest: int = FEWEST) -> tuple[float, float]:
    """The weighted median of `values` with standard doubts `sds`, and its standard error.

    No value weighs more than the finest but `fewest` - 1: one fine clock must not speak for a whole stand.
    """
    floor = sorted(sds)[:fewest][-1]
    weights = [1 / max(sd, floor) ** 2 for sd in sds]
    total = sum(weights)
    half, gathered = total / 2, 0.0
    ordered = sorted(zip(values, weights, strict=True))
    for place, (value, weight) in enumerate(ordered):
        gathered += weight
        if math.isclose(gathered, half) and place + 1 < len(ordered):
            return (value + ordered[place + 1][0]) / 2, math.sqrt(_MEDIAN_LOSS / total)
        if gathered > half:
            return value, math.sqrt(_MEDIAN_LOSS / total)
    raise ValueError("nothing to pool")


def weighted_mean(values: Sequence[float], sds: Sequence[float]) -> tuple[float, float]:
    """The mean of `values` weighted by 1/sd², and its standard error, widened where they scatter more than that.

    The widening is Birge's ratio (R. T. Birge, Phys. Rev. 40 (1932) 207, from memory), never under one.
    """
    weights = [1 / sd**2 for sd in sds]
    total = sum(weights)
    mean = sum(w * v for w, v in zip(weights, values, strict=True)) / total
    chi2 = sum(w * (v - mean) ** 2 for w, v in zip(weights, values, strict=True))
    return mean, math.sqrt(max(1.0, chi2 / max(len(values) - 1, 1)) / total)
