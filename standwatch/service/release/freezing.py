"""A release's record as one line of text, frozen, with a digest that anyone can work out again.

The line is JSON with sorted keys (`model.release`). `facts` are the ids of every current fact of the clock up to the
release, and `digest` is the SHA-256 (FIPS 180-4) of the line without it, followed by each fact's id and cells. It is
worked out from the text as kept, so a record of any edition is looked at alike, and later facts, corrections,
defaults or versions change nothing in it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from pydantic import ValidationError

from standwatch.judge.assessment import Assessment
from standwatch.model.facts import Body, Handover, Waiver
from standwatch.model.records import AnyRecord
from standwatch.model.release import Home, ReleaseRecord
from standwatch.service.ports import Book
from standwatch.service.shop import Shop


def freeze(
    found: Assessment,
    stood_on: Sequence[AnyRecord],
    waivers: Sequence[Waiver],
    *,
    by: str,
    shop: Shop,
    home: Home | None = None,
) -> str:
    """The record of letting `found` go now, on the facts `stood_on`, as the line of text that the book keeps."""
    from standwatch.service.release.as_it_was import as_it_was  # noqa: PLC0415  # tags are shown before the estimators are loaded

    record = as_it_was(found, stood_on, waivers, by=by, shop=shop, home=home)
    told = record.model_dump(exclude={"digest"}, exclude_none=True)
    told["digest"] = digest(told, stood_on)
    return _line(told)


def thaw(step: Handover) -> ReleaseRecord | None:
    """The record that a release carries, whatever its edition; None where it has none that can be read."""
    try:
        return ReleaseRecord.model_validate_json(step.record or "")
    except ValidationError:
        return None


def digest(told: Mapping[str, object], stood_on: Iterable[AnyRecord]) -> str:
    """The SHA-256 in hex of a record's content and of the facts it stands on, by id."""
    total = hashlib.sha256(_line({k: v for k, v in told.items() if k != "digest"}).encode())
    for record in sorted(stood_on, key=lambda r: r.id):
        total.update(f"\n{record.id} {_cells(record.body)}".encode())
    return total.hexdigest()


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a release, in words that follow "the release of R1"; `lacks`: only a fact is missing."""

    words: str
    lacks: bool = False


def untrue_releases(book: Book, steps: Iterable[Handover]) -> list[str]:
    """A sentence for each release whose digest is no longer that of its record and facts."""
    return [
        f"the release of {s.tag} at {s.at.isoformat()} {fault.words}"
        for s in steps
        if s.what == "released" and (fault := fault_of(book, s)) is not None
    ]


def fault_of(book: Book, step: Handover) -> Fault | None:
    """What is wrong with a release and its record; None where nothing is."""
    try:
        told = json.loads(step.record or "")
        ids = [str(fact) for fact in told["facts"]]
        claimed, own = told["digest"], (told["tag"], told["at"], told["by"])
    except (ValueError, KeyError, TypeError, RecursionError):
        return Fault("has no record that can be read")
    if _line(told) != step.record:
        return Fault("has a record that was edited: it is not written as it was frozen")
    if own != (step.tag, step.at.isoformat(), step.by):
        return Fault(f"carries the record of another: {own[0]} let go by {own[2]} at {own[1]}")
    stood_on = book.ever(ids)
    gone = [fact for fact in ids if fact not in stood_on]
    if gone:
        return Fault(f"stood on a fact that the book does not have ({gone[0]})", lacks=True)
    if digest(told, stood_on.values()) != claimed:
        return Fault("does not match its digest: its record, or a fact that it stood on, was altered")
    return None


def _cells(body: Body) -> str:
    """A fact's cells that are given. An earlier release's record is told by a digest, so that records don't nest."""
    cells = {name: _plain(value) for name, value in body if value is not None}
    if isinstance(body, Handover) and body.record:
        cells["record"] = hashlib.sha256(body.record.encode()).hexdigest()
    return _line(cells)


def _plain(value: object) -> object:
    """A cell as the digests have always had it, whatever wrote it."""
    return value.isoformat().replace("+00:00", "Z") if isinstance(value, datetime) else value


def _line(told: Mapping[str, object]) -> str:
    return json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=True, default=_iso)


def _iso(value: object) -> str:
    if isinstance(value, date):  # a datetime is one
        return value.isoformat()
    raise TypeError(f"no place in a record for {type(value).__name__}")
