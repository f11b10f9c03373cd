"""What a requirement is judged on: one clock's estimates, its running, and the shop's rounds."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from standwatch.estimate.answers import Estimates
from standwatch.estimate.going import Going, Wind
from standwatch.estimate.history import History
from standwatch.horology.kinds import Traits
from standwatch.horology.rounds import Rounds
from standwatch.model.words import Train, Work


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

    def winds_of(self, train: Train) -> tuple[Wind, ...]:
        """The winds of `train` whose evidence counts, oldest first, as far as they are unaided.

        Where its weight betrays that somebody wound and told nobody, the run is shown only up to the fact before.
        """
        return tuple(self.unaided(wind) for wind in self.going.winds_of(train))

    def unaided(self, wind: Wind) -> Wind:
        """`wind` as far as nobody helped it on, by the work that its weight betrays."""
        untold = [work.at for work in self.estimates.suspected_work if work.what is Work.WOUND]
        inside = [at for at in untold if wind.wound_at < at and (wind.ended_at is None or at <= wind.ended_at)]
        raised = next((at for at in inside if not self._fell_on(wind, at)), None)
        if raised is None:
            return wind
        shown = tuple(at for at in wind.shown if at < raised)
        last = shown[-1] if shown else wind.base
        return replace(wind, shown=shown, shown_until=last, ended_at=last, ran_out_at=None, ran_in_time=False)

    def _fell_on(self, wind: Wind, at: datetime) -> bool:
        """Whether this train's own weight hangs lower at `at` than it last did: another was wound, not it."""
        read = [(v.at, fall) for v in self.history.visits if (fall := v.row.fall_mm(wind.train)) is not None]
        falls = [(read_at, fall) for read_at, fall in read if wind.wound_at < read_at <= at]
        return len(falls) > 1 and falls[-1][0] == at and falls[-1][1] > falls[-2][1]
