"""The chi-square distribution with any number of degrees of freedom, whole or not."""

from __future__ import annotations

import math


def chi_square_below(x: float, freedom: float) -> float:
    """Probability that chi-square with `freedom` > 0 degrees of freedom is at most `x`.

    The series of the lower incomplete gamma function (Abramowitz and Stegun 6.5.29), whose terms are all positive.
    """
    if x <= 0:
        return 0.0
    a, half = freedom / 2, x / 2
    term = total = 1.0
    n = a
    while term > 1e-17 * total:
        n += 1
        term *= half / n
        total += term
    return min(math.exp(a * math.log(half) - half - math.lgamma(a + 1) + math.log(total)), 1.0)


def chi_square_quantile(chance: float, freedom: float) -> float:
    """The value that chi-square with `freedom` > 0 degrees of freedom stays under with probability `chance` (0 to 1).

    By bisection, to about 1e-12 of itself; never 0.
    """
    low, high = 0.0, freedom + 1.0
    while chi_square_below(high, freedom) < chance:
        low, high = high, 2 * high
    while high - low > 1e-13 * high:
        middle = (low + high) / 2
        if middle in {low, high}:
            break
        if chi_square_below(middle, freedom) < chance:
            low = middle
        else:
            high = middle
    return high
