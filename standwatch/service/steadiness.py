"""How steadily a clock goes, in the shop's words: what both faces say of its stability."""

from __future__ import annotations

import math

from standwatch.estimate.stability import DailyRates, Stability, StabilityPoint, stability_of
from standwatch.judge.assessment import Assessment
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.units import round_to_doubt, signed

SPANS = {
    1: "day to day",
    2: "over two days",
    4: "over four days",
    7: "week to week",
    14: "over a fortnight",
    28: "over four weeks",
}
"""The span over which the rate is compared with that of the next, by its days."""
_BRIEF = (1, 7)


def stability(found: Assessment) -> Stability:
    """The stability of an assessed clock, worked out now; it takes about a millisecond."""
    return stability_of(found.estimates.history, found.estimates.time)


def brief(found: Stability, unit: str = "") -> tuple[tuple[str, str], ...]:
    """From one day, and one week, to the next: (span, how far the rate wanders in s/day; `unit` follows a number)."""
    return tuple((SPANS[p.tau_days], point_words(p, unit)) for p in found.points if p.tau_days in _BRIEF)


def point_words(point: StabilityPoint, unit: str = "") -> str:
    """ "0.94 (0.64 to 1.8)"; "under 1.8" where it may all be the readings' own doubt; "not yet known"."""
    deviation = point.deviation
    if isinstance(deviation, NotYetKnown):
        return "not yet known"
    if point.hidden:
        return f"under {figures(deviation.high)}{unit}"
    return f"{figures(deviation.estimate)}{unit} ({figures(deviation.low)} to {figures(deviation.high)})"


def figures(value: float) -> str:
    """A positive number to two figures: "0.094", "1.2", "13", "120"."""
    if value <= 0:
        return "0"
    decimals = 1 - math.floor(math.log10(value))
    rounded = round(value, decimals)
    return f"{rounded:.{max(decimals if rounded < 10 ** (2 - decimals) else decimals - 1, 0)}f}"


def daily_words(daily: DailyRates) -> str:
    """The daily rates summed up, in s/day: "mean −2.8, mean variation 1.1, greatest 4.2, difference 3.0"."""
    places = 2 if daily.greatest_variation < 1 else 1
    return (
        f"mean {signed(daily.mean, places)}, mean variation {daily.mean_variation:.{places}f}, "
        f"greatest {daily.greatest_variation:.{places}f}, difference {daily.greatest_difference:.{places}f}"
    )


def through_a_wind(found: Assessment) -> str:
    """What winding does to it: "gains 14 ±6 s/day more fully wound than 7 days later"; empty where it does nothing."""
    time = found.estimates.time
    curve, step = time.wind_curve, time.winding_step
    if isinstance(curve, Quantity) and curve.low < 0 < curve.high:
        return f"its wind bends the rate by under {figures(max(-curve.low, curve.high))} s/day, if at all"
    if isinstance(curve, Quantity):
        value, doubt = round_to_doubt(abs(curve.estimate), curve.doubt, most_decimals=1)
        more = "more" if curve.estimate > 0 else "less"
        return f"gains {value} ±{doubt} s/day {more} fully wound than at the end of its wind"
    if isinstance(step, Quantity):
        value, doubt = round_to_doubt(abs(step.estimate), step.doubt, most_decimals=1)
        return f"each wind {'costs' if step.estimate < 0 else 'gives'} it {value} ±{doubt} s"
    return ""
