"""What a release's page is about: a clock, what is asked of it, and the waivers that will go with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from standwatch.judge.assessment import DONE, Assessment, Verdict
from standwatch.model.words import NEVER_WAIVED, REQUIREMENT_NAMES, Outcome, Requirement, Standing
from standwatch.service.after.leaving import Leaving, as_judged
from standwatch.tui.draw.needed import evidence

OUTCOMES = {
    Outcome.MET: "met",
    Outcome.MISSED: "missed",
    Outcome.NOT_YET_KNOWN: "not yet",
    Outcome.WAIVED: "waived",
    Outcome.NOT_APPLICABLE: "n/a",
}
_ORDER = [Outcome.MISSED, Outcome.NOT_YET_KNOWN, Outcome.WAIVED, Outcome.MET, Outcome.NOT_APPLICABLE]
_LATE = timedelta(days=36_500)


@dataclass(frozen=True, slots=True)
class Asked:
    """One clock before its release, or after it: what was found, and the waivers that will go with it.

    `leaving` is None until it is worked out. `full`: all of it in sentences, from line `first` on.
    """

    found: Assessment
    now: datetime
    zone: ZoneInfo
    waive: Mapping[Requirement, str]
    chosen: int = 0
    leaving: Leaving | None = None
    full: bool = False
    first: int = 0

    @property
    def verdicts(self) -> tuple[Verdict, ...]:
        """What remains first, soonest day first; then what is done. Of a clock let go, as its record has them."""

        def key(verdict: Verdict) -> tuple[int, timedelta]:
            wait = verdict.earliest - self.now if verdict.earliest is not None else _LATE
            return _ORDER.index(verdict.outcome), wait if verdict.outcome not in DONE else timedelta()

        record = self.leaving.record if self.leaving is not None and self.released else None
        return tuple(sorted(self.found.verdicts if record is None else as_judged(record), key=key))

    @property
    def rows(self) -> tuple[Verdict, ...]:
        """Those that apply to it: a line each, one of them chosen."""
        return tuple(v for v in self.verdicts if v.outcome is not Outcome.NOT_APPLICABLE)

    @property
    def open(self) -> tuple[Verdict, ...]:
        """What is neither met, waived nor not applicable."""
        return tuple(v for v in self.verdicts if v.outcome not in DONE and v.requirement not in self.waive)

    @property
    def released(self) -> bool:
        """Already let go, or gone home."""
        return self.found.standing is Standing.RELEASED

    @property
    def at_home(self) -> bool:
        """At its owner's."""
        return self.found.estimates.history.home_since is not None

    @property
    def may_go(self) -> bool:
        """Nothing is in the way of a release."""
        still = self.found.going.hangs is not None
        stops = all(stop.explained or stop.in_time for stop in self.found.going.stops)
        return not self.released and not self.open and not still and stops

    @property
    def word(self) -> str:
        """What is large: HOLD, MAY GO, LET GO or HOME."""
        if self.released:
            return "HOME" if self.at_home else "LET GO"
        return "MAY GO" if self.may_go else "HOLD"


def name_of(requirement: Requirement) -> str:
    """Its name, with * where it is never waived."""
    return REQUIREMENT_NAMES[requirement] + (" *" if requirement in NEVER_WAIVED else "")


def reason_of(verdict: Verdict) -> str:
    """Why, and what is asked where that is not the kind's own default."""
    return verdict.told or evidence(verdict)
