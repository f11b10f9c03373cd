"""What past turns of the nut were to lead to, and what they led to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standwatch.estimate.answers import Estimates
from standwatch.judge.regulation import rate_after, turn_effect
from standwatch.model.answers import Answer, NotYetKnown

LEAST_READINGS = 2
"""Readings after the turn and its settling without which no rate is told: one shows an error only."""


@dataclass(frozen=True, slots=True)
class PastTurn:
    """One turn of the nut or index: how far it was told (+ raises the bob or goes towards faster; None: not told).

    `predicted` is the rate in s/day that was to follow, by what was known just before it; `became` the rate that
    followed, by the readings up to the next work that opened the rate.
    """

    at: datetime
    turns: float | None
    predicted: Answer
    became: Answer


def past_turn(at: datetime, turns: float | None, before: Estimates, later: Estimates) -> PastTurn:
    """The turn at `at`, from the estimates as they stood just before it and at the end of the rate that it began."""
    return PastTurn(at, turns, _predicted(before, turns), _became(later))


def _predicted(before: Estimates, turns: float | None) -> Answer:
    rate, effect = before.time.rate, turn_effect(before)
    if turns is None:
        return NotYetKnown("how far it was turned was not told")
    if isinstance(rate, NotYetKnown):
        return rate
    if effect is None:
        return NotYetKnown("what a turn does to this clock was not learned yet")
    return rate_after(rate, turns, effect)


def _became(later: Estimates) -> Answer:
    number = later.time.readings_since_rate_opened
    if number < LEAST_READINGS:
        return NotYetKnown(f"{number} of {LEAST_READINGS} readings since it settled")
    return later.time.rate
