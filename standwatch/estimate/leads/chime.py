"""What chime and going weights betray of each other."""

from __future__ import annotations

import math
from datetime import datetime
from statistics import fmean

from standwatch.estimate.answers import Lead, SwingReading
from standwatch.estimate.history import Visit
from standwatch.estimate.leads.evidence import Evidence
from standwatch.estimate.leads.strength import odds_of
from standwatch.model.words import Chime, Train, Work

_PRIOR = 0.05
_LABOURS = 8.0
"""How much likelier a chime stays silent, or its weight hangs, with the lighter one (common practice)."""
HANGS = 0.6
"""From these odds on that it is stuck a chime's weight counts as one that labours."""
_HUNG_ANEW = frozenset({Work.MOVED, Work.CASED, Work.OPENED, Work.OILED})
"""After these the weights were off and hung again."""
_SAME_SD, _OTHER_SD = 0.05, 0.2
"""How much a swing (logarithm) differs from the clock's own before, and a clock's from its kind's usual."""


def weights_exchanged(evidence: Evidence) -> Lead | None:
    """The chime fails to run while the going train swings wider than its own weight would make it.

    The swing goes about by the root of the weight (common practice). Told only where the chime's weight is the heavier
    one and the start sheet says by how much.
    """
    clock, history = evidence.history.clock, evidence.history
    if Train.CHIME not in history.traits.trains or not clock.going_kg or not clock.chime_kg:
        return None
    wider = 0.5 * math.log(clock.chime_kg / clock.going_kg)
    hung = [v.at for v in history.visits if v.work in _HUNG_ANEW]
    since = [v for v in history.visits if not hung or v.at >= hung[-1]]
    labours = min(_silences(since) + _hangs(evidence, hung[-1] if hung else None), 2)
    now = [r for r in evidence.swing.readings if not hung or r.at > hung[-1]][-3:]
    if wider <= _SAME_SD or not labours or not now:
        return None
    before = [v.row.amplitude_deg for v in history.visits if v.row.amplitude_deg and hung and v.at < hung[-1]][-3:]
    usual, spread = (fmean(before), _SAME_SD) if before else (history.traits.kind.half_swing_deg, _OTHER_SD)
    seen, sd = _wider(now, usual, spread)
    ratio = math.exp((seen**2 - (seen - wider) ** 2) / (2 * sd**2))
    odds = odds_of(_PRIOR, ratio * _LABOURS**labours)
    text = (
        f"the chime fails to run and the going swings {100 * math.expm1(seen):.0f} % wider than usual: weights "
        "exchanged; look at their labels"
    )
    return Lead("weights-exchanged", odds, text)


def _silences(since: list[Visit]) -> int:
    """How often the chime should have run and didn't, since it was last heard to run well."""
    count = 0
    for visit in since:
        if visit.row.chime is Chime.IN_STEP or visit.work is Work.CHIME_SET:
            count = 0
        elif visit.row.chime is Chime.NOT_RUNNING and not visit.row.explained:
            count += 1
    return count


def _hangs(evidence: Evidence, hung: datetime | None) -> bool:
    """Whether the chime's weight hangs where it hung, though the clock went on, since the weights were hung anew."""
    wrong = next((wrong for wrong in evidence.wrong if wrong.train is Train.CHIME), None)
    if wrong is None or wrong.since is None or wrong.stuck < HANGS:
        return False
    return hung is None or wrong.since[1] > hung


def _wider(now: list[SwingReading], usual: float, spread: float) -> tuple[float, float]:
    """The logarithm of the swing over its usual, and its standard doubt."""
    seen = fmean(math.log(r.degrees / usual) for r in now)
    return seen, math.hypot(now[-1].doubt_deg / now[-1].degrees / math.sqrt(len(now)), spread)
