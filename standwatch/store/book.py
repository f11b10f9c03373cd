"""The book itself: one connection, its transactions, and what the service asks of it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from standwatch.model.facts import Body, CheckIn, Clock, Handover, Waiver
from standwatch.model.records import AnyRecord, Draft, ImportReport, Outline, Record, Step
from standwatch.model.words import Work
from standwatch.store import reading, register, safety, writing
from standwatch.store.connection import BUSY_S, connect, telling
from standwatch.store.ledger_import import Checks, bring_in
from standwatch.store.ledger_write import write_ledger
from standwatch.store.rows import CHECKINS, CLOCKS, HANDOVERS, WAIVERS

if TYPE_CHECKING:
    from sqlite_utils import Database


def open_book(path: Path, *, create: bool = True, busy_s: float = BUSY_S) -> SqliteBook:
    """The book kept in the file `path`, made new where there is none and `create` says so.

    Every call waits up to `busy_s` seconds for another program's lock. Raises BookUnusable, as every later call does
    where the file can't be used.
    """
    return SqliteBook(connect(path, create=create, busy_s=busy_s), path, busy_s)


class SqliteBook:
    """Facts, appended and never edited; every write is on the disk when the call returns.

    One per thread. Times are aware and come back in UTC. BookUnusable from any call: the file is locked for too long,
    can't be written, or is damaged.
    """

    def __init__(self, db: Database, path: Path, busy_s: float) -> None:
        self._db = db
        self._path = path
        self._busy_s = busy_s

    @property
    def path(self) -> Path:
        """The file."""
        return self._path

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()

    def _telling(self) -> AbstractContextManager[None]:
        return telling(self._path, self._busy_s)

    @contextmanager
    def writing(self) -> Iterator[None]:
        """A transaction that holds the write lock from the start: read in it, then append, and nobody comes between.

        Nested, it is a step of the outer one: an error undoes the step, and the outer one if it gets so far.
        """
        if self._db.conn.in_transaction:
            with self._db.atomic():
                yield
            return
        try:
            with self._telling():
                self._db.execute("BEGIN IMMEDIATE")
            yield
            with self._telling():
                self._db.execute("COMMIT")
        except BaseException:
            self._db.rollback()
            raise

    def append(self, drafts: Iterable[Draft], *, at: datetime) -> list[str]:
        """Write all of `drafts` or none, recorded `at`; their ids in order.

        Raises BadValue for an id that the book has already, and where `replaces` names no fact of the same sort.
        """
        with self.writing(), self._telling():
            return writing.append(self._db, drafts, at)

    def set(self, values: Mapping[str, str], *, at: datetime) -> None:
        """Keep new values of settings; the old ones stay in the book's memory."""
        with self.writing(), self._telling():
            kept = reading.settings(self._db)
            for name, value in values.items():
                if kept.get(name) != value:
                    writing.write_setting(self._db, name, value, at)

    def clocks(self, tag: str | None = None, *, of: Collection[str] | None = None) -> list[Record[Clock]]:
        """Every current clock (of one tag, of these tags), in order of first writing."""
        with self._telling():
            return reading.current(self._db, CLOCKS, tag, of=of)

    def check_ins(
        self, tag: str | None = None, *, work: Work | None = None, of: Collection[str] | None = None
    ) -> list[Record[CheckIn]]:
        """Current check-ins (of one tag, of these tags, with one work), ordered by time, then place."""
        with self._telling():
            return reading.current(self._db, CHECKINS, tag, work=work, of=of)

    def temperatures(self, of: Collection[str] | None = None) -> list[tuple[str, str, datetime, float, int]]:
        """(id, tag, time, deg C, place) of each current check-in (of these tags) with a temperature, by time, place."""
        with self._telling():
            return reading.temperatures(self._db, of)

    def handovers(self, tag: str | None = None, *, of: Collection[str] | None = None) -> list[Record[Handover]]:
        """Current handovers (of one tag, of these tags), ordered by time, then place."""
        with self._telling():
            return reading.current(self._db, HANDOVERS, tag, of=of)

    def waivers(self, tag: str | None = None, *, of: Collection[str] | None = None) -> list[Record[Waiver]]:
        """Current waivers (of one tag, of these tags), ordered by time, then place."""
        with self._telling():
            return reading.current(self._db, WAIVERS, tag, of=of)

    def outlines(self, of: Collection[str] | None = None) -> dict[str, Outline]:
        """Each current clock (of these tags) in outline, by tag, in order of first writing."""
        with self._telling():
            return register.outlines(self._db, of)

    def steps(self, of: Collection[str] | None = None) -> dict[str, tuple[Step, ...]]:
        """The steps of handing over (of these tags) by tag, in order of time, without what was said."""
        with self._telling():
            return register.steps(self._db, of)

    def last_read(self, until: datetime, of: Collection[str] | None = None) -> dict[str, datetime]:
        """When each clock (of these tags) was last read by `until`, by tag; what was never read is left out."""
        with self._telling():
            return register.last_read(self._db, until, of)

    def ids_until(self, until: datetime, of: Collection[str]) -> dict[str, tuple[str, ...]]:
        """The ids of each of these clocks' facts (waivers aside) that tell of a time up to `until`, by tag."""
        with self._telling():
            return register.ids_until(self._db, until, of)

    def read_since(self, since: datetime, until: datetime | None = None) -> frozenset[str]:
        """The tags of which a current check-in is of `since` or later (and not later than `until`)."""
        with self._telling():
            return register.read_since(self._db, since, until)

    def find(self, prefix: str) -> AnyRecord:
        """The one current fact whose id begins so; BadValue if none or several do, or if it was replaced or undone."""
        with self._telling():
            return reading.find(self._db, prefix)

    def ever(self, ids: Iterable[str]) -> dict[str, AnyRecord]:
        """The facts of these ids, current or not; an id that the book doesn't have is not in the answer."""
        with self._telling():
            return reading.ever(self._db, ids)

    def last(self, tag: str | None = None) -> AnyRecord | None:
        """The current fact (of `tag`) written last; None where there is none.

        Taken back, it restores what it replaced.
        """
        with self._telling():
            return reading.last(self._db, tag)

    def settings(self) -> dict[str, str]:
        """The book's own settings as last set; what was never set is not in it."""
        with self._telling():
            return reading.settings(self._db)

    def version(self) -> int:
        """A number that has grown whenever anyone wrote to the book, from any process; after a restore too."""
        with self._telling():
            return reading.version(self._db)

    def touched(self, since: int) -> frozenset[str] | None:
        """Tags of which anything was written since `version()` was `since`; None where a backup was restored since."""
        with self._telling():
            return reading.touched(self._db, since)

    def import_ledger(
        self,
        paths: Sequence[Path],
        *,
        check: Callable[[Body, Clock | None], None],
        at: datetime,
        dry_run: bool,
        progress: Callable[[int], None],
        check_setting: Callable[[str, str], str] | None = None,
        check_step: Callable[[Body | None, str | None], str] | None = None,
    ) -> ImportReport:
        """Bring in a ledger, all or nothing; BadValue says file:line:column. `progress` is told rows done.

        `check` is asked about each new fact, `check_setting` about each row of book.csv, and `check_step` (fact, what
        it replaces) at the end about each new row of releases.csv.
        """
        report: ImportReport | None = None
        try:
            with self.writing(), self._telling():
                checks = Checks(check, check_setting, check_step)
                report = bring_in(self._db, paths, at=at, checks=checks, progress=progress)
                if dry_run:
                    raise _OnlyChecked  # noqa: TRY301  # the transaction has to see it
        except _OnlyChecked:
            pass
        assert report is not None  # noqa: S101  # for the type checker: an error has passed through by now
        return report

    def export_ledger(self, folder: Path) -> dict[str, int]:
        """Write the whole book as a ledger, replaced and taken-back facts too; rows by file name.

        BadValue where the folder can't be written; then nothing in it is changed.
        """
        with self._telling():
            return write_ledger(self._db, folder)

    def backup(self, to: Path) -> None:
        """Copy the book, whole and consistent, to `to` while others may go on writing.

        An earlier backup there is replaced. BadValue for the book itself, any other file, or what can't be written.
        """
        with self._telling():
            safety.backup(self._db, self._path, to)

    def selfcheck(self) -> list[str]:
        """What is wrong with the file, a sentence each; empty where all is well."""
        with self._telling():
            return safety.selfcheck(self._db)


class _OnlyChecked(Exception):
    """Leaves an import's transaction without keeping it."""
