"""What the book tells: current facts, one fact by its id, settings, and whether anything is new."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING, Any

from standwatch.model.errors import BadValue
from standwatch.model.records import AnyRecord, B, Record
from standwatch.model.words import Work
from standwatch.store.register import OF, tags_cell
from standwatch.store.rows import SORTS, AnySort, Sort

if TYPE_CHECKING:
    from sqlite_utils import Database

_AT_ONCE = 500
"""Facts that are asked for by id in one statement."""
_HEAD = "f.seq, f.id, f.place, f.replaces, f.recorded_at, f.tag"


def current(
    db: Database, sort: Sort[B], tag: str | None, *, work: Work | None = None, of: Collection[str] | None = None
) -> list[Record[B]]:
    """The current facts of one sort (of one tag, of these tags, with one work), by time, place; clocks by place."""
    # CROSS JOIN keeps SQLite to the order written: from the tags' few facts, or from the sort's own table
    tables = f"{sort.table} AS b CROSS JOIN current AS f"
    if work is None and (tag is not None or of is not None):
        tables = f"current AS f CROSS JOIN {sort.table} AS b"
    wanted = ["b.seq = f.seq"]
    wanted += ["f.tag = :tag"] if tag is not None else []
    wanted += [OF] if of is not None else []
    wanted += ["b.work = :work"] if work is not None else []
    order = "b.at, f.place" if "at" in sort.columns else "f.place"
    sql = f"SELECT {_HEAD}, {sort.select} FROM {tables} WHERE {' AND '.join(wanted)} ORDER BY {order}"  # noqa: S608  # names of our own
    rows = db.execute(sql, {"tag": tag, "work": work and work.value, "of": tags_cell(of)}).fetchall()
    return [_record(sort, row) for row in rows]


def temperatures(db: Database, of: Collection[str] | None = None) -> list[tuple[str, str, datetime, float, int]]:
    """(id, tag, time, deg C, place) of each current check-in (of these tags) with a temperature, by time, place."""
    sql = f"""
        SELECT f.id, f.tag, b.at, b.temperature_c, f.place FROM checkins AS b CROSS JOIN current AS f
        WHERE f.seq = b.seq AND b.temperature_c IS NOT NULL {"AND " + OF if of is not None else ""}
        ORDER BY b.at, f.place
    """  # noqa: S608  # names of our own
    rows = db.execute(sql, {"of": tags_cell(of)}).fetchall()
    return [(fact_id, tag, datetime.fromisoformat(at), c, place) for fact_id, tag, at, c, place in rows]


def ever(db: Database, ids: Iterable[str]) -> dict[str, AnyRecord]:
    """The facts of these ids, current or not, in the ids' order; what the book doesn't have is not in the answer."""
    wanted = list(dict.fromkeys(ids))
    found: dict[str, AnyRecord] = {}
    for start in range(0, len(wanted), _AT_ONCE):
        some = wanted[start : start + _AT_ONCE]
        marks = ", ".join("?" * len(some))
        for sort in SORTS.values():
            sql = (
                f"SELECT {_HEAD}, {sort.select} FROM facts AS f JOIN {sort.table} AS b ON b.seq = f.seq "  # noqa: S608  # names of our own
                f"WHERE f.id IN ({marks}) AND f.sort = ?"
            )
            rows = db.execute(sql, [*some, sort.name]).fetchall()
            found.update((row[1], _record(sort, row)) for row in rows)  # type: ignore[misc]  # as in `_one`
    return {fact: found[fact] for fact in wanted if fact in found}


def last(db: Database, tag: str | None) -> AnyRecord | None:
    """The current fact (of `tag`) written last; None where there is none."""
    of_tag = "" if tag is None else "WHERE tag = :tag"
    sql = f"SELECT seq, sort FROM current {of_tag} ORDER BY seq DESC LIMIT 1"  # noqa: S608  # names of our own
    row = db.execute(sql, {"tag": tag}).fetchone()
    return None if row is None else _one(db, *row)


def find(db: Database, prefix: str) -> AnyRecord:
    """The one current fact whose id begins so; BadValue if none or several do, or if it was replaced or undone."""
    wanted = prefix.strip()
    found = _beginning(db, wanted) or _beginning(db, wanted.lower())
    if not found:
        raise BadValue(f"no fact's id begins with {wanted!r}; give an id as it was printed when the fact was recorded")
    standing = [(seq, sort) for fact_id, seq, sort, stands in found if stands]
    if len(standing) > 1:
        some = ", ".join(fact_id for fact_id, _seq, _sort, stands in found[:3] if stands)
        raise BadValue(f"several ids begin with {wanted!r} (such as {some}); give more of it")
    if not standing:
        raise BadValue(_gone(db, found[0][0]))
    return _one(db, *standing[0])


def _beginning(db: Database, prefix: str) -> list[tuple[str, int, str, int]]:
    """(id, seq, sort, whether current) of up to 100 facts whose id is `prefix`, or else begins with it."""
    sql = """
        SELECT f.id, f.seq, f.sort, c.seq IS NOT NULL FROM facts f LEFT JOIN current c ON c.seq = f.seq
        WHERE f.id >= :low AND f.id <= :high AND f.digest IS NOT NULL ORDER BY f.id LIMIT 100
    """
    if not prefix:
        return []
    exact = db.execute(sql, {"low": prefix, "high": prefix}).fetchall()
    return exact or db.execute(sql, {"low": prefix, "high": f"{prefix}\U0010ffff"}).fetchall()


def _gone(db: Database, fact_id: str) -> str:
    row = db.execute(
        "SELECT id, digest IS NULL FROM facts WHERE replaces = ? ORDER BY digest IS NOT NULL, seq DESC", (fact_id,)
    ).fetchone()
    if row is None or row[1]:
        return f"the fact {fact_id} was taken back; enter it anew"
    return f"the fact {fact_id} was replaced by {row[0]}; give that id"


def settings(db: Database) -> dict[str, str]:
    """The book's own settings as last set, by name."""
    # of each group SQLite takes the bare columns from the row that holds the maximum
    rows = db.execute("SELECT name, value, max(seq) FROM settings GROUP BY name ORDER BY name").fetchall()
    return {name: value for name, value, _seq in rows}


