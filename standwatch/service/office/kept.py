"""An assessment that is kept, and whether it may still be shown."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.estimate.learned import Learned
from standwatch.judge.assessment import Assessment
from standwatch.service.office.around import Around
from standwatch.service.office.shelf import ClockFacts


@dataclass(frozen=True, slots=True)
class Kept:
    """An assessment and what it was worked out from; `around` is its own."""

    facts: ClockFacts
    rails: frozenset[str]
    around: Around
    learned: Learned
    now: datetime
    assessment: Assessment

    def good_for(self, facts: ClockFacts, now: datetime, around: Around, learned: Learned, keep: timedelta) -> bool:
        """Whether it rests on the same facts, the clock's own and the stand's, and is up to `keep` old."""
        if not timedelta() <= now - self.now <= keep:
            return False
        if self.assessment.estimates.history.home_since is not None:
            return False  # it also rests on what others tell from home
        own = around.of_clock(facts.clock.body.tag, self.rails)
        return self.facts is facts and self.learned == learned and self.around == own
