"""What a rule for a lead looks at."""

from __future__ import annotations

from dataclasses import dataclass

from standwatch.estimate.answers import Power, Swing, Timekeeping
from standwatch.estimate.history import History


@dataclass(frozen=True, slots=True)
class Evidence:
    """One clock's facts and what was worked out from them, as of the history's `now`."""

    history: History
    time: Timekeeping
    power: Power
    swing: Swing
