"""How a clock's error and rate wander, and what a wind and a warm room do to them: many clocks at a time.

Units: seconds, days, s/day, deg C. Arrays are clocks x readings (or clocks x gaps between readings). Its own physics:
nothing is shared with the program's estimators but the published equations of the clock noise model, white and
random-walk frequency noise gathered over d days:

    Q11 = q1 d + q2 d^3/3,  Q12 = q2 d^2/2,  Q22 = q2 d        (q1 in s^2/day, q2 in (s/day)^2/day)

(the two-state clock model, e.g. Zucca and Tavella, IEEE Trans. UFFC 52 (2005) 289, from memory).
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Bools: TypeAlias = NDArray[np.bool_]


def wander(q1: Floats, q2: Floats, gaps: Floats, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """What chance adds to error (s) and rate (s/day) over each gap, drawn exactly from Q, however long the gap.

    `q1`, `q2` are variances, one a clock; `gaps` clocks x gaps in days, each over 0.
    """
    one, two = q1[:, None], q2[:, None]
    q11 = one * gaps + two * gaps**3 / 3
    q12 = two * gaps**2 / 2
    q22 = two * gaps
    first, second = rng.standard_normal((2, *gaps.shape))
    root = np.sqrt(q11)
    along = np.divide(q12, root, out=np.zeros_like(q12), where=root > 0)
    return root * first, along * first + np.sqrt(np.maximum(q22 - along**2, 0)) * second


def travelled(start: Floats, rate: Floats, gaps: Floats, errors: Floats, rates: Floats) -> tuple[Floats, Floats]:
    """Error and rate at each reading, from the first on.

    `start` and `rate` hold at the first reading; `errors` and `rates` are what each gap adds by itself, beside the
    rate's own running. A step at a reading belongs to the gap that begins there.
    """
    at_rates = np.concatenate([rate[:, None], rate[:, None] + np.cumsum(rates, axis=1)], axis=1)
    run = at_rates[:, :-1] * gaps + errors
    at_errors = np.concatenate([start[:, None], start[:, None] + np.cumsum(run, axis=1)], axis=1)
    return at_errors, at_rates


def wind_gain(since: Floats, until: Floats, period: float) -> Floats:
    """The integral of w(u) = 1/2 - u/period from `since` to `until` days after the same wind, in days.

    A spring gains when freshly wound and loses at the end (or the other way round: the sign is the clock's), and the
    mean over a wind is nought.
    """
    return (until - since) / 2 - (until**2 - since**2) / (2 * period)


def settling_lag(gaps: Floats, settles_d: float) -> Floats:
    """How many days of the new rate are missed over a gap that begins with a turn of the nut.

    The old rate gives way to the new one exponentially: the integral of exp(-t/settles_d) over the gap.
    """
    return settles_d * (1 - np.exp(-gaps / settles_d))
