"""What the clocks of one stand say together: a jump that all share is the reference's, a loss of the steel is warmth.

The shapes that the estimators of single clocks take; `common_mode.py` fills them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class ReferenceJump:
    """From the readings of `at` on, every clock reads `seconds` (+ fast) more than it would: the reference stepped.

    `doubt_s` is its standard doubt, `clocks` how many of those read then share it.
    """

    at: datetime
    seconds: float
    doubt_s: float
    clocks: int


@dataclass(frozen=True, slots=True)
class Heating:
    """Since `since` the steel pendulums lose `loss_s_per_day` more together (+ loses), as `warmer_c` deg C would do it.

    `doubt_c` is the warmth's standard doubt, `clocks` how many share it.
    """

    since: datetime
    loss_s_per_day: float
    warmer_c: float
    doubt_c: float
    clocks: int


@dataclass(frozen=True, slots=True)
class Common:
    """What is shared, oldest first, and so not charged to each clock."""

    jumps: tuple[ReferenceJump, ...] = ()
    heating: Heating | None = None

    def until(self, at: datetime) -> Common:
        """What began up to `at`."""
        warm = self.heating if self.heating is None or self.heating.since <= at else None
        if warm is self.heating and (not self.jumps or self.jumps[-1].at <= at):
            return self
        return Common(tuple(jump for jump in self.jumps if jump.at <= at), warm)


NOTHING_SHARED = Common()
