"""What to believe of a clock's readings: which are sound, and how restless the clock is."""

from __future__ import annotations

import math
from statistics import median

from standwatch.estimate.decisions import PLAIN, Decisions, all_sound, decide, suspicious
from standwatch.estimate.fit import Fit, fit
from standwatch.estimate.timeline import Timeline
from standwatch.model.words import ReadBy

_FACTORS = (1.5, 2.2, 3.3, 5.0, 7.5)
"""Multiples of the kind's noise, tried while they explain more; none under 1, since few readings prove no calm."""
_FACTOR_LOG_SD = 0.6
_CALM = 1.3
"""Squared innovation, in its variance, up to which the kind's own noise will do."""
_CHI_SQUARE_MEDIAN = 0.455
_FEW = 60
"""Readings up to which odd ones alone are reason to weigh a more restless clock: the median tells little there."""


def stories_of(line: Timeline, usual: ReadBy) -> tuple[Decisions, tuple[Fit, ...]]:
    """What to believe, and a fit for each story, likeliest first. One pass where nothing is odd.

    A clock more restless than its kind would otherwise look well kept and badly read.
    """
    plain = fit(line, PLAIN)
    odd = suspicious(plain.back.against)
    restless = _restlessness(plain) > _CALM
    if not odd and not restless:
        return all_sound(plain.run.log_likelihood, len(plain.sound)), (plain,)
    few = len(plain.sound) <= _FEW
    best = _weigh(line, usual, 1.0)
    for factor in _FACTORS if restless or few else ():
        weighed = _weigh(line.restless(factor), usual, factor)
        if weighed[0] > best[0]:
            best = weighed
        elif not few:
            break
    _, decisions, chosen = best
    return decisions, tuple(fit(chosen, story) for story in decisions.stories)


def _restlessness(plain: Fit) -> float:
    """The typical squared innovation in its variance: by the median, which a few wrong readings don't move."""
    squares = [gain.v * gain.v / gain.f for gain in plain.run.gains if gain is not None]
    return median(squares) / _CHI_SQUARE_MEDIAN if squares else 0.0


def _weigh(line: Timeline, usual: ReadBy, factor: float) -> tuple[float, Decisions, Timeline]:
    """Log posterior weight (but for a constant) of `line`, which has `factor` times the kind's noise."""
    plain = fit(line, PLAIN)
    if suspicious(plain.back.against):
        by_usual = (
            n for n, node in enumerate(line.nodes) if node.source >= 0 and line.visits[node.source].read_by is usual
        )
        decisions = decide(line.nodes, line.prior, frozenset(by_usual))
    else:
        decisions = all_sound(plain.run.log_likelihood, len(plain.sound))
    return decisions.log_evidence - 0.5 * (math.log(factor) / _FACTOR_LOG_SD) ** 2, decisions, line
