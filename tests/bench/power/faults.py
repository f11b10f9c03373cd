"""Trains that stick, run on or leave blows out: how soon the falls tell, and how often they tell it of sound ones."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain

import numpy as np

from standwatch.estimate.leads import LEAST_ODDS
from standwatch.estimate.running_wrong import Wrong, watched
from standwatch.model.words import KindName, Train, Work
from tests.bench.engine.table import Row
from tests.bench.power.nature import QUARTER, time_of
from tests.bench.power.run import Run
from tests.bench.power.watch import Plan, Story, told_by

_K = KindName
DAYS = 24
CHUNK = 50
LONG = (_K.WEIGHT_WALL, _K.LONGCASE, _K.FLOOR_CHIMING)
DAILY = (_K.CUCKOO, _K.LONGCASE_30H)


@dataclass(frozen=True)
class Job:
    """Some clocks of one plan."""

    seed: int
    name: str
    plan: Plan
    clocks: int


@dataclass(frozen=True)
class Told:
    """Of one clock after each reading since the fault (all, where there was none): days since, and the odds told.

    `odds` are of the fault's own lead; without a fault the greatest of each lead ever (stuck, on, lacks).
    """

    days: tuple[float, ...]
    odds: tuple[float, ...]

    def at_reading(self, number: int) -> bool | None:
        """Whether it was told at that reading; None where there was none."""
        return self.odds[number - 1] >= LEAST_ODDS if len(self.odds) >= number else None

    def by_reading(self, number: int) -> bool | None:
        """Whether it was told at that reading or before."""
        return max(self.odds[:number]) >= LEAST_ODDS if len(self.odds) >= number else None

    def by_day(self, day: float) -> bool:
        """Whether it was told within so many days."""
        return any(o >= LEAST_ODDS for d, o in zip(self.days, self.odds, strict=True) if d <= day)


def ask(job: Job) -> list[Told]:
    """What was told of these clocks."""
    rng = np.random.default_rng([job.seed, *job.name.encode()])
    return [_of_one(told_by(job.plan, rng)) for _ in range(job.clocks)]


def _of_one(story: Story) -> Told:
    history = story.ledger.history(time_of((story.plan.days + 1) * 96))
    if story.at_fault is None:
        trains = [t for t in history.traits.trains if t is not Train.GOING]
        told = list(chain.from_iterable(watched(history, train) for train in trains))
        most = (max(w.stuck for w in told), max(w.runs_on for w in told), max(w.lacks for w in told))
        return Told((), most)
    since = time_of(story.at_fault)
    hung = {row.body.at for row in story.ledger.rows if row.body.work is Work.RAN_OUT and row.body.train is None}
    visits = {
        w.at.replace(second=0): w for w in watched(history, Train(story.faulty)) if w.at > since and w.at not in hung
    }
    after = list(visits.values())  # looked at again within the minute is one reading; a weight at its floor is none
    days = tuple((w.at - since) / (96 * QUARTER) for w in after)
    return Told(days, tuple(_own(story.plan.fault, w) for w in after))


def _own(fault: str, wrong: Wrong) -> float:
    kind = fault.partition(":")[0]
    return {"stuck": wrong.stuck, "on": wrong.runs_on, "lacks": wrong.lacks}[kind]


def asked(run: Run, name: str, kinds: tuple[KindName, ...], clocks: int, read: str, *, fault: str = "") -> list[Told]:
    """So many clocks in all, of these kinds alike."""
    each = -(-clocks // len(kinds))
    jobs = [
        Job(
            run.seed + 1000 * part,
            f"{name} {kind.value}",
            Plan(kind, DAYS, read, fault=fault, looks_again=True),
            min(CHUNK, each),
        )
        for kind in kinds
        for part in range(-(-each // CHUNK))
    ]
    return list(chain.from_iterable(run.over(ask, jobs)))


def _row(run: Run, line: str, hits: list[bool | None], goal: float, *, size: str = "") -> Row:
    known = [hit for hit in hits if hit is not None]
    share = sum(known) / max(1, len(known))
    return Row(
        line=line,
        figure=f"{share:.1%}",
        goal=f">= {goal:.1%}".replace(".0%", "%"),
        reached=run.bound.at_least(sum(known), len(known), goal),
        size=size or f"{len(known)} clocks",
        missed_by=f"{goal - share:.1%}",
    )


def stuck(run: Run) -> list[Row]:
    """A stuck train: by reading, by day."""
    n = run.sizes.faults
    daily = asked(run, "stuck daily", LONG, n, "daily", fault="stuck")
    closed = asked(run, "stuck closed", LONG, n, "rounds", fault="stuck")
    cuckoos = asked(run, "stuck closed 30", (_K.CUCKOO,), n // 2, "rounds", fault="stuck")
    chains = asked(run, "stuck closed chain", (_K.LONGCASE_30H,), n // 2, "rounds", fault="stuck")
    twice = asked(run, "stuck twice", LONG, n, "twice", fault="stuck")
    return [
        _row(run, "stuck, read every day: second reading", [t.at_reading(2) for t in daily], 0.98),
        _row(run, "stuck, read every day: third reading", [t.at_reading(3) for t in daily], 0.995),
        _row(run, "stuck, closed weekends: second reading", [t.at_reading(2) for t in closed], 0.98),
        _row(run, "stuck, closed weekends: third reading", [t.at_reading(3) for t in closed], 0.99),
        _row(run, "stuck, closed weekends: within three days", [t.by_day(3) for t in closed], 0.88),
        _row(run, "stuck, read twice a week: within three days", [t.by_day(3) for t in twice], 0.28),
        *chain.from_iterable(
            (
                _row(run, f"stuck, closed weekends, {what}: second reading", [t.at_reading(2) for t in those], 0.90),
                _row(run, f"stuck, closed weekends, {what}: third reading", [t.at_reading(3) for t in those], 0.99),
                _row(run, f"stuck, closed weekends, {what}: within three days", [t.by_day(3) for t in those], 0.70),
            )
            for what, those in (("cuckoo 30 h", cuckoos), ("30 h of one weight", chains))
        ),
    ]


def on(run: Run) -> list[Row]:
    """A train that ran on by .15 to 1.5 days' fall."""
    daily = asked(run, "on daily", LONG, run.sizes.faults, "daily", fault="on")
    closed = asked(run, "on closed", LONG, run.sizes.faults, "rounds", fault="on")
    return [
        _row(
            run, "ran on by .15-1.5 days' blows, read every day: second reading", [t.by_reading(2) for t in daily], 0.85
        ),
        _row(run, "ran on, closed weekends: ever", [t.by_day(DAYS) for t in closed], 0.50),
    ]


