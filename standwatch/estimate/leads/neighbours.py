"""Neighbours on one rail: near-equal pendulums that pass swing to each other, or are too near to tell from drift."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import numpy as np

from standwatch.estimate.answers import Lead, SwingReading
from standwatch.estimate.beside import NEAR_S_PER_DAY
from standwatch.estimate.history import History
from standwatch.estimate.leads.evidence import Evidence, Neighbour
from standwatch.estimate.swing import swing_of
from standwatch.horology.pendulum import exchange_hours
from standwatch.model.answers import Quantity

TOGETHER = timedelta(hours=2)
"""Swings read within one round."""
LEAST_PAIRS = 6
CHANCE = 0.01
SCATTER = 0.03
"""What readings of a steady swing scatter by (common practice: 3 %); alternation shows only over that."""
LOOK_BACK = timedelta(days=7)
_DRIFTS = 2.5
"""Standard doubts from which a drift is plain."""
_NEAR_ODDS = 0.7
"""How often drift beside so near a neighbour goes when they are set apart (common practice, a guess)."""


def neighbours(evidence: Evidence) -> Lead | None:
    """Swings of two neighbours that rise and fall by turns, or a drift beside one that is within two s/day."""
    found = [lead for each in evidence.neighbours for lead in (_by_turns(evidence, each), _too_near(evidence, each))]
    return max((lead for lead in found if lead is not None), key=lambda lead: lead.odds, default=None)


def _by_turns(evidence: Evidence, other: Neighbour) -> Lead | None:
    """Swings read in one round, each against its own trend: the one wide where the other is low, beyond chance."""
    pairs = _read_together(evidence.swing.readings, swing_of(other.history).readings)
    if len(pairs) < LEAST_PAIRS:
        return None
    days = np.array([(at - pairs[0][0]) / timedelta(days=1) for at, _, _ in pairs])
    ours, theirs = (np.log(np.array([pair[n] for pair in pairs])) for n in (1, 2))
    ours, theirs = (each - np.polyval(np.polyfit(days, each, 1), days) for each in (ours, theirs))
    if min(float(ours.std()), float(theirs.std())) < SCATTER:
        return None
    r = float((ours * theirs).mean() / (ours.std() * theirs.std()))
    if r >= 0:
        return None
    z = math.atanh(min(-r, 0.999)) * math.sqrt(len(pairs) - 4)  # Fisher's z; a trend each is taken off
    p = max(0.5 * math.erfc(z / math.sqrt(2)), 1e-6)
    if p >= CHANCE:
        return None
    odds = 1 / (1 - math.e * p * math.log(p))  # Sellke, Bayarri and Berger 2001, as for stops
    every = ""
    apart = _apart(evidence, other)
    if apart is not None and abs(apart) > NEAR_S_PER_DAY:
        hours = exchange_hours(evidence.history.traits.beats_per_hour, apart)
        every = f", about every {hours:.0f} h by their rates" if hours >= 1 else ""
    text = (
        f"its swing and that of {_name(other.history)} rise and fall by turns{every}: "
        "they share a rail; separate them and run again"
    )
    return Lead("neighbours", odds, text)


def _too_near(evidence: Evidence, other: Neighbour) -> Lead | None:
    """A plain drift while the neighbour keeps within two s/day of it."""
    drift, apart = evidence.time.drift, _apart(evidence, other)
    if not isinstance(drift, Quantity) or apart is None or abs(apart) >= NEAR_S_PER_DAY:
        return None
    if abs(drift.estimate) * 1.96 < _DRIFTS * drift.doubt:
        return None
    text = (
        f"its rate drifts, and {_name(other.history)} on the same rail is within "
        f"{max(abs(apart), 0.1):.1f} s/day of it: coupling looks like that; isolate it before judging"
    )
    return Lead("neighbours", _NEAR_ODDS, text)


def _apart(evidence: Evidence, other: Neighbour) -> float | None:
    """How many s/day it gained on its neighbour over the last week that both were read; None where that is unknown.

    Where something stepped the error in that week (a wind without maintaining power, say), by the rates as they are.
    """
    ours, theirs = evidence.history.readings, other.history.readings
    if not ours or not theirs:
        return None
    end = min(ours[-1].at, theirs[-1].at)
    start = end - LOOK_BACK
    opened = [b.at for history in (evidence.history, other.history) for b in history.breaks if b.error_sd_s > 0]
    if max(ours[0].at, theirs[0].at) > start or any(start <= at <= end for at in opened):
        rates = evidence.time.rate, other.time.rate
        known = [rate.estimate for rate in rates if isinstance(rate, Quantity)]
        return known[0] - known[1] if len(known) == len(rates) else None
    days = LOOK_BACK / timedelta(days=1)
    grown = [_error(each, end) - _error(each, start) for each in (evidence, other)]
    apart = (grown[0] - grown[1]) / days
    return None if math.isnan(apart) else apart


def _error(of: Evidence | Neighbour, at: datetime) -> float:
    told = of.time.error_at(at)
    return told.estimate if isinstance(told, Quantity) else math.nan


def _read_together(
    ours: tuple[SwingReading, ...], theirs: tuple[SwingReading, ...]
) -> list[tuple[datetime, float, float]]:
    """Swings of both read within one round: (when, degrees, degrees)."""
    found = []
    for reading in ours:
        near = min(theirs, key=lambda each: abs(each.at - reading.at), default=None)
        if near is not None and abs(near.at - reading.at) <= TOGETHER:
            found.append((reading.at, reading.degrees, near.degrees))
    return found


def _name(history: History) -> str:
    return f"{history.clock.tag} in {history.position}" if history.position else history.clock.tag
