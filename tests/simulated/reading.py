"""A person reading a clock: the doubt of each way, the step in which it is told, and the blunders.

The standard doubts are common practice (INTERFACES: `read_by`): seconds hand 0.5 s, minute hand 5 s, first blow 2.5 s
(7 s on short pendulums), an estimate 15 s.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standwatch.model.words import ReadBy
from tests.simulated.physics import Bools, Floats


@dataclass(frozen=True)
class Way:
    """One way of reading: its standard doubt and the step to which it is told, both in s."""

    doubt_s: float
    step_s: float


WAYS = {
    ReadBy.SECONDS_HAND: Way(0.5, 0.1),
    ReadBy.MINUTE_HAND: Way(5.0, 1.0),
    ReadBy.FIRST_BLOW: Way(2.5, 0.5),
    ReadBy.ESTIMATE: Way(15.0, 5.0),
}
MOST_S = 21600.0
"""A dial can't tell more: six hours either way."""

# How a reading goes wrong, and how often of those that do (common practice: mostly a minute).
MINUTE, TWO_MINUTES, SIGN, SECONDS_AS_MINUTES, HOUR = range(5)
SHARES = (0.65, 0.10, 0.10, 0.08, 0.07)


def told(errors: Floats, doubt_s: Floats, step_s: float, rng: np.random.Generator) -> Floats:
    """The errors as read: with chance of `doubt_s` (one a clock), to the nearest `step_s`."""
    seen = errors + doubt_s[:, None] * rng.standard_normal(errors.shape)
    return np.asarray(np.round(seen / step_s) * step_s)


def spoiled(readings: Floats, share: float, rng: np.random.Generator) -> tuple[Floats, Bools]:
    """The readings with the `share` of them blundered, and which those are."""
    wrong = rng.random(readings.shape) < share
    what = rng.choice(len(SHARES), size=readings.shape, p=SHARES)
    sign = rng.choice((-1.0, 1.0), size=readings.shape)
    bad = np.choose(
        what,
        [readings + 60 * sign, readings + 120 * sign, -readings, 60 * readings, readings + 3600 * sign],
    )
    return np.clip(np.where(wrong, bad, readings), -MOST_S, MOST_S), wrong
