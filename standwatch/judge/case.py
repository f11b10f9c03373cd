"""What a requirement is judged on: one clock's estimates, its running, and the shop's rounds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standwatch.estimate.answers import Estimates
from standwatch.estimate.going import Going
from standwatch.estimate.history import History
from standwatch.horology.kinds import Traits
from standwatch.horology.rounds import Rounds


@dataclass(frozen=True, slots=True)
class Case:
    """One clock before the judge, as of `now`."""

    estimates: Estimates
    going: Going
    rounds: Rounds

    @property
    def history(self) -> History:
        """The clock's facts."""
        return self.estimates.history

    @property
    def traits(self) -> Traits:
        """What holds for this clock."""
        return self.history.traits

    @property
    def now(self) -> datetime:
        """The time it is judged at, UTC."""
        return self.history.now
