"""What the shop's own run-outs teach of springs: how long those of a kind really run, against what they are rated for.

Each spring's story gives a likelihood on the grid of log(real run / rated): run-outs, turns told, runs shown going.
Springs of one kind are normal about m with standard deviation s, one in ten anything; m and s are weighed on a grid,

    p(m, s | all)  ~  N(m; usual, _MEAN_SD^2) N(log s; log usual, _SD_SD^2)  prod_i  sum_x L_i(x) p(x | m, s),

and a spring of the kind yet unknown has their mean, and in its variance also what is not known of m (the same
empirical Bayes as in `learning.py`).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.history import History
from standwatch.estimate.learned import SpringRuns
from standwatch.estimate.power import spring_of
from standwatch.estimate.springs import LOG_RATIOS, USUAL, prior_of
from standwatch.model.words import KindName

Floats = NDArray[np.float64]

LEAST_CLOCKS = 8
MOST_CLOCKS = 40
_MEAN_SD, _SD_SD = 0.2, 0.4
"""How far a shop's springs of one kind may lie off the usual: their mean, and the logarithm of their spread."""
_MEANS = np.arange(-0.4, 0.81, 0.02)
_SDS = USUAL.sd * np.exp(np.linspace(-1.0, 1.0, 11))
_TELLS = 0.5
"""A spring teaches where some run between a tenth short of the rated time and nine tenths over it is half as likely."""
_ASKED = (LOG_RATIOS > -0.1) & (LOG_RATIOS < 0.64)
_CHANGED = 0.03
"""A mean or spread of the logarithms that differs by less replaces nothing."""


def spring_runs(histories: Sequence[History]) -> dict[KindName, SpringRuns]:
    """Of each kind with enough clocks that tell: how long its springs run. `histories` are oldest first."""
    of_kind: dict[KindName, list[list[Floats]]] = defaultdict(list)
    for history in histories:
        if not (history.traits.weights or history.traits.reference) and (told := told_by(history)):
            of_kind[history.traits.kind.name].append(told)
    found = {}
    for kind, clocks in sorted(of_kind.items()):
        if len(clocks) >= LEAST_CLOCKS:
            known = clocks[-MOST_CLOCKS:]
            mean, sd = likeliest_runs([likelihood for clock in known for likelihood in clock])
            if abs(mean - USUAL.mean) >= _CHANGED or abs(sd - USUAL.sd) >= _CHANGED:
                found[kind] = SpringRuns(round(mean, 3), round(sd, 3), len(known))
    return found


def told_by(history: History) -> list[Floats]:
    """The likelihoods over LOG_RATIOS of the clock's springs that tell something."""
    likelihoods = [spring_of(history, train, None)[0].told() for train in history.traits.trains]
    return [each for each in likelihoods if each[_ASKED].min() < _TELLS]


def likeliest_runs(likelihoods: Sequence[Floats]) -> tuple[float, float]:
    """Mean and standard deviation of the logarithm for a spring yet unknown, by what these tell."""
    told = np.array(likelihoods).T
    log_weight = np.array(
        [
            [
                float(np.log(prior_of(SpringRuns(mean, sd, 0)) @ told + 1e-300).sum())
                - 0.5 * ((mean - USUAL.mean) / _MEAN_SD) ** 2
                - 0.5 * (math.log(sd / USUAL.sd) / _SD_SD) ** 2
                for sd in _SDS
            ]
            for mean in _MEANS
        ]
    )
    weight = np.exp(log_weight - log_weight.max())
    weight /= weight.sum()
    mean = float((weight.sum(axis=1) * _MEANS).sum())
    variance = float((weight * (_SDS[None, :] ** 2 + (_MEANS[:, None] - mean) ** 2)).sum())
    return mean, math.sqrt(variance)
