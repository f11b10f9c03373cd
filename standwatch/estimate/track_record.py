"""How a clock's own past forecasts came out: where they missed by more than they said, the next ones say more.

The kind's noise is a default. A clock that swings about its mean rate, or wanders more than its kind, shows it first
in forecasts some days ahead.
"""

from __future__ import annotations

from standwatch.estimate.filter import jumped, moved_on
from standwatch.estimate.fit import Fit

HORIZONS = (1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 14.0, 21.0, 28.0)
"""Days ahead at which forecasts are compared with what came."""
_FROM_LAST = 150
_FIRST = 3
_TRUST = 4.0
"""The kind's noise counts as much as so many forecasts that came out as they said."""
_MOST_MISS = 9.0  # a squared miss in variances; one wild reading is no lesson


def horizon_of(days: float) -> float:
    """The horizon nearest to `days` ahead."""
    return min(HORIZONS, key=lambda h: abs(h - days))


def widening(fit: Fit, horizon: float) -> float:
    """The factor, at least 1, on the variance of forecasts `horizon` days ahead, from this clock's own past ones."""
    nodes, states, days = fit.line.nodes, fit.run.states, fit.line.days_at
    chosen = fit.rate_nodes()[-_FROM_LAST:]
    misses = []
    for place in range(_FIRST, len(chosen) - 1):
        start = chosen[place]
        target = _target(days, chosen, place, horizon)
        if target is None:
            continue
        state = states[start]
        for number in range(start + 1, target + 1):
            node = nodes[number]
            state = moved_on(state, node.gap)
            if node.jump is not None:
                state = jumped(state, node.jump, fit.line.prior)
        z = nodes[target].z
        if z is not None and fit.runs[start] == fit.runs[target] and not _stepped(fit, start, target):
            misses.append(min((z - state.x) ** 2 / (state.x_var + nodes[target].r), _MOST_MISS))
    if not misses:
        return 1.0
    # forecasts that overlap tell less than as many apart
    apart = max(1.0, min(float(len(misses)), (days[chosen[-1]] - days[chosen[_FIRST]]) / horizon))
    return max(1.0, (_TRUST + apart * sum(misses) / len(misses)) / (_TRUST + apart))


def _target(days: tuple[float, ...], chosen: list[int], place: int, horizon: float) -> int | None:
    """The last reading within the horizon (and a quarter of a day), if it lies in its second half."""
    start = days[chosen[place]]
    found = None
    for number in chosen[place + 1 :]:
        if days[number] > start + horizon + 0.25:
            break
        found = number
    return found if found is not None and days[found] > start + horizon / 2 else None


def _stepped(fit: Fit, start: int, target: int) -> bool:
    return any(start < number <= target for number in fit.story.shifts)
