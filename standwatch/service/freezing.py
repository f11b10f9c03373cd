"""The record of a release: what it stood on and what was found, frozen, with a digest that anyone can work out again.

One line of JSON. `facts` are the ids of every current fact of the clock up to the release, and `digest` is the
SHA-256 (FIPS 180-4) of the record without it, followed by each fact's id and cells. Later facts, corrections or
defaults change nothing in it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from standwatch import __version__
from standwatch.judge.assessment import Assessment, Verdict
from standwatch.model.answers import Answer, Quantity
from standwatch.model.facts import Body, Handover, Waiver
from standwatch.model.records import AnyRecord
from standwatch.model.words import Outcome
from standwatch.service.ports import Book
from standwatch.service.shelf import ClockFacts

RULES = "1"
"""Edition of the rules of evidence that the outcomes follow."""


@dataclass(frozen=True, slots=True)
class Frozen:
    """A release's record, as told and as the line of text that the book keeps."""

    told: dict[str, object]
    text: str


def freeze(found: Assessment, facts: ClockFacts, waivers: Sequence[Waiver], *, by: str) -> Frozen:
    """The record of letting `found` go now."""
    history = found.estimates.history
    now = history.now
    stood_on: list[AnyRecord] = [facts.clock, *(r for r in facts.check_ins if r.body.at <= now)]
    stood_on += [r for r in facts.handovers if r.body.at <= now]
    reasons = {waiver.requirement: waiver for waiver in waivers}
    time = found.estimates.time
    told: dict[str, object] = {
        "tag": found.tag,
        "at": now.isoformat(),
        "by": by,
        "program": __version__,
        "rules": RULES,
        "clock": facts.clock.body.model_dump(mode="json", exclude_none=True),
        "outcomes": [_outcome(v, reasons.get(v.requirement)) for v in found.verdicts],
        "error_s": _answer(found.error_s),
        "rate_s_per_day": _answer(time.rate),
        "drift_s_per_day2": _answer(time.drift),
        "amplitude_deg": _answer(found.estimates.swing.amplitude),
        "days": found.going.days,
        "facts": [record.id for record in stood_on],
    }
    told["digest"] = digest(told, stood_on)
    return Frozen(told, _line(told))


def digest(told: Mapping[str, object], stood_on: Iterable[AnyRecord]) -> str:
    """The SHA-256 in hex of a record's content and of the facts it stands on, by id."""
    total = hashlib.sha256(_line({k: v for k, v in told.items() if k != "digest"}).encode())
    for record in sorted(stood_on, key=lambda r: r.id):
        total.update(f"\n{record.id} {_cells(record.body)}".encode())
    return total.hexdigest()


def untrue_releases(book: Book, steps: Iterable[Handover]) -> list[str]:
    """A sentence for each release whose digest is no longer that of its record and facts."""
    return [
        f"the release of {s.tag} at {s.at.isoformat()} {why}"
        for s in steps
        if s.what == "released" and (why := _untrue(book, s))
    ]


def _untrue(book: Book, step: Handover) -> str:
    try:
        told = json.loads(step.record or "")
        ids = [str(fact) for fact in told["facts"]]
        claimed = told["digest"]
    except (ValueError, KeyError, TypeError):
        return "has no record that can be read"
    stood_on = book.ever(ids)
    gone = [fact for fact in ids if fact not in stood_on]
    if gone:
        return f"stood on a fact that the book no longer has ({gone[0]})"
    if digest(told, stood_on.values()) != claimed:
        return "does not match its digest: its record or its facts were altered"
    if (told.get("tag"), told.get("at"), told.get("by")) != (step.tag, step.at.isoformat(), step.by):
        return "says another clock, time or name than its record"
    return ""


def _outcome(verdict: Verdict, waiver: Waiver | None) -> dict[str, object]:
    observed = verdict.observed
    return {
        "name": str(verdict.requirement),
        "outcome": str(Outcome.WAIVED if waiver else verdict.outcome),
        "observed": _answer(observed) if isinstance(observed, Quantity) else observed,
        "limit": verdict.limit,
        "because": verdict.because,
        **({"waived": waiver.reason, "found": str(verdict.outcome)} if waiver else {}),
    }


def _answer(answer: Answer) -> dict[str, object]:
    if isinstance(answer, Quantity):
        return {"estimate": answer.estimate, "low": answer.low, "high": answer.high}
    return {"not_yet_known": answer.because}


def _cells(body: Body) -> str:
    return _line(
        {k: v for k, v in body.model_dump(mode="json", exclude_none=True).items() if k != "record"} | _digest_of(body)
    )


def _digest_of(body: Body) -> dict[str, object]:
    """An earlier release's record is told by a digest of its own, so that records don't nest."""
    if isinstance(body, Handover) and body.record:
        return {"record": hashlib.sha256(body.record.encode()).hexdigest()}
    return {}


def _line(told: Mapping[str, object]) -> str:
    return json.dumps(told, sort_keys=True, separators=(",", ":"), ensure_ascii=True, default=_iso)


def _iso(value: object) -> str:
    if isinstance(value, datetime):
        return value.isoformat()
    raise TypeError(f"no place in a record for {type(value).__name__}")
