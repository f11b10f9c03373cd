"""Leads: patterns that a restorer would look into, each a small rule over the evidence of one clock.

A rule says what it saw, how strong that is, and where to look next, or nothing. It never judges: what may go home is
the requirements' matter.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from standwatch.estimate.answers import Lead
from standwatch.estimate.leads import bob, chime, cold, falls, neighbours, oil, rate, stops, strike, swing
from standwatch.estimate.leads.evidence import Evidence

Rule = Callable[[Evidence], Lead | None]

LEAST_ODDS = 0.6
"""What is less likely than this is not worth an open case (common practice: two in three)."""
MOST_ODDS = 0.99
"""No pattern is surer than this: a lead is never a verdict."""

RULES: tuple[Rule, ...] = (
    swing.swing_falls,
    swing.swing_low_at_end,
    stops.same_minute,
    stops.before_hour,
    stops.same_hour,
    stops.same_height,
    stops.scattered,
    bob.bob_window,
    falls.strike_stuck,
    falls.strike_runs_on,
    falls.strike_lacks,
    falls.chime_stuck,
    falls.chime_runs_on,
    chime.weights_exchanged,
    rate.rate_after_move,
    rate.rate_with_wind,
    rate.steps,
    rate.rate_creeps,
    strike.strike_early_or_late,
    strike.strike_slow,
    strike.strike_off_by_constant,
    oil.oil_dark,
    cold.cold,
    neighbours.neighbours,
)


def leads_of(evidence: Evidence) -> tuple[Lead, ...]:
    """The leads of one clock, strongest first; of equals in the table's order.

    None of a reference, nor of a clock at its owner's, where nobody can look.
    """
    if evidence.history.traits.reference or evidence.history.home_since is not None:
        return ()
    found = [lead for rule in RULES if (lead := rule(evidence)) is not None and lead.odds >= LEAST_ODDS]
    capped = [replace(lead, odds=min(lead.odds, MOST_ODDS)) for lead in found]
    return tuple(sorted(capped, key=lambda lead: -lead.odds))