def lacking(run: Run) -> list[Row]:
    """Blows left out: each hour's by itself."""
    rows = []
    for share, goal in ((0.2, 0.95), (0.1, 0.70)):
        told = asked(run, f"lacks {share}", LONG, run.sizes.faults, "daily", fault=f"lacks:{share}")
        rows.append(
            _row(
                run, f"{share:.0%} of blows missed, read every day, within six days", [t.by_day(6) for t in told], goal
            )
        )
    few = asked(run, "lacks .05", LONG, run.sizes.faults, "daily", fault="lacks:0.05")
    seen = sum(t.by_day(6) for t in few)
    rows.append(
        Row(
            line="5% of blows missed, the same",
            figure=f"{seen / len(few):.1%}",
            goal="mostly unseen",
            reached=run.bound.at_most(seen, len(few), 0.5),
            size=f"{len(few)} clocks",
        )
    )
    return rows


def false_alarms(run: Run) -> list[Row]:
    """Sound clocks, with untold winds and misreads, for 24 days."""
    told = asked(run, "sound", (*LONG, *DAILY), run.sizes.healthy, "daily")
    closed = asked(run, "sound closed", (*LONG, *DAILY), run.sizes.healthy, "rounds")
    rows = []
    for index, (what, most) in enumerate((("stuck", 0.005), ("running on", 0.01), ("lacking", 0.002))):
        counts = [sum(t.odds[index] >= LEAST_ODDS for t in those) for those in (told, closed)]
        of = [len(told), len(closed)]
        wrong, all_ = sum(counts), sum(of)
        rows.append(
            Row(
                line=f"false, {what}, ever in {DAYS} days, per clock",
                figure=f"{wrong / all_:.2%} ({wrong} of {all_})",
                goal=f"<= {most:.1%}",
                reached=run.bound.at_most(wrong, all_, most),
                size=f"read every day {counts[0]} of {of[0]}, by rounds {counts[1]} of {of[1]}",
                missed_by=f"{wrong / all_ - most:.2%}",
            )
        )
    return rows
