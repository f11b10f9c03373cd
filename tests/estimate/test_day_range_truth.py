"""The day range's interval against the true spread of simulated clocks, by the binomial law."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest
from scipy.stats import binom

from standwatch.estimate.timekeeping import timekeepings_of
from standwatch.model.answers import Quantity
from standwatch.model.words import KindName
from tests.simulated.facts import facts_of
from tests.simulated.nature import draw
from tests.simulated.stand import Watch, watched

DAYS, CLOCKS = 20, 80
DAY = timedelta(days=1)


@pytest.mark.parametrize("kind", [KindName.REGULATOR, KindName.MANTEL, KindName.CUCKOO])
def test_the_interval_holds_the_true_spread(kind: KindName) -> None:
    rng = np.random.default_rng(11)
    natures = draw(kind, CLOCKS, rng)
    stand = watched(natures, Watch(days=DAYS, blunders=0.03, thermometer=False), rng)
    histories = [facts.history(DAYS) for facts in facts_of(stand)]
    held = 0
    for clock, (history, keeping) in enumerate(zip(histories, timekeepings_of(histories), strict=True)):
        told = keeping.day_range()
        assert isinstance(told, Quantity)
        first = history.readings[0].at
        rates = []
        for start, end in keeping.day_range_spans:
            a, b = (round((at - first) / DAY) for at in (start, end))
            gained = stand.errors[clock, b] - stand.errors[clock, a]
            rates.append((gained - natures.curve[clock] * _curve(start - first, end - first)) / ((end - start) / DAY))
        held += told.low <= max(rates) - min(rates) <= told.high
    assert held >= binom.ppf(1e-3, CLOCKS, 0.92)


def _curve(start: timedelta, end: timedelta) -> float:
    """The integral of 1/2 - u/7 between two times after the first of weekly winds, in days."""

    def until(days: float) -> float:
        u = days % 7.0
        return u / 2 - u * u / 14

    return until(end / DAY) - until(start / DAY)
