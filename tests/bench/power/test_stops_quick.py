"""Stops and clusters at a smaller size, on every run of the tests; the bounds are the quick run's (`bounds.py`)."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from tests.bench.engine.bounds import Bound
from tests.bench.power import clusters, stops
from tests.bench.power.run import QUICK, Run

SMALL = replace(QUICK, stops=stops.CHUNK, clusters=6 * clusters.CHUNK)


@pytest.fixture(scope="module")
def run() -> Iterator[Run]:
    with ThreadPoolExecutor(1) as pool:
        yield Run(1, SMALL, Bound(quick=True), pool)


def test_the_right_stop_is_first(run: Run) -> None:
    assert [row.line for row in stops.right_first(run) if row.reached is False] == []


def test_the_odds_are_said_true(run: Run) -> None:
    rows = stops.odds(run)
    assert [row.line for row in rows if not row.reached] == []
    assert sum(int(row.size.split()[0]) for row in rows) > 200


def test_hardly_any_cluster_is_named_without_a_cause(run: Run) -> None:
    [row] = clusters.without_cause(run)
    assert row.reached
    assert row.size == "300 stands"


def test_five_stops_at_one_height_or_minute_are_named() -> None:
    """The design names 99 and 100 of 100; fewer than 16 of 20 come once in 3,000 (binomial, 97 %)."""
    for why in (clusters.MINUTE_CAUSE, clusters.HEIGHT_CAUSE):
        assert clusters.ask(clusters.Job(1, why, 5, 20)) >= 16
