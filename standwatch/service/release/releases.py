"""The releases of a clock, as they were made; and what no import may do to one."""

from __future__ import annotations

from datetime import datetime

from standwatch.model.errors import BadValue, BookUnusable, Refused
from standwatch.model.facts import Body, Handover
from standwatch.model.records import Record
from standwatch.model.release import ReleaseRecord
from standwatch.service.assessing import Assessor
from standwatch.service.ports import Book
from standwatch.service.release.freezing import fault_of, thaw


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
    fault = fault_of(office.book, last)
    record = thaw(last) if fault is None else None
    if record is None:
        why = fault.words if fault else "has a record of an edition that is not known here"
        raise BookUnusable(
            f"the release of {tag} at {last.at.isoformat()} {why}; bring back a backup by `standwatch restore`"
        )
    return record


def release_steps(office: Assessor, tag: str) -> list[Record[Handover]]:
    """The releases of a clock, in order of time."""
    return [record for record in office.facts(tag).handovers if record.body.what == "released"]


def check_brought_in(book: Book, body: Body | None, replaces: str | None) -> str:
    """What is to be said of a row of a ledger's releases.csv, the rest of which is in the book; empty for nothing.

    Raises BadValue, with its column, for a row that alters a release: none is replaced or taken back, and its record
    is as it was frozen. Facts that the ledger leaves out may still come: that is said, and until then by `selfcheck`.
    """
    old = None if replaces is None else book.ever([replaces]).get(replaces)
    if old is not None and isinstance(old.body, Handover) and old.body.what == "released":
        raise BadValue(
            f"replaces {replaces!r}: that is a release of {old.body.tag}, which stands as it was made; reopen the "
            "clock instead",
            column="replaces",
        )
    if not isinstance(body, Handover) or body.what != "released" or not body.record:
        return ""
    fault = fault_of(book, body)
    if fault is None:
        return ""
    said = f"the release of {body.tag} at {body.at.isoformat()} {fault.words}"
    if fault.lacks:
        return f"{said}; import what is missing"
    raise BadValue(
        f"{said}; leave the ledger's rows as the export wrote them (a spreadsheet cuts long cells)", column="record"
    )
