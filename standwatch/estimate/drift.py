"""How fast the rate changes, against what it would wander by itself."""

from __future__ import annotations

import math
from dataclasses import replace

from standwatch.estimate.filter import NO_GAP, Node, Start, forward
from standwatch.estimate.fit import Fit
from standwatch.model.answers import Answer, NotYetKnown, Quantity

_WINDOW_DAYS = 28.0
_LEAST_READINGS = 4


def drift_of(fit: Fit, rate_steps: list[int], now: float, least_days: float) -> Answer:
    """Change of rate in s/day per day, steady over the last four weeks at most since the rate was opened.

    A steady drift z adds z t^2/2 to the error. Readings and that curve go through the same filter; z is the
    generalised least-squares fit of the one's innovations to the other's (de Jong, Annals of Statistics 19 (1991)
    1073; from memory). So the rate's own wandering is in the doubt, and nothing draws the drift to nought. Where the
    rest misses by more than the noise, the doubt grows with it. The wind curve is in the filter, so the phases of
    the wind that the readings fall in make no drift.
    """
    window = max(_WINDOW_DAYS, least_days + 1)
    nodes = [n for n in rate_steps if fit.line.days_at[n] >= now - window]
    span = fit.line.days_at[nodes[-1]] - fit.line.days_at[nodes[0]] if nodes else 0.0
    if len(nodes) < _LEAST_READINGS or span < least_days - 1 / 24:
        sound = " sound ones" if fit.story.dropped else ""
        return NotYetKnown(
            f"wants {_LEAST_READINGS} readings over {least_days:.0f} days or more since the rate was opened, within "
            f"the last {window:.0f} days; {len(nodes)}{sound} over {span:.0f} days so far"
        )
    first, last = nodes[0], nodes[-1]
    start = fit.line.days_at[first]
    part = [replace(fit.node(first), gap=NO_GAP, jump=None), *(fit.node(n) for n in range(first + 1, last + 1))]
    shifts = {n - first: var for n, var in fit.story.shifts.items() if n > first}
    prior = fit.start
    still = Start(0.0, prior.x_var, 0.0, prior.y_var, 0.0, prior.c_var)
    read = forward(part, prior, shifts).gains
    bent = forward([_bent(node, start) for node in part], still, shifts).gains
    pairs = [(a.v, b.v, a.f) for a, b in zip(read, bent, strict=True) if a is not None and b is not None]
    information = sum(e * e / f for _, e, f in pairs)
    if information <= 0:
        return NotYetKnown("no two readings lie in one unbroken run of the hands, some time apart")
    z = sum(v * e / f for v, e, f in pairs) / information
    left = sum((v - z * e) ** 2 / f for v, e, f in pairs) / max(len(pairs) - 3, 1)
    return Quantity.normal(z, math.sqrt(max(left, 1.0) / information))


def _bent(node: Node, start: float) -> Node:
    """The node of a clock that does nothing but drift by one s/day per day."""
    jump = None if node.jump is None else node.jump._replace(shift=0.0)
    return replace(
        node, gap=node.gap._replace(push=0.0), jump=jump, z=None if node.z is None else (node.day - start) ** 2 / 2
    )
