"""What the shop's own clocks teach: how restless each kind is and how well it is read here, and what a wind costs.

How long its springs run is told by `learning_springs.py`.

Each clock is run over a wider grid of noise, which gives the likelihood of its readings under every member. The kind's
shift mu (three logarithms) is the one under which the clocks of the kind are likeliest together, the members of each
weighed by a normal about mu, with mu itself drawn to nought: an empirical Bayes estimate (Efron and Morris, J. Amer.
Stat. Assoc. 70 (1975) 311, from memory), by expectation and maximisation (Dempster, Laird and Rubin, J. Royal Stat.
Soc. B 39 (1977) 1, from memory):

    mu = argmax  sum_c log sum_g N(g; mu, SPREAD^2) L_c(g)  +  log N(mu; 0, _SHIFT_SD^2)
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

import numpy as np

from standwatch.estimate.batch import Posterior
from standwatch.estimate.engine import posteriors
from standwatch.estimate.gaussian_sum import Floats, log_sum
from standwatch.estimate.grid import SPREAD, Grid
from standwatch.estimate.history import History
from standwatch.estimate.learned import Learned, NoiseShift, WindingStep
from standwatch.estimate.learning_springs import spring_runs
from standwatch.estimate.states import States
from standwatch.estimate.timekeeping import EngineTimekeeping
from standwatch.estimate.timeline import lines_of
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import KindName

LEAST_CLOCKS = 8
"""Clocks of a kind, or of any kind that winding costs time, before a default is replaced."""
MOST_CLOCKS = 40
"""The latest that teach: enough, and the kind as it is kept now."""
LEAST_READINGS = 10
MOST_READINGS = 60
"""What a clock teaches is in its first readings; more tell of that clock, not of its kind."""
_SHIFT_SD = (0.5, 0.5, 0.3)
"""How far a kind may lie off the table in this shop, as standard deviations of the logarithms."""
_REACH = (1.5, 1.5, 0.9)
_NODES = (7, 7, 5)
_ROUNDS, _STEP = 60, 1e-4
_SHIFTED = 0.1
"""A shift under a tenth replaces nothing."""
_OWN_LOSS_SD = 7.0
"""s; from clock to clock, for the weights alone (see prior.LOSS_SD_S)."""


def learn(histories: Sequence[History]) -> Learned:
    """What these clocks teach, of all that happened up to each History's `now`."""
    telling = [h for h in histories if len(h.readings) >= LEAST_READINGS and not h.traits.reference]
    telling.sort(key=lambda h: (h.readings[-1].at, h.clock.tag))
    of_kind: dict[KindName, list[History]] = defaultdict(list)
    for history in telling:
        of_kind[history.traits.kind.name].append(history)
    noise = {}
    for kind, all_known in sorted(of_kind.items()):
        known = all_known[-MOST_CLOCKS:]
        if len(known) >= LEAST_CLOCKS:
            shift = _shift_of(known)
            if any(abs(math.log(f)) > _SHIFTED for f in (shift.white, shift.walk, shift.reading)):
                noise[kind] = shift
    losing = [h for h in telling if h.traits.weights and not h.traits.maintaining]
    springs = sorted((h for h in histories if h.visits), key=lambda h: (h.visits[-1].at, h.clock.tag))
    return Learned(noise, _winding(losing[-MOST_CLOCKS:]), spring_runs(springs))


def wide_grid() -> Grid:
    """Members evenly apart over all that a kind may be, with no weight to any."""
    axes = [np.linspace(-reach, reach, nodes) for reach, nodes in zip(_REACH, _NODES, strict=True)]
    white, walk, reading = (axis.ravel() for axis in np.meshgrid(*axes, indexing="ij"))
    members = len(white)
    return Grid(
        np.exp(2 * white),
        np.exp(2 * walk),
        np.exp(2 * reading),
        np.full(members, -math.log(members)),
        np.zeros(members),
    )


def _shift_of(histories: Sequence[History]) -> NoiseShift:
    """The factors on a kind's noise that its clocks are likeliest under."""
    wide = wide_grid()
    lines = lines_of(histories)
    found = posteriors([line.cut(MOST_READINGS) for line in lines], grids=[wide] * len(lines))
    likelihood = np.array([_by_member(one) for one in found])
    where = np.log(np.array([wide.white, wide.walk, wide.reading])) / 2
    mu = likeliest_shift(likelihood, where)
    white, walk, reading = (round(math.exp(float(value)), 2) for value in mu)
    return NoiseShift(white, walk, reading, len(histories))


def _by_member(one: Posterior) -> Floats:
    """The log likelihood (G,) of one clock's readings under each member, but for a constant."""
    return log_sum(one.belief.log_weight.T) - one.grid.log_prior


def likeliest_shift(likelihood: Floats, where: Floats) -> Floats:
    """The shift (3,) with the most probable readings; likelihood (clocks, G) logs, where (3, G) the members' logs.

    By expectation and maximisation: each clock's members are weighed about mu, and mu goes to their mean, drawn to
    nought by its own prior.
    """
    spread, drawn = np.array(SPREAD), np.array(_SHIFT_SD)
    mu = np.zeros(3)
    pull = spread**2 / drawn**2
    for _ in range(_ROUNDS):
        log_prior = -0.5 * (((where - mu[:, None]) / spread[:, None]) ** 2).sum(axis=0)
        log_weight = likelihood + log_prior
        weight = np.exp(log_weight - log_sum(log_weight)[:, None])
        new = (weight[:, None, :] * where).sum(axis=(0, 2)) / (len(likelihood) + pull)
        done = np.abs(new - mu).max() < _STEP
        mu = np.asarray(new)
        if done:
            break
    return mu


def _winding(histories: Sequence[History]) -> WindingStep | None:
    """What a wind costs in this shop, from clocks whose own loss has been told by their readings."""
    if len(histories) < LEAST_CLOCKS:
        return None
    lines = lines_of(histories)
    told = []
    for history, one in zip(histories, posteriors(lines), strict=True):
        if isinstance(EngineTimekeeping(history, one).winding_step, NotYetKnown):
            continue
        prior_mean, prior_var = one.line.prior.of("c")
        mean, sd = States(one).moments("c")
        precision = 1 / sd**2 - 1 / prior_var
        if precision > 1 / prior_var:  # told more by its readings than by the default
            told.append(((mean / sd**2 - prior_mean / prior_var) / precision, 1 / precision))
    if len(told) < LEAST_CLOCKS:
        return None
    value, var = np.array(told).T
    weight = 1 / (var + _OWN_LOSS_SD**2)
    mean = float((weight * value).sum() / weight.sum())
    own = max(float((weight * ((value - mean) ** 2 - var)).sum() / weight.sum()), 1.0)
    return WindingStep(round(mean, 1), round(math.sqrt(own + 1 / float(weight.sum())), 1), len(told))
