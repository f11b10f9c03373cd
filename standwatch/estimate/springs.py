"""How long a spring really drives its train: from turns told at winding, run-outs, and runs seen going on.

The logarithm of real over rated days is kept as weights on a grid. That most springs run a fifth longer than rated is
an assumption of the trade, until the kind's run-outs in this shop, or the clock's own turns, say better.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.learned import SpringRuns

Floats = NDArray[np.float64]

TURNS_SD = 0.27
TURNS_SD_SHARE = 0.02
TURNS_TO_FULL_SD = 0.3
RUN_SD = 0.03
"""One run differs from the next by this share."""
BLUNDER = 0.05
PARTIAL_Z = 4.0
"""Turns fewer by this many standard doubts than the slowest likely spring would take are a wind in part."""


USUAL = SpringRuns(0.2, 0.14, 0)
"""Most springs run a fifth longer than rated: an assumption of the trade, until a kind's own run-outs replace it."""
ODD, ODD_SD = 0.1, 0.25
"""One in ten is anything, about that fifth less."""
LOG_RATIOS = np.linspace(-0.6, 1.0, 161)


def prior_of(runs: SpringRuns) -> Floats:
    """The weights on LOG_RATIOS of a spring of which nothing is told."""
    usual = (1 - ODD) / runs.sd * np.exp(-0.5 * ((LOG_RATIOS - runs.mean) / runs.sd) ** 2)
    odd = ODD / ODD_SD * np.exp(-0.5 * ((LOG_RATIOS - runs.mean + USUAL.mean) / ODD_SD) ** 2)
    return (usual + odd) / np.sum(usual + odd)


def normal_below(z: Floats) -> Floats:
    """The standard normal distribution function, within 1e-7 (Abramowitz and Stegun 26.2.17, from memory)."""
    t = 1 / (1 + 0.2316419 * np.abs(z))
    series = t * (0.319381530 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))))
    tail = np.exp(-z * z / 2) / math.sqrt(2 * math.pi) * series
    return np.where(z > 0, 1 - tail, tail)


class Spring:
    """One spring, rated `rated` days, of `turns` key turns from run down to full (None: not told).

    `runs` is how long springs of its kind run; None: all runs alike, to see what its own story tells.
    """

    def __init__(self, rated: float, turns: float | None, runs: SpringRuns | None = USUAL) -> None:
        self.rated, self.turns = rated, turns
        self._days = rated * np.exp(LOG_RATIOS)
        self._prior = np.full(len(LOG_RATIOS), 1 / len(LOG_RATIOS)) if runs is None else prior_of(runs)
        self.lose()

    def lose(self) -> None:
        """Opened: another spring, for all that is known."""
        self._weights: Floats = self._prior
        self.away()

    def away(self) -> None:
        """Nobody here knows how it was wound since."""
        self._used: Floats = np.zeros_like(self._days)
        self._run = 0.0
        self._shown = 0.0
        self._out: tuple[float, float] | None = None
        self.wound = False

    def advance(self, days: float, loose: float, shown: float | None) -> None:
        """It ran for `days` and perhaps up to `loose` more; within that it was seen running at `shown`."""
        if self.wound:
            if shown is not None:
                self._shown = max(self._shown, self._run + shown)
            self._run += days + loose / 2

    def run_out(self, loose: float) -> None:
        """Found run out, at the end of an advance of which `loose` days were not seen."""
        if self.wound:
            self._out = (self._run - loose / 2, self._run + loose / 2)

    def wind(self, told: float | None) -> None:
        """Wind it by `told` turns; None: to the top."""
        left = np.zeros_like(self._days)
        if self.wound:
            if self._out is not None:
                self._learn_run_out(told)
            else:
                self._learn_shown(self._shown)
            if told is not None and self.turns is not None and self._out is None:
                left = self._learn_turns(told, self.turns)
        elif told is not None and self.turns is not None and told < self.turns / 2:
            return  # from nobody knows where, and not far
        self.wound, self._used, self._run, self._shown, self._out = True, left, 0.0, 0.0, None

    def _learn_turns(self, told: float, full: float) -> Floats:
        """Weigh the spring by the turns that this wind took; what a wind in part leaves used, in days."""
        used = np.minimum((self._used + self._run) / self._days, 1.0)
        wanted = full * used
        sd = np.sqrt(TURNS_SD**2 + (TURNS_SD_SHARE * wanted) ** 2 + (TURNS_TO_FULL_SD * used) ** 2)
        likely = self._weights > 1e-3 * float(np.max(self._weights))
        if told < float(np.min((wanted - PARTIAL_Z * sd)[likely])):
            return np.maximum(self._used + self._run - told / full * self._days, 0.0)
        density = np.exp(-0.5 * ((told - wanted) / sd) ** 2) / sd / math.sqrt(2 * math.pi)
        self._weigh((1 - BLUNDER) * density + BLUNDER / full)
        return np.zeros_like(self._days)

    def _learn_run_out(self, told: float | None) -> None:
        """Weigh the spring by a run-out between two rounds, unless the key tells that it stopped with power left."""
        if self._out is None or (
            self.turns is not None and told is not None and told < 0.9 * self.turns and told <= self.turns - 1
        ):
            return
        self._weigh(self._ended(*self._out))

    def _ended(self, seen: float, found: float) -> Floats:
        """How likely each spring is to have run out between `seen` and `found`, in days of this run."""
        lasted = self._days - self._used
        sd = RUN_SD * self._days
        chance = normal_below((max(found, seen + 0.01) - lasted) / sd) - normal_below((seen - lasted) / sd)
        return np.asarray((1 - BLUNDER) * chance + BLUNDER * float(np.sum(chance * self._weights)) + 1e-12)

    def _learn_shown(self, shown: float) -> None:
        if shown > 0:
            self._weigh(normal_below((self._days - self._used - shown) / (RUN_SD * self._days)) + 1e-12)

    def _weigh(self, likelihood: Floats) -> None:
        weights = self._weights * likelihood
        self._weights = weights / np.sum(weights)

    def told(self) -> Floats:
        """How likely each run is by all that was told up to now, the last run included; 1 at most."""
        told = self._weights / self._prior
        if self._out is not None:
            told = told * self._ended(*self._out)
        elif self._shown > 0:
            told = told * normal_below((self._days - self._used - self._shown) / (RUN_SD * self._days))
        return np.asarray(told / np.max(told))

    def run_down(self) -> tuple[float, float, float]:
        """Days from the end of the last advance at which it runs out: 2.5, 50 and 97.5 %, given that it went so far."""
        step = float(LOG_RATIOS[1] - LOG_RATIOS[0])
        reach = int(4 * RUN_SD / step)
        kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) * step / RUN_SD) ** 2)
        runs = np.convolve(self._weights, kernel / np.sum(kernel), mode="same")
        ends = self._days - self._used
        still = np.where(ends > self._shown, runs, 0.0)
        total = float(np.sum(still))
        if total <= 0.0:
            return self._shown - self._run, self._shown - self._run, self._shown - self._run + RUN_SD * self._shown
        reached = (np.cumsum(still) - still / 2) / total
        low, middle, high = np.maximum(np.interp([0.025, 0.5, 0.975], reached, ends), self._shown) - self._run
        return float(low), float(middle), float(high)
