"""A reading that the others contradict, in words: what it is held against."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from standwatch.estimate.answers import Estimates, Suspect
from standwatch.model.answers import NotYetKnown
from standwatch.model.units import error_words


def held_against(estimates: Estimates, suspect: Suspect) -> str:
    """ "0:12 fast by the other readings"; or, where no sound reading tells the error then, why none does."""
    time = estimates.time
    if not isinstance(time.error_at(suspect.at), NotYetKnown):
        return f"{error_words(suspect.expected_s)} by the other readings"
    begun = [b.at for b in estimates.history.breaks if b.error_sd_s == float("inf")]
    alike = [s for s in time.suspects if _run(s, begun) == _run(suspect, begun)]
    if len(alike) > 1:
        return f"one of {len(alike)} readings that contradict each other"
    run = " of this run" if _run(suspect, begun) else ""
    return f"hard to believe, and no other reading{run} to tell by"


def _run(suspect: Suspect, begun: Sequence[datetime]) -> int:
    return sum(at <= suspect.at for at in begun)
