"""Weights, springs, blows and stops against every goal they have, in one table.

    python -m tests.bench.power [--quick] [--seeds 1 2 3] [--only NAME ...] [--page docs/power.md]

As `python -m tests.bench.engine`: each figure beside its goal, for each seed; the exit code is 1 where one is missed.
"""

from __future__ import annotations

import sys
from concurrent.futures import Executor

from tests.bench.command import Bench
from tests.bench.engine.bounds import Bound
from tests.bench.power.lines import LINES
from tests.bench.power.run import FULL, QUICK, Run


def run_of(seed: int, quick: bool, bound: Bound, pool: Executor) -> Run:  # noqa: FBT001  # the command's own shape
    """What the lines of one seed need."""
    return Run(seed, QUICK if quick else FULL, bound, pool)


if __name__ == "__main__":
    sys.exit(
        Bench(
            "python -m tests.bench.power", "Falls, springs, blows and stops against their goals.", LINES, run_of
        ).main()
    )
