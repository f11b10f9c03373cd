"""The command of a bench whose figures have goals: one table a seed, and a page that keeps it."""

from __future__ import annotations

import argparse
import multiprocessing
import os
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Generic, TypeVar

from tests.bench.engine.bounds import Bound
from tests.bench.engine.page import Ran, markdown_of, rewritten
from tests.bench.engine.table import Row, text_of

_PROCESSES = 2
SEEDS = (1, 2, 3)

R = TypeVar("R")


@dataclass(frozen=True)
class Bench(Generic[R]):
    """One bench: how it is called, its lines by the name that `--only` takes, and what a seed's run needs.

    `run_of` is given the seed, whether the run is a quick one, the bound of its verdicts and the processes.
    """

    command: str
    description: str
    lines: Mapping[str, Callable[[R], list[Row]]]
    run_of: Callable[[int, bool, Bound, Executor], R]

    def table(self, seed: int, *, quick: bool, only: Sequence[str] = ()) -> list[Row]:
        """The rows of one seed's run, told on standard error as they come."""
        rows: list[Row] = []
        with ProcessPoolExecutor(_PROCESSES, multiprocessing.get_context("spawn")) as pool:
            run = self.run_of(seed, quick, Bound(quick), pool)
            for name, line in self.lines.items():
                if not only or name in only:
                    start = time.perf_counter()
                    rows += line(run)
                    print(f"{name}: {time.perf_counter() - start:.1f} s", file=sys.stderr, flush=True)
        return rows

    def main(self) -> int:
        """The command line; 1 where a goal is missed."""
        parser = argparse.ArgumentParser(description=self.description)
        parser.add_argument("--quick", action="store_true", help="fewer clocks, bounds that allow for it; some minutes")
        parser.add_argument("--seeds", type=int, nargs="+", help="default: 1 2 3, with --quick 1")
        parser.add_argument("--only", nargs="+", choices=tuple(self.lines), default=(), help="only these lines")
        parser.add_argument("--page", type=Path, help="a Markdown page to write the table into")
        given = parser.parse_args()
        if given.page and given.only:
            parser.error("--page wants the whole table: leave out --only")
        if given.page:  # a page without its place for the table is told before the long run, not after
            rewritten(given.page.read_text("utf-8"), "")
        seeds = given.seeds or (SEEDS[:1] if given.quick else SEEDS)
        bound = Bound(given.quick)
        print(f"seeds {' '.join(map(str, seeds))}; {bound.words}")
        missed: dict[str, list[int]] = {}
        told: dict[int, list[Row]] = {}
        begun = time.perf_counter()
        for seed in seeds:
            start = time.perf_counter()
            rows = told[seed] = self.table(seed, quick=given.quick, only=given.only)
            print(f"\nseed {seed}\n{text_of(rows)}\n{time.perf_counter() - start:.0f} s", flush=True)
            for row in rows:
                if row.reached is False:
                    missed.setdefault(row.line, []).append(seed)
        if given.page:
            minutes = (time.perf_counter() - begun) / 60
            ran = Ran(told, self._asked(given), bound, datetime.now(UTC).date(), minutes, os.cpu_count() or 1)
            given.page.write_text(rewritten(given.page.read_text("utf-8"), markdown_of(ran)), "utf-8")
        print("\nevery goal reached" if not missed else f"\n{len(missed)} goals missed")
        for line, where in missed.items():
            print(f"  {line} (seed {', '.join(map(str, where))})")
        return 1 if missed else 0

    def _asked(self, given: argparse.Namespace) -> str:
        """How to ask for the same again."""
        seeds = [f"--seeds {' '.join(map(str, given.seeds))}"] if given.seeds else []
        return " ".join([self.command, *(["--quick"] if given.quick else []), *seeds])
