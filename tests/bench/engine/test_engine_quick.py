"""The goals that few clocks can show, on every run of the tests: lines of the bench at a smaller size.

The bounds are the quick run's (`bounds.py`): a line fails only where a stand that just reaches its goal would hardly
ever look so. Fixed seed. What takes time by the clock is left to the command, and so is the fitted trend.
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.bench.engine.bounds import Bound
from tests.bench.engine.lines import LINES
from tests.bench.engine.table import Run, Sizes, text_of

SEED = 1
SMALL = Sizes(
    clocks=30,
    straight=30,
    trend=0,
    judged=4,
    events=60,
    quiet=200,
    learned=24,
    outside=0,
    stand=0,
    earth=False,
)
TOGETHER = (("coverage", "straight", "oracle", "worst"), ("verdicts", "soon"), ("unlogged", "loglik"), ("learned",))
"""Lines that simulate the same clocks are one test."""


@pytest.fixture
def run() -> Iterator[Run]:
    with ThreadPoolExecutor(1) as one_after_another:
        yield Run(SEED, SMALL, Bound(quick=True), one_after_another)


@pytest.mark.parametrize("names", TOGETHER, ids="-".join)
def test_no_goal_is_missed_beyond_what_few_clocks_can_show(run: Run, names: tuple[str, ...]) -> None:
    rows = [row for name in names for row in LINES[name](run)]
    missed = [row for row in rows if row.reached is not True]
    assert rows
    assert not missed, f"{run.bound.words}\n{text_of(missed)}"
