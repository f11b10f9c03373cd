"""The releases of a clock, as they were made; and what no import may do to one."""

from __future__ import annotations

from datetime import datetime

from standwatch.model.errors import BadValue, BookUnusable, Refused
from standwatch.model.facts import Body, Handover
from standwatch.model.records import Record
from standwatch.model.release import ReleaseRecord
from standwatch.service.assessing import Assessor
from standwatch.service.freezing import thaw, untrue
from standwatch.service.ports import Book


def releases(office: Assessor, tag: str) -> tuple[ReleaseRecord, ...]:
    """The record of every release of a clock that can be read, oldest first, whatever its edition."""
    records = [thaw(step.body) for step in release_steps(office, tag)]
    return tuple(record for record in records if record is not None)


def released(office: Assessor, tag: str, now: datetime) -> ReleaseRecord:
    """The record of the last release by `now`, for papers.

    Refused, with the next step, where there is none; BookUnusable where it is no longer as it was frozen.
    """
    steps = [step.body for step in release_steps(office, tag) if step.body.at <= now]
    if not steps:
        raise Refused(
            f"{tag} was not released, so there is no record; `standwatch release {tag} --by NAME` lets it go, or says "
            "what is missing"
        )
    last = steps[-1]
    why = untrue(office.book, last)
    record = None if why else thaw(last)
    if record is None:
        why = why or "has a record of an edition that is not known here"
        raise BookUnusable(
            f"the release of {tag} at {last.at.isoformat()} {why}; bring back a backup by `standwatch restore`"
        )
    return record


def release_steps(office: Assessor, tag: str) -> list[Record[Handover]]:
    """The releases of a clock, in order of time."""
    return [record for record in office.facts(tag).handovers if record.body.what == "released"]


def check_brought_in(book: Book, body: Body | None, replaces: str | None) -> None:
    """Raise BadValue, with its column, for a row of a ledger that alters a release; the rest of it is in the book.

    A release is never replaced and never taken back, and its record is as it was frozen. Facts that the ledger leaves
    out may still come: until then `selfcheck` names them.
    """
    old = None if replaces is None else book.ever([replaces]).get(replaces)
    if old is not None and isinstance(old.body, Handover) and old.body.what == "released":
        raise BadValue(
            f"replaces {replaces!r}: that is a release of {old.body.tag}, which stands as it was made; reopen the "
            "clock instead",
            column="replaces",
        )
    if not isinstance(body, Handover) or body.what != "released" or not body.record:
        return
    why = untrue(book, body, missing=False)
    if why:
        raise BadValue(
            f"the release of {body.tag} at {body.at.isoformat()} {why}; leave the ledger's rows as the export wrote "
            "them (a spreadsheet cuts long cells)",
            column="record",
        )
