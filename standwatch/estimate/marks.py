"""What may go wrong with a train between two readings, and how often: assumptions tried on simulated stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from standwatch.estimate.telling import Row

Mark = Literal["", "stuck", "on"]

STUCK_A_DAY = 0.006
STUCK_SHARES = (0.1, 0.3, 0.5, 0.7, 0.9)
STUCK_BEFORE = 0.0006
"""How often a train stuck so shortly before the last reading that its weight didn't show it: a tenth of a day."""
ON_A_DAY = 0.002
ON_DAYS = ((0.3, 0.15), (0.8, 0.25), (1.6, 0.4))
"""How far a train ran on, in days' fall, and the standard deviation about each."""
ON_REST = (0.7, 0.2)
"""Or most of the rest, as shares of it."""
GOES_AGAIN = 0.03
"""How often a stuck train goes again between two readings, nobody telling why."""
HEARD_BUT_STUCK = 0.02
"""How often a train that was heard is stuck all the same: heard wrong, or another clock's."""
SURELY = 2.5
"""A weight is at its floor where it would be so many standard doubts below."""
NEAR_FLOOR_MM = 10.0
"""A reading so near the floor is no reading of speed."""
FITS_WELL = 5.0
"""A reading is not split where all else is so much less likely than sound (natural logarithm of the odds)."""
MOST_ROWS = 16
LEAST_WEIGHT = 1e-5


@dataclass(slots=True)
class Marked:
    """A telling, its mark, and between which times that began. `wound` are the odds of an untold wind just now.

    `sound`: in it the reading just weighed is sound, and has still to be taken in.
    """

    row: Row
    mark: Mark = ""
    since: tuple[datetime, datetime] | None = None
    wound: bool = False
    sound: bool = False

    def otherwise(self, odds: float) -> Marked:
        """The same with `odds` (natural logarithm) more, and nothing taken in."""
        row = self.row.copy()
        row.log_weight += odds
        return Marked(row, self.mark, self.since)


@dataclass(frozen=True, slots=True)
class Way:
    """What lies between two readings: from when to when, and the train's days in it.

    `days` as its clock counts, `still` what of them goes on though the train is stuck (an endless chain's time),
    `loose` within how many more it may have run, `shown` the days up to which it was heard running. `untold` is the
    probability that somebody wound it in between, and `since_untold()` mean and variance of the days from such a wind
    on; `faults` whether it can go wrong at all (the going train can't).
    """

    start: datetime
    end: datetime
    days: float
    still: float
    loose: float
    shown: float | None
    untold: float
    since_untold: Callable[[], tuple[float, float]]
    faults: bool
