"""Blows or notes left out a few at a time: what a weight's readings of one wind add up to against the winds before.

Each stretch of a wind from one reading to the latest is held against the speed that the winds before taught, if three
steps or more lie in it. A lack in one step alone is no such lack, nor is one that somebody winding may have made.
"""

from __future__ import annotations

import math

from standwatch.estimate.marked import MarkedWeight
from standwatch.estimate.marks import Way
from standwatch.estimate.telling import TOP_MM

SDS = 4.0
"""A lack is worth a word from so many standard doubts."""
STEPS = 3
READING_SD_MM = 4.5
START_SD_MM = 7.0
"""How well a wind to the top tells where the weight then is, on this scale."""
SPEED_SD = 0.006
"""A weight's speed differs by this share from one stretch of its way to the next."""
SHORT_SHARE = 0.6
"""So many of the steps are short, each by half its even share of the lack."""
MOST_IN_ONE = 0.7
"""More than this share of the lack in one step is a train that was stuck for a time."""
MOST = 0.5
PRIOR = 0.01
NO_WIND = 0.1
"""The odds of an untold wind in the stretch, at most."""
NAMED = 0.6
SAME_DAYS = 0.02
"""Readings closer than this are one, looked at again."""


class Lacking:
    """The readings of one wind, and how the weight would go by the winds before."""

    def __init__(self) -> None:
        self._usual: MarkedWeight | None = None
        self._winds_read = 0
        self._named = False
        self.begin()

    def begin(self) -> None:
        """A new stretch, from nobody knows where."""
        self._reads: list[list[float]] = []  # of one moment
        self._due: list[tuple[float, float]] = []  # in the step to each reading: mm, and its sd from the speed
        self._wound: list[float] = []
        self._mm, self._sd, self._untold, self._days = 0.0, 0.0, 0.0, 0.0
        self._from_top = False

    def wind(self, weight: MarkedWeight, raised: float | None) -> None:
        """Wound: a new stretch. The speed before a lack was named stays what it is held against."""
        self._winds_read += len(self._reads) > 1 + self._from_top
        if self._named and self._usual is not None:
            self._usual.wind(raised)
        elif self._winds_read:
            self._usual = weight.as_it_goes()
        self.begin()
        if raised is None:
            self._from_top = True
            self.read(TOP_MM)

    def go(self, way: Way, wound: float) -> None:
        """It should have gone this way; `wound` are the odds that somebody wound it meanwhile."""
        if self._usual is not None:
            mm, sd = self._usual.movement(way.days)
            self._mm, self._sd = self._mm + mm, self._sd + sd
            self._usual.advance(way)
        self._untold += wound
        self._days += way.days

    def read(self, mm: float) -> None:
        """It was read at `mm`."""
        if len(self._reads) > self._from_top and self._days < SAME_DAYS:
            self._reads[-1].append(mm)
            return
        self._reads.append([mm])
        self._due.append((self._mm, self._sd))
        self._wound.append(self._untold)
        self._mm, self._sd, self._untold, self._days = 0.0, 0.0, 0.0, 0.0

    def told(self) -> tuple[float, float, float]:
        """The odds that blows are left out, the mm missing over the stretch that says so, and the mm due in it."""
        best = (0.0, 0.0, 0.0)
        if self._usual is not None:
            for first in range(len(self._reads) - STEPS):
                best = max(best, self._stretch(first))
        self._named = self._named or best[0] >= NAMED
        return best

    def _stretch(self, first: int) -> tuple[float, float, float]:
        """The same of the readings from `first` on."""
        steps = range(first + 1, len(self._reads))
        falls = [sum(read) / len(read) for read in self._reads]
        short = [self._due[i][0] - (falls[i] - falls[i - 1]) for i in steps]
        lack, due = sum(short), sum(self._due[i][0] for i in steps)
        speed_sd = sum(self._due[i][1] for i in steps)
        start_sd = START_SD_MM if self._from_top and first == 0 else READING_SD_MM
        sd = math.sqrt(start_sd**2 + READING_SD_MM**2 + speed_sd**2 + (SPEED_SD * due) ** 2)
        if not SDS * sd < lack < MOST * due or sum(self._wound[i] for i in steps) > NO_WIND:
            return 0.0, 0.0, 0.0
        even = lack / len(short)
        if sum(s > even / 2 for s in short) < SHORT_SHARE * len(short) or max(short) > MOST_IN_ONE * lack:
            return 0.0, 0.0, 0.0
        return _odds(lack, sd, due), lack, due


def _odds(lack: float, sd: float, due: float) -> float:
    """Bayes' rule between nothing left out and any share of it up to MOST."""
    none = math.exp(-0.5 * (lack / sd) ** 2) / sd / math.sqrt(2 * math.pi)
    some = 1 / (MOST * due)
    return PRIOR * some / (PRIOR * some + (1 - PRIOR) * none)
