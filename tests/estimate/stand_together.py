"""A simulated stand of clocks of several kinds, read on the same mornings, for what they share.

Each clock wanders by its kind's noise, each reading is off by its doubt; what happens to all is added to what is read
(a jump of the reference) or to the rates (warmth, by what each clock loses a degree).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.common_mode import common_mode
from standwatch.estimate.history import History, history_of
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.estimate.together import Common
from standwatch.horology.kinds import KINDS, traits_of
from standwatch.horology.warmth import warmth_of
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record, build
from standwatch.model.words import KindName
from tests.shop import Row
from tests.stories import ZONE, at

FIRST = at("10-05 08:00")
"""A Monday."""

K = KindName
FOURTEEN = (
    (K.REGULATOR, "A1"), (K.LONGCASE, "A2"), (K.LONGCASE, "A3"), (K.FLOOR_CHIMING, "A4"), (K.LONGCASE, "A5"),
    (K.WEIGHT_WALL, "B1"), (K.WEIGHT_WALL, "B2"), (K.MANTEL, "B3"), (K.CARRIAGE, "B4"), (K.BRACKET, "B5"),
    (K.REGULATOR, "C1"), (K.FLOOR_CHIMING, "C2"), (K.LONGCASE, "C3"), (K.CARRIAGE, "C4"),
)  # fmt: skip
"""Kind and slot of fourteen clocks on three rails."""
FIVE = FOURTEEN[1:6]


@dataclass(frozen=True)
class Seen:
    """Reading times of one clock in days since `FIRST`, and the errors read then."""

    day: np.ndarray
    error: np.ndarray


Happening = Callable[[int, np.ndarray], np.ndarray]
"""What is added to the errors of clock n read on these days."""


def nothing(_n: int, day: np.ndarray) -> np.ndarray:
    return np.zeros_like(day)


def jump_of(seconds: float, from_day: float, until: float = 1e9) -> Happening:
    """The reference jumps back by `seconds` before the round of `from_day`, and is put right before that of `until`."""
    return lambda _n, day: np.where((day >= from_day) & (day < until), seconds, 0.0)


def warmer(by: float, since: float, until: float = 1e9) -> Callable[[np.ndarray], np.ndarray]:
    """Degree-days by each day of a room that is `by` deg C warmer from one day until another."""

    def degree_days(day: np.ndarray) -> np.ndarray:
        gathered: np.ndarray = by * (np.clip(day, since, until) - since)
        return gathered

    return degree_days


def mornings(days: int, *, weekends: bool = False) -> list[int]:
    """The days on which somebody reads."""
    return [d for d in range(days) if weekends or d % 7 < 5]


def stand(
    seed: int,
    kinds: Sequence[tuple[KindName, str]] = FOURTEEN,
    *,
    days: int = 33,
    happens: Happening = nothing,
    warmer: Callable[[np.ndarray], np.ndarray] | None = None,
    blunders: float = 0.0,
    columns: dict[str, object] | None = None,
    extra: Sequence[tuple[int, float, Mapping[str, object]]] = (),
) -> list[History]:
    """The Histories of a simulated stand. `warmer` is the degree-days over the usual by each day.

    `extra` are further rows: clock, day, cells.
    """
    rng = np.random.default_rng(seed)
    now = FIRST + timedelta(days=days - 1, hours=1)
    histories = []
    for n, (kind, slot) in enumerate(kinds):
        clock = build(Clock, {"tag": f"T{n}", "kind": kind, "position": slot, "maintaining": True, **(columns or {})})
        seen = _seen(clock, days, rng, blunders)
        errors = seen.error + happens(n, seen.day)
        if warmer is not None:
            errors = errors - warmth_of(clock, traits_of(clock))[0] * warmer(seen.day)
        rows: list[tuple[datetime, Mapping[str, object]]] = [
            (FIRST + timedelta(days=float(day)), {"error_s": round(float(error), 2)})
            for day, error in zip(seen.day, errors, strict=True)
        ]
        rows += [(FIRST + timedelta(days=day), cells) for which, day, cells in extra if which == n]
        records = []
        for place, (when, cells) in enumerate(sorted(rows, key=lambda row: row[0])):
            body = build(CheckIn, {"at": when, "tag": clock.tag, **cells})
            records.append(Record(f"T{n}-{place}", body, place, place, None, when))
        histories.append(history_of(clock, records, now=now, zone=ZONE))
    return histories


def _seen(clock: Clock, days: int, rng: np.random.Generator, blunders: float) -> Seen:
    kind, traits = KINDS[clock.kind], traits_of(clock)
    read = np.array(mornings(days), float) + rng.uniform(0, 0.03)
    doubt = traits.reading_doubt_s(traits.usual_read_by)
    rates = rng.normal(0, (kind.mean_rate_limit or 1) / 2) + np.cumsum(rng.normal(0, kind.q2_s, days + 1))
    walked = np.cumsum(rates + rng.normal(0, kind.q1_s, days + 1))
    errors = np.interp(read, np.arange(days + 1), walked) + rng.normal(0, doubt, len(read)) + rng.normal(0, 30)
    wrong = rng.random(len(read)) < blunders
    return Seen(read, errors + np.where(wrong, rng.choice([-120, -60, 60, 120], len(read)), 0))


def shared(histories: Sequence[History], time_of: Callable[[History], Timekeeping] = timekeeping_of) -> Common:
    """What the clocks share, by their own estimates."""
    return common_mode([(history, time_of(history)) for history in histories])


def ledger_of(histories: Sequence[History]) -> tuple[list[Row], list[Row]]:
    """The same stand as a ledger's clocks and check-ins."""
    clocks: list[Row] = [
        {"tag": h.clock.tag, "kind": str(h.clock.kind), "position": h.position, "maintaining": "yes"} for h in histories
    ]
    rows: list[Row] = [
        {"id": v.id, "at": v.at, "tag": h.clock.tag, "error_s": v.row.error_s, "work": v.row.work}
        for h in histories
        for v in h.visits
    ]
    return clocks, rows
