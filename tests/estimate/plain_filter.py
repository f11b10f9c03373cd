"""A plain Kalman filter with a gate, to try what stands on the estimators by itself: what it says can be followed.

A reading over six standard deviations off is suspect; a second one that agrees with it makes the two hands set.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import cast

from standwatch.estimate.answers import Residual, Suspect, SuspectedWork, Timekeeping
from standwatch.estimate.history import History, Visit
from standwatch.model.units import days
from standwatch.model.words import Work

GATE = 6.0


@dataclass(frozen=True)
class Said:
    """The part of a Timekeeping that tells of single readings."""

    residuals: tuple[Residual, ...]
    suspects: tuple[Suspect, ...]
    suspected_work: tuple[SuspectedWork, ...]
    rate_since: datetime | None


def plain(history: History) -> Timekeeping:
    """What the plain filter says of `history`, whose error never begins anew."""
    traits = history.traits
    q1, q2 = traits.q1_s**2, traits.q2_s**2
    rate_var = (3 * (traits.mean_rate_limit or 30.0)) ** 2
    x, y, xx, xy, yy = 0.0, 0.0, 0.0, 0.0, rate_var
    residuals: list[Residual] = []
    suspects: list[Suspect] = []
    works: list[SuspectedWork] = []
    last: Visit | None = None
    gated: tuple[Visit, float] | None = None
    for visit in history.readings:
        assert visit.error_s is not None
        assert visit.doubt_s is not None
        d = 0.0 if last is None else days(visit.at) - days(last.at)
        x, xx, xy, yy = (
            x + d * y,
            xx + 2 * d * xy + d * d * yy + q1 * d + q2 * d**3 / 3,
            xy + d * yy + q2 * d * d / 2,
            yy + q2 * d,
        )
        f = xx + visit.doubt_s**2
        v = visit.error_s - x
        stepped = False
        if last is None:
            x, xx, stepped = visit.error_s, visit.doubt_s**2, True
        elif abs(v) > GATE * math.sqrt(f):
            if gated is None or abs(v - gated[1]) > GATE * math.sqrt(f):
                suspects.append(Suspect(visit.id, visit.at, visit.error_s, x, 0.99))
                gated, last = (visit, v), visit
                continue
            suspects.pop()
            works.append(SuspectedWork(Work.HANDS_SET, gated[0].at, (v + gated[1]) / 2, 0.99))
            x, xx, xy, stepped = visit.error_s, visit.doubt_s**2, 0.0, True
        else:
            residuals.append(Residual(visit.at, v, math.sqrt(f), d))
        if not stepped:
            k1, k2 = xx / f, xy / f
            x, y = x + k1 * v, y + k2 * v
            xx, xy, yy = (1 - k1) * xx, (1 - k1) * xy, yy - k2 * xy
        gated, last = None, visit
    since = history.readings[0].at if history.readings else None
    return cast("Timekeeping", Said(tuple(residuals), tuple(suspects), tuple(works), since))
