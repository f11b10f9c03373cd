"""Books and ledgers for the store's tests: real files, small rows."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path

from standwatch.horology.limits import check_possible
from standwatch.model.facts import Body, CheckIn, Clock
from standwatch.model.records import Draft, ImportReport, build
from standwatch.store import SqliteBook

NOW = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)

CLOCKS = "tag,kind,going_usable_mm\nL1,longcase,1200\nM1,mantel,\nC1,floor-chiming,\nR1,reference,\n"
"""A weight clock with strike, a spring clock with strike, one that chimes, and one that does neither."""


def check(body: Body, clock: Clock | None) -> None:
    """What an import asks about each new fact, as of NOW."""
    check_possible(body, clock, now=NOW)


def bring(book: SqliteBook, *paths: Path, dry_run: bool = False) -> ImportReport:
    """Import these paths into `book`."""
    return book.import_ledger(paths, check=check, at=NOW, dry_run=dry_run, progress=lambda _rows: None)


def ledger(folder: Path, **files: str | bytes) -> Path:
    """A ledger's folder; `checkins=TEXT` writes checkins.csv, and clocks.csv is CLOCKS unless given ("" for none)."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in {"clocks": CLOCKS, **files}.items():
        raw = text if isinstance(text, bytes) else text.encode()
        if raw:
            (folder / f"{name}.csv").write_bytes(raw)
    return folder


def csv_text(rows: Iterable[Mapping[str, object]]) -> str:
    """CSV with the columns that any row has."""
    rows = list(rows)
    out = io.StringIO()
    writer = csv.DictWriter(out, list(dict.fromkeys(name for row in rows for name in row)), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def clock(tag: str = "L1", kind: str = "longcase", **cells: object) -> Draft:
    """A clock to be written."""
    return Draft(build(Clock, {"tag": tag, "kind": kind, **cells}))


def reading(day: int, tag: str = "L1", **cells: object) -> CheckIn:
    """A check-in at 08:00 UTC of a day of November 2026."""
    return build(CheckIn, {"at": datetime(2026, 11, day, 8, tzinfo=UTC), "tag": tag, **cells})


def everything(book: SqliteBook) -> tuple[object, ...]:
    """All that the book tells now, to see whether it is the same later."""
    return (book.version(), book.clocks(), book.check_ins(), book.handovers(), book.waivers(), book.settings())


def exported(book: SqliteBook, folder: Path) -> dict[str, bytes]:
    """The files of the book's ledger by name."""
    book.export_ledger(folder)
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}
