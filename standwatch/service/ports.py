"""What the service needs of a book. The store keeps it in SQLite; bootstrap joins the two."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import datetime
from pathlib import Path
from typing import Protocol

from standwatch.model.facts import Body, CheckIn, Clock, Handover, Waiver
from standwatch.model.records import AnyRecord, Draft, ImportReport, Outline, Record, Step
from standwatch.model.words import Work

__all__ = ["Book", "Check", "CheckSetting", "CheckStep", "Draft", "ImportReport"]

Check = Callable[[Body, Clock | None], None]
"""Raises BadValue (with its column) where a fact can't be true of its clock or lies in the future."""
CheckStep = Callable[[Body | None, str | None], str]
"""What is to be said of a row of releases.csv (its fact, what it replaces), once all rows are in; or BadValue."""
CheckSetting = Callable[[str, str], str]
"""A book's setting (name, value) as the book keeps it; raises BadValue where it can't be."""


class Book(Protocol):
    """Facts, appended and never edited. Every write is durable when the call returns. One per thread."""

    @property
    def path(self) -> Path:
        """The file."""

    def writing(self) -> AbstractContextManager[None]:
        """A transaction that holds the write lock from the start: read in it, then append, and nobody comes between."""

    def append(self, drafts: Iterable[Draft], *, at: datetime) -> list[str]:
        """Write all of `drafts` or none, recorded `at`; their ids in order."""

    def clocks(self, tag: str | None = None, *, of: Collection[str] | None = None) -> list[Record[Clock]]:
        """Every current clock (of one tag, of these tags), in order of first writing."""

    def check_ins(
        self, tag: str | None = None, *, work: Work | None = None, of: Collection[str] | None = None
    ) -> list[Record[CheckIn]]:
        """Current check-ins (of one tag, of these tags, with one work), ordered by time, then place."""

    def temperatures(self, of: Collection[str] | None = None) -> list[tuple[str, str, datetime, float, int]]:
        """(id, tag, time, deg C, place) of each current check-in (of these tags) with a temperature, by time, place."""

    def handovers(self, tag: str | None = None, *, of: Collection[str] | None = None) -> list[Record[Handover]]:
        """Current handovers (of one tag, of these tags), ordered by time, then place."""

    def waivers(self, tag: str | None = None, *, of: Collection[str] | None = None) -> list[Record[Waiver]]:
        """Current waivers (of one tag, of these tags), ordered by time, then place."""

    def outlines(self, of: Collection[str] | None = None) -> dict[str, Outline]:
        """Each current clock (of these tags) in outline, by tag, in order of first writing."""

    def steps(self, of: Collection[str] | None = None) -> dict[str, tuple[Step, ...]]:
        """The steps of handing over (of these tags) by tag, in order of time, without what was said."""

    def last_read(self, until: datetime, of: Collection[str] | None = None) -> dict[str, datetime]:
        """When each clock (of these tags) was last read by `until`, by tag; what was never read is left out."""

    def ids_until(self, until: datetime, of: Collection[str]) -> dict[str, tuple[str, ...]]:
        """The ids of each of these clocks' facts (waivers aside) that tell of a time up to `until`, by tag."""

    def read_since(self, since: datetime, until: datetime | None = None) -> frozenset[str]:
        """The tags of which a current check-in is of `since` or later (and not later than `until`)."""

    def find(self, prefix: str) -> AnyRecord:
        """The one current fact whose id begins so; BadValue if none or several do, or if it was replaced or undone."""

    def ever(self, ids: Iterable[str]) -> dict[str, AnyRecord]:
        """The facts of these ids, current or not; an id that the book doesn't have is not in the answer."""

    def last(self, tag: str | None = None) -> AnyRecord | None:
        """The fact (of `tag`) written last and not yet taken back; None where there is none."""

    def settings(self) -> dict[str, str]:
        """The book's own settings as last set; what was never set is not in it."""

    def set(self, values: Mapping[str, str], *, at: datetime) -> None:
        """Keep new values of settings; the old ones stay in the book's memory."""

    def version(self) -> int:
        """A number that has grown whenever anyone wrote to the book, from any process."""

    def touched(self, since: int) -> frozenset[str] | None:
        """Tags of which anything was written since `version()` was `since`; None where the book can't tell."""

    def import_ledger(
        self,
        paths: Sequence[Path],
        *,
        check: Check,
        at: datetime,
        dry_run: bool,
        progress: Callable[[int], None],
        check_setting: CheckSetting | None = None,
        check_step: CheckStep | None = None,
    ) -> ImportReport:
        """Bring in a ledger, all or nothing; BadValue says file:line:column. `progress` is told rows done.

        `check_setting` is asked about each row of book.csv, `check_step` at the end about each new one of releases.csv.
        """

    def export_ledger(self, folder: Path) -> dict[str, int]:
        """Write the whole book as a ledger; rows by file name."""

    def backup(self, to: Path) -> None:
        """Copy the book, whole and consistent, to `to` while others may go on writing."""

    def selfcheck(self) -> list[str]:
        """What is wrong with the file, a sentence each; empty where all is well."""

    def close(self) -> None:
        """Let go of the file."""
