"""Probability that a value conforms to a limit (JCGM 106:2012, clause 7), for a normal state of knowledge."""

from __future__ import annotations

import math


def normal_below(value: float) -> float:
    """The standard normal distribution function."""
    return 0.5 * math.erfc(-value / math.sqrt(2))


def conformance(estimate: float, sd: float, low: float = -math.inf, high: float = math.inf) -> float:
    """Probability that the true value lies from `low` to `high`; one-sided where one of them is left infinite.

    `sd` is the standard uncertainty of `estimate`, same unit; 0 says that it is known.
    """
    if sd <= 0:
        return 1.0 if low <= estimate <= high else 0.0
    # from the nearer tail, so that small probabilities keep their digits
    if estimate - low < high - estimate:
        return max(0.0, normal_below((estimate - low) / sd) - normal_below((estimate - high) / sd))
    return max(0.0, normal_below((high - estimate) / sd) - normal_below((low - estimate) / sd))