def version(db: Database) -> int:
    """The last number given in the one numbering of facts, settings and restores; 0 in an empty book."""
    sql = """
        SELECT max(coalesce((SELECT max(seq) FROM facts), 0), coalesce((SELECT max(seq) FROM settings), 0),
                   coalesce((SELECT max(seq) FROM restores), 0))
    """
    return int(db.execute(sql).fetchone()[0])


def touched(db: Database, since: int) -> frozenset[str] | None:
    """Tags of which anything was written after `since`; None where a backup was restored after it."""
    if db.execute("SELECT 1 FROM restores WHERE seq > ?", (since,)).fetchone():
        return None
    sql = """
        SELECT tag FROM facts WHERE seq > :since
        UNION SELECT r.tag FROM facts n JOIN facts r ON r.seq = n.place WHERE n.seq > :since AND n.generation > 0
        UNION SELECT o.tag FROM facts n JOIN facts o ON o.place = n.place AND o.generation > 0
              WHERE n.seq > :since AND n.generation > 0
    """
    return frozenset(tag for (tag,) in db.execute(sql, {"since": since}).fetchall())


def _one(db: Database, seq: int, sort_name: str) -> AnyRecord:
    sort: AnySort = SORTS[sort_name]
    row = db.execute(
        f"SELECT {_HEAD}, {sort.select} FROM facts AS f JOIN {sort.table} AS b ON b.seq = f.seq WHERE f.seq = ?",  # noqa: S608  # names of our own
        (seq,),
    ).fetchone()
    return _record(sort, row)  # type: ignore[misc]  # one of the four sorts: mypy solves no type variable by a union


def _record(sort: Sort[B], row: Sequence[Any]) -> Record[B]:
    seq, fact_id, place, replaces, recorded_at, tag = row[:6]
    return Record(fact_id, sort.body(tag, row[6:]), seq, place, replaces, datetime.fromisoformat(recorded_at))
