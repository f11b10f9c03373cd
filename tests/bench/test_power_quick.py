"""The goals of falls, springs and moves that few clocks can show, on every run of the tests.

The bounds are the quick run's: a line fails only where clocks that just reach its goal would hardly ever look so.
Fixed seed. What is missed by less is left to the command, which says by how much (docs/power.md).
"""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.bench.engine.bounds import Bound
from tests.bench.engine.table import text_of
from tests.bench.power.lines import LINES
from tests.bench.power.run import Run, Sizes

SEED = 1
SMALL = Sizes(clocks=14, springs=24, faults=16, healthy=12, stops=0, clusters=0, home=150, home_told=10)


@pytest.fixture
def run() -> Iterator[Run]:
    with ThreadPoolExecutor(1) as one_after_another:
        yield Run(SEED, SMALL, Bound(quick=True), one_after_another)


@pytest.mark.parametrize("name", ["rundown", "near", "springs", "stuck", "on", "lacking", "false", "home", "home-told"])
def test_no_goal_is_missed_beyond_what_few_clocks_can_show(run: Run, name: str) -> None:
    rows = LINES[name](run)
    missed = [row for row in rows if row.reached is False]
    assert rows
    assert not missed, f"{run.bound.words}\n{text_of(missed)}"
