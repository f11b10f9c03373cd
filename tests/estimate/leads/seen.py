"""The leads of a clock whose story is told."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from standwatch.estimate.answers import Lead
from standwatch.estimate.estimates import estimates_of
from tests.stories import story


def leads(kind: str, ledger: str | Iterable[str], *, now: str, **columns: Any) -> tuple[Lead, ...]:
    """Every lead, strongest first."""
    return estimates_of([story(kind, ledger, now=now, **columns)])[0].leads


def lead(code: str, kind: str, ledger: str | Iterable[str], *, now: str, **columns: Any) -> Lead | None:
    """The lead called `code`, if it is there."""
    return next((each for each in leads(kind, ledger, now=now, **columns) if each.code == code), None)


def codes(kind: str, ledger: str | Iterable[str], *, now: str, **columns: Any) -> list[str]:
    """What the leads are called, strongest first."""
    return [each.code for each in leads(kind, ledger, now=now, **columns)]
