"""Work that nobody logged, and blunders that look like it: called rightly after four clean readings."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Literal

import numpy as np

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.estimates import estimates_of
from standwatch.model.words import KindName, Work
from tests.simulated.facts import ClockFacts, facts_of, when
from tests.simulated.nature import draw
from tests.simulated.stand import Event, Watch, Watched, watched

KINDS = (KindName.LONGCASE, KindName.MANTEL)
What = Literal["hands-set", "nut", "two blunders", "nothing"]
CLEAN = 4
EVENT_DAYS = (8, 10, 12)
QUIET_DAYS = 20
_NEAR = timedelta(days=1, hours=12)


@dataclass(frozen=True)
class Job:
    """Clocks of one kind to which `what` happens."""

    seed: int
    kind: KindName
    what: What
    clocks: int


@dataclass(frozen=True)
class Called:
    """How many were called rightly, and how the others were called, in words, counted."""

    job: Job
    right: int
    of: int
    otherwise: dict[str, int]


def jobs(seed: int, clocks: int, quiet: int) -> list[Job]:
    """Each event on both kinds; `quiet` clocks of both together to which nothing happens."""
    happens: tuple[What, ...] = ("hands-set", "nut", "two blunders")
    return [Job(seed, kind, what, clocks) for kind in KINDS for what in happens] + [
        Job(seed, kind, "nothing", quiet // 2) for kind in KINDS
    ]


def run(job: Job) -> Called:
    """Simulate, ask once, and count."""
    place = [list(KindName).index(job.kind), ("hands-set", "nut", "two blunders", "nothing").index(job.what)]
    rng = np.random.default_rng([job.seed, 99, *place])
    right, of, otherwise = 0, 0, dict[str, int]()
    for day in EVENT_DAYS:
        clocks = job.clocks // len(EVENT_DAYS) + (job.clocks % len(EVENT_DAYS) if day == EVENT_DAYS[0] else 0)
        stand, last = _stand(job, clocks, day, rng)
        facts = facts_of(stand)
        for fact, told in zip(facts, estimates_of([f.history(last) for f in facts]), strict=True):
            said = _said(job, fact, told.time, day)
            of += 1
            right += said == ""
            if said:
                otherwise[said] = otherwise.get(said, 0) + 1
    return Called(job, right, of, otherwise)


def _stand(job: Job, clocks: int, day: int, rng: np.random.Generator) -> tuple[Watched, int]:
    """The stand, and the day it is asked on: after `day` something happens, or its two last readings are blunders."""
    natures = draw(job.kind, clocks, rng)
    sign = rng.choice((-1.0, 1.0), clocks)
    events: tuple[Event, ...] = ()
    if job.what == "hands-set":
        events = (Event(Work.HANDS_SET, day, sign * rng.uniform(60, 600, clocks)),)
    elif job.what == "nut":
        events = (Event(Work.NUT, day, sign * rng.uniform(0.5, 1.5, clocks)),)
    last = QUIET_DAYS if job.what == "nothing" else day + CLEAN
    stand = watched(natures, Watch(days=last, events=events), rng)
    if job.what != "two blunders":
        return stand, last
    readings, wrong = stand.readings.copy(), stand.wrong.copy()
    size = rng.choice((60.0, 120.0), clocks)
    same = np.where(rng.random(clocks) < 0.5, 1.0, -1.0)
    readings[:, day - 1] += sign * size
    readings[:, day] += same * sign * size
    wrong[:, day - 1 : day + 1] = True
    return replace(stand, readings=readings, wrong=wrong), last


def _said(job: Job, fact: ClockFacts, told: Timekeeping, day: int) -> str:
    """What is wrong with the call; empty where it is right."""
    suspects = {s.at for s in told.suspects}
    works = told.suspected_work
    if job.what == "nothing":
        return " and ".join(str(w.what) for w in works)
    stand, number = fact.stand, fact.number
    if job.what == "two blunders":
        wanted = {when(at) for at in stand.at_d[number, day - 1 : day + 1]}
        if works:
            return "called work"
        return "" if suspects == wanted else "other suspects" if suspects - wanted else "not both suspected"
    if not works:
        return "not called"
    if len(works) > 1:
        return "called more than one work"
    (work,) = works
    amount = float(stand.watch.events[0].amount[number])
    if str(work.what) != job.what:
        return f"called {work.what}"
    if abs(work.at - when(stand.at_d[number, day + 1])) > _NEAR:
        return "called for another day"
    true = amount if work.what is Work.HANDS_SET else amount * float(stand.natures.turn[number])
    if abs(work.amount - true) > 0.35 * abs(true):
        return "amount off by over a third"
    return "sound readings suspected" if suspects else ""
