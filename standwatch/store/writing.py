"""How a fact gets into the book: its number, its link to what it replaces, its row and its body."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from standwatch.model.errors import BadValue
from standwatch.model.records import Draft
from standwatch.store.reading import version
from standwatch.store.rows import SORTS, AnySort, Stored, digest_of, new_id, sort_of, stored, stored_time

if TYPE_CHECKING:
    from sqlite_utils import Database

INSERT_FACT = (
    "INSERT INTO facts (seq, id, sort, tag, replaces, place, generation, digest, recorded_at) "
    "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"
)


@dataclass(frozen=True, slots=True)
class Entry:
    """A fact on its way into the book. Without `tag`, cells and digest it takes `replaces` back."""

    seq: int
    id: str
    tag: str | None
    cells: Stored
    digest: bytes | None
    replaces: str | None


@dataclass(frozen=True, slots=True)
class Link:
    """What the book knows of a fact that another one replaces."""

    sort: AnySort
    tag: str
    place: int
    generation: int
    has_body: bool


def link_to(db: Database, fact_id: str) -> Link | None:
    """What the book knows of the fact `fact_id`; None if it has none."""
    row = db.execute(
        "SELECT sort, tag, place, generation, digest IS NOT NULL FROM facts WHERE id = ?", (fact_id,)
    ).fetchone()
    return None if row is None else Link(SORTS[row[0]], row[1], row[2], row[3], bool(row[4]))


def write(db: Database, entry: Entry, sort: AnySort | None, link: Link | None, at: str) -> None:
    """Write one fact. `sort` is None for one that takes back, `link` for one that replaces nothing.

    Raises BadValue (column `replaces`) where it can't replace what it names.
    """
    if link is None:
        assert sort is not None  # noqa: S101  # what takes back has a link
        head: tuple[object, ...] = (sort.name, entry.tag, None, entry.seq, 0)
    else:
        _check_link(entry, sort, link)
        head = (link.sort.name, entry.tag or link.tag, entry.replaces, link.place, link.generation + 1)
    db.execute(INSERT_FACT, (entry.seq, entry.id, *head, entry.digest, at))
    if sort is not None:
        db.execute(sort.insert(entry.cells), (entry.seq, *entry.cells.values()))


def _check_link(entry: Entry, sort: AnySort | None, link: Link) -> None:
    named = f"replaces {entry.replaces!r}"
    if not link.has_body:
        raise BadValue(f"{named}: that only takes another fact back; enter the fact anew", column="replaces")
    if sort is not None and sort is not link.sort:
        raise BadValue(
            f"{named}: that is a row of {link.sort.file}, this one of {sort.file}; name one of the same file",
            column="replaces",
        )


def append(db: Database, drafts: Iterable[Draft], at: datetime) -> list[str]:
    """Write `drafts` in the transaction that is open; their ids in order. BadValue where one can't be written."""
    seq = version(db)
    ids = []
    for draft in drafts:
        seq += 1
        if draft.id is not None and link_to(db, draft.id):
            raise BadValue(f"id {draft.id!r}: the book has a fact of this id already; leave the id out", column="id")
        if draft.body is None and draft.replaces is None:
            raise BadValue("a fact without a body names none that it takes back; give replaces", column="replaces")
        link = None if draft.replaces is None else link_to(db, draft.replaces)
        if draft.replaces is not None and link is None:
            raise BadValue(f"replaces {draft.replaces!r}: the book has no fact of this id", column="replaces")
        fact_id, sort = draft.id or new_id(), None
        if draft.body is None:
            entry = Entry(seq, fact_id, None, {}, None, draft.replaces)
        else:
            sort, cells, tag = sort_of(draft.body), stored(draft.body), draft.body.tag
            entry = Entry(seq, fact_id, tag, cells, digest_of(sort.name, tag, cells), draft.replaces)
        write(db, entry, sort, link, stored_time(at))
        ids.append(entry.id)
    return ids


def write_setting(db: Database, name: str, value: str, at: datetime) -> None:
    """Keep a new value of a setting in the transaction that is open."""
    db.execute(
        "INSERT INTO settings (seq, name, value, recorded_at) VALUES (?, ?, ?, ?)",
        (version(db) + 1, name, value, stored_time(at)),
    )
