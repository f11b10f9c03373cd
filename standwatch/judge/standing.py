"""Where a clock stands, in order of precedence."""

from __future__ import annotations

from standwatch.judge.phases import Phase
from standwatch.judge.settling import settling_until
from standwatch.judge.situation import Situation
from standwatch.model.words import Standing


def standing_of(situation: Situation) -> Standing:
    """Released, attention, settling, ready or on test."""
    if situation.phase is not Phase.ON_STAND:
        return Standing.RELEASED
    stands = situation.case.going.hangs is not None or bool(situation.hangs_out)
    if stands or situation.unexplained or situation.slipped or situation.missed:
        return Standing.ATTENTION
    if settling_until(situation.case) is not None:
        return Standing.SETTLING
    return Standing.READY if situation.complete else Standing.ON_TEST
