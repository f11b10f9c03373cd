"""A plain Kalman filter with a gate, to try what stands on the estimators by itself: what it says can be followed.

A reading over six standard deviations off is suspect; a second one that agrees with it makes the two hands set.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime
from typing import cast

import numpy as np

from standwatch.estimate.answers import Residual, Suspect, SuspectedWork, Timekeeping
from standwatch.estimate.history import History, Visit
from standwatch.horology.warmth import warmth_of
from standwatch.model.units import days
from standwatch.model.words import Work

GATE = 6.0
WEATHER_C, WEATHER_DAYS = 1.5, 3.0
"""How far and over how many days a heated room strays that nobody logs (common practice)."""
STEPS = 2


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
    stray = (math.hypot(*warmth_of(history.clock, traits)) * WEATHER_C) ** 2
    state = np.zeros(3)  # error, rate, and how far the rate strays with the weather
    var = np.diag([0.0, (3 * (traits.usual.mean_rate_limit or 33.0)) ** 2, stray])
    residuals: list[Residual] = []
    suspects: list[Suspect] = []
    works: list[SuspectedWork] = []
    last: Visit | None = None
    gated: tuple[Visit, float] | None = None
    for visit in history.readings:
        assert visit.error_s is not None
        assert visit.doubt_s is not None
        d = 0.0 if last is None else days(visit.at) - days(last.at)
        # the stray in small steps: this need not be as exact as what it tries, only not the same
        for _ in range(STEPS if last is not None else 0):
            h = d / STEPS
            keep = math.exp(-h / WEATHER_DAYS)
            on = np.array([[1, h, h * (1 + keep) / 2], [0, 1, 0], [0, 0, keep]])
            noise = np.diag([q1 * h + q2 * h**3 / 3, q2 * h, stray * (1 - keep**2)])
            state, var = on @ state, on @ var @ on.T + noise
        f = var[0, 0] + visit.doubt_s**2
        v = visit.error_s - state[0]
        begins = last is None
        if last is not None and abs(v) > GATE * math.sqrt(f):
            if gated is None or abs(v - gated[1]) > GATE * math.sqrt(f):
                suspects.append(Suspect(visit.id, visit.at, visit.error_s, float(state[0]), 0.99))
                gated, last = (visit, float(v)), visit
                continue
            suspects.pop()
            works.append(SuspectedWork(Work.HANDS_SET, gated[0].at, float(v + gated[1]) / 2, 0.99))
            begins = True
        elif last is not None:
            residuals.append(Residual(visit.at, float(v), math.sqrt(f), d))
        if begins:
            state[0] = visit.error_s
            var[0, :] = var[:, 0] = 0.0
            var[0, 0] = visit.doubt_s**2
        else:
            gain = var[:, 0] / f
            state, var = state + gain * v, var - np.outer(gain, var[0])
        gated, last = None, visit
    since = history.readings[0].at if history.readings else None
    return cast("Timekeeping", Said(tuple(residuals), tuple(suspects), tuple(works), since))
