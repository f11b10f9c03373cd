"""Winds that nobody logged: a going weight found far higher than it can have been, and falling on from there.

The going weight alone tells: a strike or chime weight that hangs too high may be stuck.
"""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from standwatch.estimate.answers import SuspectedWork
from standwatch.estimate.falls import UNTOLD_WINDS_A_DAY
from standwatch.estimate.history import HUNG, History, Visit
from standwatch.estimate.power import fall_densities, fall_expected
from standwatch.estimate.telling import TOP_MM, TOP_SD_MM
from standwatch.estimate.winding import winds
from standwatch.model.answers import Quantity
from standwatch.model.units import DAY_S
from standwatch.model.words import Train, Work

LATELY = 20
"""Falls that are looked at: three winds."""
_CALLED = 0.9
"""Odds from which a wind that nobody logged is spoken of."""
_LEAST_MM = 30.0
"""Less than so much higher may be the reader's doubt (common practice)."""
_SURELY = 0.6
"""No weight falls slower than this share of its kind's speed."""
_MOST_UNTOLD = 0.2


def unlogged_winds(history: History) -> tuple[SuspectedWork, ...]:
    """The winds of the going train that its falls betray, oldest first; the amount is how many mm higher it hangs."""
    if not history.traits.weights or history.traits.usable_mm.get(Train.GOING, 0.0) <= 0:
        return ()
    read = [v for v in history.visits if v.row.going_mm is not None and v.work not in HUNG][-LATELY:]
    speed = _kind_speed(history)
    found = []
    for before, visit in pairwise(read):
        if _higher(history, before, visit, speed) and (work := _weighed(history, before, visit, speed)) is not None:
            found.append((visit, work))
    return tuple(work for visit, work in found if _goes_on(read, visit, work, speed))


def _kind_speed(history: History) -> float:
    traits = history.traits
    return traits.fall_mm_per_day or traits.possible_mm[Train.GOING] / traits.full_run_h * 24


def _higher(history: History, before: Visit, visit: Visit, speed: float) -> bool:
    """Whether the weight hangs so much higher that it is worth weighing: above the least it can have fallen to."""
    if history.went_home(before.at, visit.at):
        return False  # where its owner wound it
    logged = [at for at, _ in winds(history, Train.GOING)]
    if visit.at in logged and _fall(visit) <= TOP_MM + 2 * TOP_SD_MM:
        return False  # read once it was wound: nobody winds a weight that is up
    wound = [at for at in logged if before.at <= at < visit.at]
    at_least = _fall(before) + _SURELY * speed * _days(before, visit)
    return not wound and _fall(visit) < at_least - _LEAST_MM


def _weighed(history: History, before: Visit, visit: Visit, speed: float) -> SuspectedWork | None:
    """The wind before `visit`, if it is likelier by far than a fall misread."""
    index = history.visits.index(visit)
    known = replace(history, visits=history.visits[:index], now=visit.at)
    expected = fall_expected(known, Train.GOING, visit.at)
    densities = fall_densities(known, Train.GOING, _fall(visit), [visit.at])
    if not densities or not isinstance(expected, Quantity):
        return None
    fallen = speed * _days(before, visit)
    untold = min(_MOST_UNTOLD, UNTOLD_WINDS_A_DAY * _days(before, visit))
    # wound to the top at some time between the two
    to_top = _normal(_fall(visit) - fallen / 2 - TOP_MM, fallen**2 / 10 + TOP_SD_MM**2)
    wound = untold * to_top
    odds = wound / (wound + (1 - untold) * densities[0])
    higher = expected.estimate - _fall(visit)
    return SuspectedWork(Work.WOUND, visit.at, higher, odds) if odds > _CALLED and higher > _LEAST_MM else None


def _goes_on(read: list[Visit], visit: Visit, work: SuspectedWork, speed: float) -> bool:
    """Whether the next fall, if there is one, goes on from this one rather than from where the weight was before."""
    later = [v for v in read if v.at > visit.at]
    if not later:
        return True
    onward = _fall(visit) + speed * _days(visit, later[0])
    return abs(_fall(later[0]) - onward) < abs(_fall(later[0]) - onward - work.amount)


def _fall(visit: Visit) -> float:
    return visit.row.going_mm or 0.0


def _days(start: Visit, end: Visit) -> float:
    return (end.at - start.at).total_seconds() / DAY_S


def _normal(miss: float, variance: float) -> float:
    return math.exp(-miss * miss / (2 * variance)) / math.sqrt(2 * math.pi * variance)
