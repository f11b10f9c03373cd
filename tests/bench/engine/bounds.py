"""When a figure misses its goal: plainly, or beyond what a small sample can show.

A quick run has few clocks a cell. There a share misses only where a clock stand that just reaches the goal would show
so few (or so many) hits with a probability under `ALPHA` (the binomial law, one-sided), and a ratio only where the
share `ALPHA_RATIO` of its bootstrap lies on the wrong side.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import binom

ALPHA = 1e-4
ALPHA_RATIO = 0.005
_DRAWS = 4000


@dataclass(frozen=True)
class Bound:
    """How a figure is held against its goal; `quick` allows for the sample's size."""

    quick: bool

    @property
    def words(self) -> str:
        """How the verdicts were come to."""
        if not self.quick:
            return "verdicts by the figures as they are"
        return (
            f"verdicts allow for the sample: a share misses only where the goal's own binomial law gives it less than "
            f"{ALPHA:g}; a ratio only where all but {ALPHA_RATIO:.1%} of its bootstrap miss (for one of n cells, "
            "all but the n-th part of that)"
        )

    def at_least(self, hits: int, of: int, share: float) -> bool:
        """Whether `hits` of `of` reach `share`."""
        return of == 0 or hits >= self.fewest(of, share)

    def at_most(self, hits: int, of: int, share: float) -> bool:
        """Whether `hits` of `of` stay within `share`."""
        return of == 0 or hits <= self.most(of, share)

    def fewest(self, of: int, share: float) -> int:
        """The least hits of `of` that reach `share`."""
        return int(binom.ppf(ALPHA, of, share)) if self.quick else int(np.ceil(share * of - 1e-9))

    def most(self, of: int, share: float) -> int:
        """The most hits of `of` that stay within `share`."""
        return int(binom.isf(ALPHA, of, share)) if self.quick else int(np.floor(share * of + 1e-9))

    def ratio_within(
        self, ours: list[NDArray[np.float64]], theirs: list[NDArray[np.float64]], goal: float, *, looks: int = 1
    ) -> bool:
        """Whether the geometric mean over cells of mean(ours)/mean(theirs) stays within `goal`; one array a cell.

        `looks` is how many such questions make one verdict (every cell for itself): each is then that much stricter.
        """
        if not self.quick:
            return geometric([float(a.mean() / b.mean()) for a, b in zip(ours, theirs, strict=True)]) <= goal
        rng = np.random.default_rng(0)
        logs = np.zeros(_DRAWS)
        for a, b in zip(ours, theirs, strict=True):
            drawn = rng.integers(0, len(a), (_DRAWS, len(a)))
            logs += np.log(a[drawn].mean(axis=1) / b[drawn].mean(axis=1))
        return bool(np.quantile(np.exp(logs / len(ours)), ALPHA_RATIO / looks) <= goal)


def geometric(values: list[float]) -> float:
    """The geometric mean."""
    return float(np.exp(np.mean(np.log(values))))
