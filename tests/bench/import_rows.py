"""How fast a ledger of check-ins comes in: `python -m tests.bench.import_rows [--clocks 300 --readings 400]`.

The reference, in the same run: the same file read by csv.DictReader and written by sqlite3's executemany into one
table, in one transaction and with the same pragmas. It checks nothing, knows no ids and keeps no digest.
"""

from __future__ import annotations

import argparse
import csv
import random
import sqlite3
import tempfile
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

from standwatch.horology.limits import PossibleAsOf
from standwatch.store import open_book

_START = datetime(2025, 1, 6, 8, tzinfo=UTC)
_COLUMNS = ("at", "tag", "error_s", "going_mm", "strike_mm", "amplitude_deg", "work", "note")


def write_ledger(folder: Path, *, clocks: int, readings: int, seed: int = 1) -> None:
    """A ledger of longcases read once a day and wound once a week."""
    rng = random.Random(seed)  # noqa: S311  # figures, not secrets
    with (folder / "clocks.csv").open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(("tag", "kind", "position"))
        writer.writerows((f"C{n}", "longcase", f"A{n}") for n in range(clocks))
    with (folder / "checkins.csv").open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(_COLUMNS)
        for day in range(readings):
            for n in range(clocks):
                at = _START + timedelta(days=day, seconds=n)
                fallen = 165 * (day % 7) + rng.randint(0, 9)
                wound, note = ("wound", "wound full") if day % 7 == 6 else ("", "")
                error = round(rng.gauss(0, 20), 1)
                swing = round(rng.gauss(2.5, 0.05), 2)
                writer.writerow((at.isoformat(), f"C{n}", error, fallen, fallen, swing, wound, note))


def import_seconds(folder: Path) -> float:
    """Seconds for the import into a new book."""
    now = _START + timedelta(days=5000)
    with closing(open_book(folder / "book.sqlite")) as book:
        start = time.perf_counter()
        book.import_ledger([folder], check=PossibleAsOf(now), at=now, dry_run=False, progress=lambda _rows: None)
        return time.perf_counter() - start


def reference_seconds(folder: Path) -> float:
    """Seconds for the same rows by csv.DictReader and executemany."""
    with closing(sqlite3.connect(folder / "reference.sqlite", isolation_level=None)) as conn:
        for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON"):
            conn.execute(f"PRAGMA {pragma}")
        types = ("TEXT", "TEXT", "REAL", "REAL", "REAL", "REAL", "TEXT", "TEXT")
        columns = ", ".join(f"{name} {kind}" for name, kind in zip(_COLUMNS, types, strict=True))
        conn.execute(f"CREATE TABLE checkins (seq INTEGER PRIMARY KEY, {columns}) STRICT")
        marks = ", ".join(f":{name}" for name in _COLUMNS)
        start = time.perf_counter()
        with (folder / "checkins.csv").open(newline="") as file:
            conn.execute("BEGIN IMMEDIATE")
            rows = ({name: cell or None for name, cell in row.items()} for row in csv.DictReader(file))
            conn.executemany(f"INSERT INTO checkins ({', '.join(_COLUMNS)}) VALUES ({marks})", rows)  # noqa: S608  # names of our own
            conn.execute("COMMIT")
        return time.perf_counter() - start


def read_seconds(folder: Path) -> tuple[float, int]:
    """Seconds for reading every check-in back, and how many there are."""
    with closing(open_book(folder / "book.sqlite")) as book:
        start = time.perf_counter()
        count = len(book.check_ins())
        return time.perf_counter() - start, count


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    whole = partial(parser.add_argument, type=int)
    whole("--clocks", default=300)
    whole("--readings", default=400)
    whole("--seed", default=1)
    given = parser.parse_args()
    rows = given.clocks * given.readings
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_ledger(folder, clocks=given.clocks, readings=given.readings, seed=given.seed)
        reference = reference_seconds(folder)
        taken = import_seconds(folder)
        read, count = read_seconds(folder)
    if count != rows:
        raise SystemExit(f"{count} of {rows} rows came back")
    print(f"import     {rows} check-ins in {taken:.2f} s: {rows / taken:.0f} rows/s")
    print(f"reference  csv.DictReader and executemany in {reference:.2f} s: {rows / reference:.0f} rows/s")
    print(f"ratio      {taken / reference:.1f}")
    print(f"read back  {read:.2f} s: {rows / read:.0f} rows/s")


if __name__ == "__main__":
    main()
