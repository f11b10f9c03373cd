"""The rate engine against every goal it has, in one table.

    python -m tests.bench.engine [--quick] [--seeds 1 2 3] [--only NAME ...] [--page docs/engine.md]

Prints each figure beside its goal, for each seed: a figure that holds for one seed only does not count. `--quick` takes
fewer clocks and allows for that (the bound is printed). `--page` also writes the whole table into a page, between two
comments (see `page.py`). The exit code is 1 where a goal is missed.
"""

from __future__ import annotations

import sys
from concurrent.futures import Executor

from tests.bench.command import Bench
from tests.bench.engine.bounds import Bound
from tests.bench.engine.lines import LINES
from tests.bench.engine.table import FULL, QUICK, Run


def run_of(seed: int, quick: bool, bound: Bound, pool: Executor) -> Run:  # noqa: FBT001  # the command's own shape
    """What the lines of one seed need."""
    return Run(seed, QUICK if quick else FULL, bound, pool)


if __name__ == "__main__":
    sys.exit(Bench("python -m tests.bench.engine", "The rate engine against its goals.", LINES, run_of).main())
