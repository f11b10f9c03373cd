"""A ledger brought into the book: each row one fact, unless the book or an earlier row has it already.

Rows are numbered in the order they are read: clocks.csv, checkins.csv, waivers.csv, releases.csv, each in file order.
A row that replaces another keeps its number but waits until that one is in the book, so that rows may come in any
order.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from standwatch.model.errors import BadValue
from standwatch.model.facts import Body, Clock
from standwatch.model.records import ImportReport
from standwatch.store.ledger_clocks import ClockRoll
from standwatch.store.ledger_read import LedgerFile, open_ledger
from standwatch.store.ledger_row import Known, Row, row_of
from standwatch.store.ledger_settings import LedgerSettings
from standwatch.store.reading import version
from standwatch.store.rows import CLOCKS, HANDOVERS, AnySort, new_id, stored_time
from standwatch.store.writing import INSERT_FACT, Entry, link_to, write

if TYPE_CHECKING:
    from sqlite_utils import Database

_BATCH = 500


@dataclass(frozen=True, slots=True)
class Checks:
    """Who is asked about each new fact, each setting, and at the end each new row of releases.csv; see `Book`."""

    fact: Callable[[Body, Clock | None], None]
    setting: Callable[[str, str], str] | None
    step: Callable[[Body | None, str | None], str] | None


def bring_in(
    db: Database, paths: Sequence[Path], *, at: datetime, checks: Checks, progress: Callable[[int], None]
) -> ImportReport:
    """Import the ledger that `paths` name into the transaction that is open. Raises BadValue: file:line:column."""
    with ExitStack() as opened:
        files = open_ledger(paths, opened)
        settings = LedgerSettings(db, at, checks.setting)
        run = _Import(db, at, ClockRoll(db, checks.fact), settings, progress)
        for file in files:
            if file.sort is None:
                settings.take(file)
            else:
                run.take(file, file.sort)
        notes = run.finish(checks.step)
    rows: dict[str, int] = {}
    added: dict[str, int] = {}
    for file in files:
        rows[file.path.name] = rows.get(file.path.name, 0) + file.row_count
        added[file.path.name] = added.get(file.path.name, 0) + file.added
    return ImportReport(rows, added, (*settings.notes, *notes))


class _Import:
    """One import on its way."""

    def __init__(
        self, db: Database, at: datetime, roll: ClockRoll, settings: LedgerSettings, progress: Callable[[int], None]
    ) -> None:
        self._db = db
        self._at = stored_time(at)
        self._roll = roll
        self._settings = settings
        self._progress = progress
        self._seq = version(db)
        self._known = Known(db)
        self._waiting: dict[str, list[tuple[int, Row]]] = {}
        self._steps: list[Row] = []
        self._done = 0

    def take(self, file: LedgerFile, sort: AnySort) -> None:
        """Take all rows of one file."""
        if sort is not CLOCKS:
            self._roll.call()
        batch: list[Row] = []
        for line, cells in file.rows:
            row = row_of(file, sort, line, cells)
            if row is None:
                continue
            batch.append(row)
            if len(batch) == _BATCH:
                self._flush(batch, sort)
                batch = []
        self._flush(batch, sort)
        for wanted in list(self._waiting):
            self._release(wanted)

    def finish(self, check_step: Callable[[Body | None, str | None], str] | None) -> list[str]:
        """See that nothing waits for a fact that nobody knows, that every tag has its clock; what is said of steps."""
        for wanted, waiting in self._waiting.items():
            _seq, row = waiting[0]
            circle = any(held.id == wanted for rows in self._waiting.values() for _seq, held in rows)
            why = "it is replaced by this one in turn" if circle else "neither the book nor the ledger has this id"
            raise row.bad(BadValue(f"replaces {wanted!r}: {why}; name the fact it corrects", column="replaces"))
        self._roll.call()
        self._roll.finish()
        return [] if check_step is None else [note for row in self._steps if (note := _told(row, check_step))]

    def _flush(self, batch: list[Row], sort: AnySort) -> None:
        """Write the rows of `batch` that are new; let those wait that replace something."""
        self._known.look(batch)
        facts: list[tuple[object, ...]] = []
        bodies: dict[tuple[str, ...], list[tuple[object, ...]]] = {}
        for row in batch:
            row.file.row_count += 1
            if self._known.has(row):
                continue
            row.file.added += 1
            self._seq += 1
            seq = self._seq
            self._known.add(row)
            if sort is HANDOVERS:
                self._steps.append(row)
            if row.body is not None:
                self._settings.refuse_dial(row)
                self._roll.check(seq, row, row.body)
            fact_id = row.id or new_id()
            if row.replaces is not None or row.body is None:
                row.id = fact_id
                self._known.hold(row)
                self._waiting.setdefault(row.replaces or "", []).append((seq, row))
            else:
                facts.append((seq, fact_id, sort.name, row.body.tag, None, seq, 0, row.digest, self._at))
                bodies.setdefault(tuple(row.stored), []).append((seq, *row.stored.values()))
        self._db.conn.executemany(INSERT_FACT, facts)
        for given, rows in bodies.items():
            self._db.conn.executemany(sort.insert(given), rows)
        self._done += len(batch)
        self._progress(self._done)

    def _release(self, wanted: str) -> None:
        """Write what waits for the fact `wanted`, if that is in the book now, and what waits for those in turn."""
        ready = [wanted]
        while ready:
            wanted = ready.pop()
            link = link_to(self._db, wanted) if wanted in self._waiting else None
            if link is None:
                continue
            for seq, row in self._waiting.pop(wanted):
                tag = None if row.body is None else row.body.tag
                entry = Entry(seq, row.id or "", tag, row.stored, row.digest, wanted)
                try:
                    write(self._db, entry, None if row.body is None else row.sort, link, self._at)
                except BadValue as error:
                    raise row.bad(error) from None
                if link.sort is CLOCKS:
                    self._roll.replaced(link.tag, row)
                ready.append(entry.id)


def _told(row: Row, check_step: Callable[[Body | None, str | None], str]) -> str:
    """What is to be said of a row of releases.csv, with its place; empty for nothing."""
    try:
        said = check_step(row.body, row.replaces)
    except BadValue as error:
        raise row.bad(error) from None
    return str(row.bad(BadValue(said, column="record"))) if said else ""
