"""One further check-in, saved and reassessed: `python -m tests.bench.one_more [--clocks 300] [--readings 60]`.

What the morning waits for after each reading: the fact is on the disk and its clock worked out anew. The reference, in
the same run, is one row committed to a bare SQLite file with the same pragmas.
"""

from __future__ import annotations

import argparse
import sqlite3
import tempfile
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

from standwatch.bootstrap import open_stand
from tests.bench.import_rows import write_ledger


def bare(path: Path, times: int) -> float:
    """Median seconds of one committed row."""
    taken = []
    with closing(sqlite3.connect(path, isolation_level=None)) as conn:
        conn.execute("PRAGMA journal_mode = WAL")
        conn.execute("PRAGMA synchronous = FULL")
        conn.execute("CREATE TABLE rows (seq INTEGER PRIMARY KEY, at TEXT, error_s REAL) STRICT")
        for n in range(times):
            begun = time.perf_counter()
            conn.execute("INSERT INTO rows (at, error_s) VALUES (?, ?)", (datetime.now(UTC).isoformat(), float(n)))
            taken.append(time.perf_counter() - begun)
    return median(taken)


def main() -> None:
    """Time both and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--clocks", type=int, default=300)
    parser.add_argument("--readings", type=int, default=60)
    parser.add_argument("--times", type=int, default=20)
    told = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_ledger(folder, clocks=told.clocks, readings=told.readings)
        with closing(open_stand(folder / "book.sqlite")) as stand:
            now = datetime.now(UTC)
            stand.import_ledger([folder], now)
            stand.view(now)
            tags = [record.body.tag for record in stand.clocks()][: told.times]
            taken = []
            for n, tag in enumerate(tags):
                begun = time.perf_counter()
                stand.check_in({"tag": tag, "error_s": 1.0}, now + timedelta(seconds=n))
                taken.append(time.perf_counter() - begun)
        reference = bare(folder / "bare.sqlite", told.times)
    saved = median(taken)
    print(f"{told.clocks} clocks x {told.readings} readings; medians of {len(taken)}")
    print(f"one further check-in saved and reassessed  {saved * 1000:6.1f} ms")
    print(f"one row committed to a bare SQLite file    {reference * 1000:6.2f} ms")
    print(f"ratio {saved / reference:.0f}")


if __name__ == "__main__":
    main()
