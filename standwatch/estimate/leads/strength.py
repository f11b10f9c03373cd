"""How strong a pattern is: Bayes' rule between a fault and what sound clocks do as well.

What sound clocks do, and how often a clock on the stand has the fault, is common practice throughout.
"""

from __future__ import annotations

import math

from standwatch.model.answers import Z95, Quantity


def standard(quantity: Quantity) -> float:
    """The standard doubt of an estimate."""
    return quantity.doubt / Z95


def odds_of(prior: float, likelihood_ratio: float) -> float:
    """The probability of a fault that `prior` of all clocks have, seen what it makes so many times likelier."""
    return prior * likelihood_ratio / (prior * likelihood_ratio + 1 - prior)


def odds_over(value: float, least: float, sd: float) -> float:
    """The probability that what was measured as `value` with standard doubt `sd` is over `least`."""
    return 0.5 * math.erfc((least - value) / (sd * math.sqrt(2)))


def odds_beyond(
    effect: float, sd: float, *, usual: float, faulty: float, prior: float, both_ways: bool = False
) -> float:
    """The probability that an effect measured as `effect` +- `sd` is a fault's, and no sound clock's.

    Of sound clocks it scatters about 0 by `usual`; a fault adds to it one way, towards +, by a half normal of scale
    `faulty`, or `both_ways` by a whole one. `prior` of all clocks have the fault. All in one unit; standard deviations.
    """
    narrow = math.hypot(sd, usual)
    wide = math.hypot(narrow, faulty)
    tail = 0.5 if both_ways else 0.5 * math.erfc(-effect * faulty / (narrow * wide * math.sqrt(2)))
    log_ratio = math.log(2 * tail * narrow / wide) if tail > 0 else -math.inf
    log_ratio += 0.5 * effect * effect * (narrow**-2 - wide**-2)
    return odds_of(prior, math.exp(min(log_ratio, 50.0)))
