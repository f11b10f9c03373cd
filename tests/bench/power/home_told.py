"""The error at home by the program's own way: whole histories, from the stand through delivery to what was told there.

Each clock is read for a month on the stand: its error wanders by white and random-walk frequency noise of its kind, its
rate is drawn as good clocks' are. It is delivered, its error read; how the move changed its rate is drawn with the
shop's own spread, as in `home`. So many days later somebody tells the error over the telephone, good to a quarter of a
minute, which is the follow-up. For one more clock the interval is asked ahead of a reading taken the usual way.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import product
from zoneinfo import ZoneInfo

import numpy as np

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.at_home import S_MOVE, AtHome, FollowUp, moves_of
from standwatch.estimate.history import History, history_of
from standwatch.estimate.timekeeping import timekeepings_of
from standwatch.horology.kinds import KINDS
from standwatch.horology.moving import Manner, manner_of
from standwatch.model.answers import Quantity
from standwatch.model.facts import CheckIn, Clock, Handover
from standwatch.model.records import Record, build
from standwatch.model.words import KindName
from tests.bench.engine.table import Row
from tests.bench.power.home import DOUBLE, GOALS, LEARNED, OWNER_S, SHOPS_DIFFER
from tests.bench.power.run import Run

BEGUN = datetime(2026, 9, 1, 8, tzinfo=UTC)
STAND_DAYS = 28
_DAY = timedelta(days=1)
_KINDS: dict[Manner, KindName] = {
    "regulator": KindName.REGULATOR,
    "pendulum": KindName.LONGCASE_30H,
    "balance": KindName.CARRIAGE,
}
"""One kind a manner. The 30-hour clock is wound by its endless chain, which costs it no time."""
CLOCKS = 30
"""So many clocks stand behind a manner's trials; each goes home again and again, each time another way."""


@dataclass(frozen=True)
class Stood:
    """One clock after its month on the stand: what the program knows of it, and how it truly was on the last day."""

    history: History
    time: Timekeeping
    error_s: float
    rate: float


@dataclass(frozen=True)
class Job:
    """Some trials of one cell; `times` is the true spread of moves over the usual one, None: drawn for each shop."""

    seed: int
    manner: Manner
    follow_ups: int
    times: float | None
    trials: int


def held(job: Job) -> int:
    """In how many trials the 95 % interval held the error that was read."""
    rng = np.random.default_rng([job.seed, 97, list(S_MOVE).index(job.manner), job.follow_ups, int(job.times or 0)])
    stood = _stood(rng, _KINDS[job.manner])
    hits = 0
    for _ in range(job.trials):
        s = S_MOVE[job.manner] * (float(np.exp(rng.normal(0, SHOPS_DIFFER))) if job.times is None else job.times)
        taught: list[FollowUp] = []
        for clock in rng.choice(CLOCKS, job.follow_ups):
            home, _ = _sent(rng, stood[clock], s, float(rng.choice([2, 9, 14, 14, 14, 21])))
            assert home.follow_up is not None, "it was told there"
            taught.append(home.follow_up)
        days = float(rng.choice([2, 7, 14, 30, 90]))
        clock = stood[rng.integers(CLOCKS)]
        home, error = _sent(rng, clock, s, days, taught)
        said = home.reading_at(_gone_at() + days * _DAY)
        assert isinstance(said, Quantity)
        hits += said.low <= error + rng.normal(0, clock.history.usual_doubt_s) <= said.high
    return hits


def _gone_at() -> datetime:
    return BEGUN + STAND_DAYS * _DAY + timedelta(hours=2)


def _stood(rng: np.random.Generator, kind: KindName) -> list[Stood]:
    """Clocks that were read each day for a month."""
    row = KINDS[kind]
    found = []
    for number in range(CLOCKS):
        clock = build(Clock, {"tag": f"T{number}", "kind": kind})
        doubt = 0.5 if kind is KindName.REGULATOR else 5.0
        rate, error = rng.normal(0, (row.mean_rate_limit or 1.0) / 2), rng.normal(0, 30)
        records = []
        for day in range(STAND_DAYS + 1):
            cells = {"at": BEGUN + day * _DAY, "tag": clock.tag, "error_s": error + rng.normal(0, doubt)}
            body = build(CheckIn, dict(cells))
            records.append(Record(f"{number}-{day}", body, day, day, None, body.at))
            if day < STAND_DAYS:
                rate, error = _a_day(rng, kind, rate, error)
        history = history_of(clock, records, now=_gone_at(), zone=ZoneInfo("UTC"))
        found.append((history, error, rate))
    times = timekeepings_of([history for history, _, _ in found])
    return [Stood(history, time, error, rate) for (history, error, rate), time in zip(found, times, strict=True)]


def _a_day(rng: np.random.Generator, kind: KindName, rate: float, error: float) -> tuple[float, float]:
    row = KINDS[kind]
    return rate + rng.normal(0, row.q2_s), error + rate + rng.normal(0, row.q1_s)


def _sent(
    rng: np.random.Generator, stood: Stood, s: float, days: float, taught: list[FollowUp] | None = None
) -> tuple[AtHome, float]:
    """A clock at its owner's and its true error after `days`; told then, unless it is asked by what others taught."""
    history, gone = stood.history, _gone_at()
    rate, error = stood.rate + rng.normal(0, s), 0.0
    for _ in range(int(days)):
        rate, error = _a_day(rng, history.clock.kind, rate, error)
    left = rng.normal(0, history.usual_doubt_s)  # it was set right, and is told as well as it is read
    steps = [_step(history.clock.tag, gone, "delivered", left)]
    if taught is None:
        steps.append(_step(history.clock.tag, gone + days * _DAY, "called", error + rng.normal(0, OWNER_S)))
    there = replace(history, now=gone + days * _DAY, handovers=tuple(steps))
    return AtHome(there, stood.time, moves_of(manner_of(history.clock.kind), taught or ())), error


def _step(tag: str, at: datetime, what: str, error_s: float) -> Handover:
    return build(Handover, {"at": at, "tag": tag, "what": what, "error_s": round(error_s, 1)})


def coverage(run: Run) -> list[Row]:
    """One row each for shops that differ and for moves twice the usual, worst manner first in the figure."""
    manners: tuple[Manner, ...] = tuple(S_MOVE)
    cells = list(product(manners, LEARNED, (None, 2.0)))
    n = run.sizes.home_told
    hits = dict(zip(cells, run.over(held, [Job(run.seed, *cell, n) for cell in cells]), strict=True))
    rows = []
    for times, learned in product((None, 2.0), LEARNED):
        found = {m: hits[m, learned, times] for m in manners}
        low, high = GOALS[learned] if times is None else (DOUBLE[learned], 1.0)
        fine = all(run.bound.at_least(h, n, low) and run.bound.at_most(h, n, high) for h in found.values())
        shares = sorted(hit / n for hit in found.values())
        usual = "" if times is None else ", moves twice the usual"
        goal = f"{low:.0%} to {high:.0%}" if times is None else f">= {low:.0%}"
        told = ", ".join(f"{manner} {hit / n:.1%}" for manner, hit in found.items())
        line = f"at home by whole histories{usual}, {learned} follow-ups"
        rows.append(Row(line, f"{shares[0]:.1%} to {shares[-1]:.1%}", goal, fine, f"{n} a manner", details=(told,)))
    return rows
