"""The list of all lines, in the table's order; each is a function from a Run to rows."""

from __future__ import annotations

from collections.abc import Callable

from tests.bench.engine.table import Row
from tests.bench.power import clusters, falls, home, stops
from tests.bench.power.run import Run

LINES: dict[str, Callable[[Run], list[Row]]] = {
    "rundown": falls.coverage,
    "near": falls.near,
    "stops": stops.right_first,
    "odds": stops.odds,
    "clusters": clusters.without_cause,
    "causes": clusters.with_cause,
    "home": home.coverage,
}
"""By the name that `--only` takes."""
