"""Early release: what should be true of a clock that goes before its days are done. Told, never decided.

The fault was single, found and explained; the second wind matches the first; the swing has margin (common practice).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from standwatch.estimate.going import Wind
from standwatch.judge.assessment import Assessment
from standwatch.model.answers import Quantity
from standwatch.model.units import round_to_doubt
from standwatch.model.words import Outcome, Requirement, Train

LEAST_RATES = {True: 1, False: 3}
"""Daily rates that a wind must have to be compared: of clocks wound daily, of others."""


@dataclass(frozen=True, slots=True)
class Condition:
    """One thing that must be true: `holds` is None where it is not known; `because` says what was seen."""

    name: str
    holds: bool | None
    because: str


def early_conditions(found: Assessment) -> tuple[Condition, ...]:
    """The three conditions of an early release, as they are for this clock."""
    return (_single_fault(found), _second_wind(found), _margin(found))


def _single_fault(found: Assessment) -> Condition:
    name = "the fault was single, found and explained"
    stops = sorted(
        (s for s in (*found.going.stops, *found.going.side_stops) if not s.in_time), key=lambda s: s.found_at
    )
    if not stops:
        return Condition(name, None, "no fault was seen on the stand")
    if len(stops) > 1:
        return Condition(name, False, f"{len(stops)} stops")
    return Condition(name, stops[0].explained, "one stop" + (", explained" if stops[0].explained else " unexplained"))


def _second_wind(found: Assessment) -> Condition:
    """The mean rates of the first two winds since the rate was opened, against the day range that the clock may have.

    Smoothed daily rates of one wind move together: the doubt of their mean is taken as large as theirs.
    """
    name = "the second wind matches the first"
    limit = found.estimates.history.traits.day_range_limit
    means = _winds_rates(found)
    if limit is None or len(means) < 2:
        few = "no wind was" if not means else "one wind was"
        return Condition(name, None, f"{few} read through since its rate was opened")
    off = means[1][0] - means[0][0]
    doubt = math.hypot(means[0][1], means[1][1])
    told, half = round_to_doubt(abs(off), doubt)
    because = f"{told} ±{half} s/day apart"
    if abs(off) + doubt <= limit:
        return Condition(name, True, because)
    return Condition(name, False if abs(off) - doubt > limit else None, f"{because}, limit {limit:g}")


def _winds_rates(found: Assessment) -> list[tuple[float, float]]:
    """The mean rate of each whole wind of the going train since the rate was opened and its doubt, the first two."""
    estimates = found.estimates
    since, traits = estimates.time.rate_since, estimates.history.traits
    if since is None or traits.reference:
        return []
    rates = [(at, rate) for at, rate in estimates.time.daily_rates() if isinstance(rate, Quantity) and at > since]
    means = []
    for wind in found.going.winds_of(Train.GOING):
        inside = [rate for at, rate in rates if _in(wind, at)]
        if len(inside) >= LEAST_RATES[traits.daily]:
            mean = sum(rate.estimate for rate in inside) / len(inside)
            means.append((mean, sum(rate.doubt for rate in inside) / len(inside)))
    return means[:2]


def _in(wind: Wind, at: datetime) -> bool:
    return wind.base < at and (wind.ended_at is None or at <= wind.ended_at)


def _margin(found: Assessment) -> Condition:
    name = "the swing has margin"
    verdict = found.verdict(Requirement.AMPLITUDE)
    if verdict.outcome is Outcome.NOT_APPLICABLE:
        return Condition(name, None, verdict.because)
    holds = {Outcome.MET: True, Outcome.MISSED: False}.get(verdict.outcome)
    return Condition(name, holds, verdict.because or "met")
