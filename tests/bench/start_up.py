"""How long `status` of 16 clocks takes, against a bare import of numpy and pydantic.

    python -m tests.bench.start_up [--runs N]

Both are timed as whole processes, in turn, in the same run; the medians and their ratio are printed.
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence

from standwatch.bootstrap import demo

REFERENCE = (sys.executable, "-c", "import numpy, pydantic")


def seconds(command: Sequence[str]) -> float:
    """Wall time of one run of `command`."""
    begun = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True)
    return time.perf_counter() - begun


def main() -> None:
    """Time both in turn and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=11)
    runs = parser.parse_args().runs
    with tempfile.TemporaryDirectory(), demo() as (book, begins):
        program = (sys.executable, "-m", "standwatch", "--book", str(book), "--now", begins.isoformat())
        commands: dict[str, Sequence[str]] = {
            "reference: import numpy, pydantic": REFERENCE,
            "standwatch status, 16 clocks": (*program, "status"),
            "standwatch --help": (*program, "--help"),
            "standwatch checkin --help": (*program, "checkin", "--help"),
        }
        for command in commands.values():
            seconds(command)  # the files are read once
        times: dict[str, list[float]] = {name: [] for name in commands}
        for _ in range(runs):
            for name, command in commands.items():
                times[name].append(seconds(command))
    reference = statistics.median(times["reference: import numpy, pydantic"])
    for name, taken in times.items():
        median = statistics.median(taken)
        print(f"{name:36} {median * 1000:7.0f} ms   {median / reference:5.2f} x   (median of {runs})")


if __name__ == "__main__":
    main()
