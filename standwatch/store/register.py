"""What the book tells of all clocks at once without their facts: who they are, when last read, and their way home."""

from __future__ import annotations

import json
from collections.abc import Collection
from datetime import datetime
from typing import TYPE_CHECKING

from standwatch.model.records import Outline, Step
from standwatch.model.words import KindName
from standwatch.store.rows import stored_time

if TYPE_CHECKING:
    from sqlite_utils import Database

OF = "f.tag IN (SELECT value FROM json_each(:of))"
"""That a fact `f` is of one of the tags bound by `tags_cell`."""


def tags_cell(of: Collection[str] | None) -> str | None:
    """What binds to `OF`: these tags as JSON."""
    return None if of is None else json.dumps(sorted(of))


def outlines(db: Database, of: Collection[str] | None) -> dict[str, Outline]:
    """Each current clock (of these tags) in outline, in order of first writing."""
    sql = f"""
        SELECT f.tag, f.place, b.kind, b.movement_only FROM {_from("clocks", of)} ORDER BY f.place
    """  # noqa: S608  # names of our own
    rows = db.execute(sql, {"of": tags_cell(of)}).fetchall()
    return {tag: Outline(place, KindName(kind), bool(alone)) for tag, place, kind, alone in rows}


def steps(db: Database, of: Collection[str] | None) -> dict[str, tuple[Step, ...]]:
    """The current handovers (of these tags) by tag, in order of time, each without what was said."""
    sql = f"""
        SELECT f.tag, b.at, b.what FROM {_from("handovers", of)} ORDER BY b.at, f.place
    """  # noqa: S608  # names of our own
    found: dict[str, list[Step]] = {}
    for tag, at, what in db.execute(sql, {"of": tags_cell(of)}).fetchall():
        found.setdefault(tag, []).append(Step(datetime.fromisoformat(at), what))
    return {tag: tuple(told) for tag, told in found.items()}


def last_read(db: Database, until: datetime, of: Collection[str] | None) -> dict[str, datetime]:
    """When each clock (of these tags) was last read by `until`, by tag."""
    sql = f"""
        SELECT f.tag, max(b.at) FROM {_from("checkins", of)} AND b.at <= :until GROUP BY f.tag
    """  # noqa: S608  # names of our own
    rows = db.execute(sql, {"of": tags_cell(of), "until": stored_time(until)}).fetchall()
    return {tag: datetime.fromisoformat(at) for tag, at in rows}


def ids_until(db: Database, until: datetime, of: Collection[str]) -> dict[str, tuple[str, ...]]:
    """The ids of each of these clocks' current facts that tell of a time up to `until`, by tag."""
    sql = f"""
        SELECT f.tag, f.id FROM current AS f
        LEFT JOIN checkins AS c ON c.seq = f.seq LEFT JOIN handovers AS h ON h.seq = f.seq
        WHERE {OF} AND (f.sort = 'clock' OR c.at <= :until OR h.at <= :until) ORDER BY f.tag, f.id
    """  # noqa: S608  # names of our own
    found: dict[str, list[str]] = {}
    for tag, fact in db.execute(sql, {"of": tags_cell(of), "until": stored_time(until)}).fetchall():
        found.setdefault(tag, []).append(fact)
    return {tag: tuple(told) for tag, told in found.items()}


def read_since(db: Database, since: datetime, until: datetime | None) -> frozenset[str]:
    """The clocks of which a current check-in is of `since` or later (and not later than `until`)."""
    end = "" if until is None else " AND b.at <= :until"
    sql = f"SELECT DISTINCT f.tag FROM {_from('checkins', None)} AND b.at >= :since{end}"  # noqa: S608  # the same
    bounds = {"since": stored_time(since), "until": until and stored_time(until)}
    return frozenset(tag for (tag,) in db.execute(sql, bounds).fetchall())


def _from(table: str, of: Collection[str] | None) -> str:
    """The current facts of a sort: by the tags' few facts where some are asked for, else from the sort's own table."""
    if of is None:
        return f"{table} AS b CROSS JOIN current AS f WHERE f.seq = b.seq"
    return f"current AS f CROSS JOIN {table} AS b WHERE {OF} AND b.seq = f.seq"
