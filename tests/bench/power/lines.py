"""The list of all lines, in the table's order; each is a function from a Run to rows."""

from __future__ import annotations

from collections.abc import Callable

from tests.bench.engine.table import Row
from tests.bench.power import clusters, falls, faults, home, home_told, springs, stops
from tests.bench.power.run import Run

LINES: dict[str, Callable[[Run], list[Row]]] = {
    "rundown": falls.coverage,
    "near": falls.near,
    "springs": springs.springs,
    "stuck": faults.stuck,
    "on": faults.on,
    "lacking": faults.lacking,
    "false": faults.false_alarms,
    "stops": stops.right_first,
    "odds": stops.odds,
    "clusters": clusters.without_cause,
    "causes": clusters.with_cause,
    "home": home.coverage,
    "home-told": home_told.coverage,
}
"""By the name that `--only` takes."""
