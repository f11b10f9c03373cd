"""A story before the judge: the whole way from its lines to the Case that a requirement is judged on."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import time

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.going import going_of
from standwatch.horology.rounds import Rounds
from standwatch.judge.case import Case
from tests.stories import ZONE, story

ROUNDS = Rounds(ZONE, time(8), frozenset({0, 1, 2, 3, 4}))
"""A round at 08:00, Monday to Friday."""


def case(kind: str, ledger: str | Iterable[str], *, now: str, year: int = 2026, **columns: object) -> Case:
    """The Case of a clock of `kind` (further columns by name) as of `now`."""
    history = story(kind, ledger, now=now, year=year, **columns)
    return Case(estimates_of([history])[0], going_of(history), ROUNDS)
