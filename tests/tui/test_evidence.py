"""What was observed against what is wanted, in a few words."""

from __future__ import annotations

from standwatch.judge.assessment import Verdict
from standwatch.model.words import Outcome, Requirement
from standwatch.tui.draw.needed import evidence


def test_a_moon_is_told_to_a_tenth_of_a_day() -> None:
    verdict = Verdict(Requirement.MOON, Outcome.MET, 0.0306, 1.0, "0.0 d off the sky over 13 days", None, "d")
    assert evidence(verdict) == "0.0 of 1 d"
