"""A simulated clock on the stand, as its rows tell it: rounds, readings, winds told and untold, faults of a train."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

import numpy as np

from standwatch.estimate.look_again import falls_off
from standwatch.horology.kinds import KINDS
from standwatch.model.words import KindName
from tests.bench.power.nature import A_DAY, CHAIN_TIME, SILENCE, Eye, Weight, draw_eye, draw_weight, time_of, usual
from tests.estimate.weights_on_test import Ledger

ROUND = 33
"""The round's quarter of the day: 08:15."""
UNTOLD_DAY = (36, 72)
"""Between nine and six somebody may wind."""


@dataclass(frozen=True)
class Plan:
    """How a clock is kept. `read`: every day, by rounds (Mon-Fri, some Saturdays, one in ten missed), twice a week.

    `duration_h` and `speed` where they are not the kind's. `after_wind`: the falls are read after winding too.
    `looks_again`: a fall that the program finds far off is read once more at once. `fault`: stuck, on, or lacks:SHARE.
    """

    kind: KindName
    days: int
    read: str = "daily"
    careless: bool = True
    after_wind: bool = False
    silent: bool = False
    duration_h: float | None = None
    speed: float | None = None
    fault: str = ""
    looks_again: bool = False

    @property
    def wind_days(self) -> float:
        """The days of one wind, as rated."""
        return (self.duration_h or KINDS[self.kind].duration_h) / 24

    @property
    def every(self) -> int:
        """Wound again before so many days are over."""
        return max(1, int(self.wind_days) - 1) if self.wind_days >= 2 else 1


@dataclass(frozen=True)
class Seen:
    """After one reading of the falls: the day of the wind, which wind (1 the first), the weights as they truly are.

    `readings` counts them from the fault on; `days` are those since.
    """

    quarter: int
    wind: int
    day: int
    runs_out: dict[str, float]
    readings: int
    days: float


@dataclass
class Story:
    """One clock's rows and the truth beside each reading; `at_fault` is the quarter at which a fault began."""

    plan: Plan
    weights: list[Weight]
    ledger: Ledger
    seen: list[Seen] = field(default_factory=list)
    at_fault: int | None = None
    faulty: str = ""


def causes(kind: KindName) -> dict[str, str]:
    """The weights that are read, by train, and what each runs by."""
    if kind is KindName.LONGCASE_30H:
        return {"going": "chain"}
    return {train: train for train in KINDS[kind].trains.split("+")}


def told_by(plan: Plan, rng: np.random.Generator) -> Story:
    """One clock's story after `plan`."""
    speed, _ = usual(plan.kind)
    speed = plan.speed or speed
    weights = [
        draw_weight(rng, plan.kind, train, cause, speed=speed, days=plan.wind_days, silent=plan.silent)
        for train, cause in causes(plan.kind).items()
    ]
    columns: dict[str, Any] = {f"{w.train}_usable_mm": w.told_floor for w in weights}
    columns |= {"duration_h": plan.duration_h, "night_silence": SILENCE if plan.silent else None}
    story = Story(plan, weights, Ledger(kind=plan.kind.value, **columns))
    if plan.fault:
        _spoil(story, rng)
    _live(story, rng)
    return story


def _spoil(story: Story, rng: np.random.Generator) -> None:
    """Let one of the trains that sound go wrong at some time of the story."""
    plan = story.plan
    sounding = [i for i, w in enumerate(story.weights) if w.train != "going"] or [0]
    which = int(rng.choice(sounding))
    weight = story.weights[which]
    first, last = plan.every + 1 if plan.fault.startswith("lacks") else 3, plan.days - 8
    at = int(rng.uniform(first, last) * A_DAY)
    count = weight.count.copy()
    kind, _, how = plan.fault.partition(":")
    if kind == "stuck":
        on = story.plan.kind is KindName.LONGCASE_30H
        still = np.full(len(count) - at, count[at]) + (CHAIN_TIME * np.arange(len(count) - at) / A_DAY if on else 0.0)
        count[at:] = still
    elif kind == "on":
        count[at:] += rng.uniform(0.15, 1.5)
    else:
        steps = np.diff(count, prepend=0.0)
        silent = (rng.random(len(steps)) < float(how)) & (np.arange(len(steps)) >= at)
        count = np.cumsum(np.where(silent, 0.0, steps))
    story.weights[which] = weight.spoilt(count)
    story.at_fault, story.faulty = at, "strike" if weight.train == "going" else weight.train


def rounds(plan: Plan, rng: np.random.Generator) -> Iterator[tuple[int, int]]:
    """Each day the clock is visited, and the next such day; the story begins on any weekday."""
    begins = int(rng.integers(0, 5))
    days = [0]
    for day in range(1, plan.days + 1):
        weekday = (begins + day) % 7
        if plan.read == "daily":
            comes = True
        elif plan.read == "twice":
            comes = weekday in {0, 3}
        else:
            comes = (weekday < 5 or (weekday == 5 and rng.random() < 0.3)) and rng.random() >= 0.1
        if comes:
            days.append(day)
    return zip(days, [*days[1:], plan.days + 1], strict=True)


def _live(story: Story, rng: np.random.Generator) -> None:
    """Let it run from round to round; each round reads, writes its rows, and winds where the next comes too late."""
    plan = story.plan
    eye = draw_eye(rng, tuple(w.train for w in story.weights), careless=plan.careless)
    untold = rng.uniform(0.01, 0.03) if plan.careless else 0.0
    wound, wind, since_fault, last = 0, 0, 0, 0
    for day, following in rounds(plan, rng):
        at = day * A_DAY + ROUND
        if day:
            _days_between(story, last, day, untold, rng)
        _run_to(story, at)
        last = day
        hung = day > 0 and story.weights[0].landed
        if day:
            _read(story, at, eye, rng, hung=hung)
            since_fault += story.at_fault is not None and at > story.at_fault
        winds = day == 0 or following - wound > plan.every or hung
        if winds and plan.every > 1 and day and not hung:
            _see(story, at, wind, day - wound, since_fault)
        if winds:
            _wind(story, at, eye, rng, hung=hung)
            wound, wind = day, wind + 1
        if day and not hung and (plan.every == 1 or not winds):
            _see(story, at + (4 if winds and plan.after_wind else 0), wind, day - wound, since_fault)


def _see(story: Story, at: int, wind: int, day: int, readings: int) -> None:
    """Keep the truth beside a reading."""
    truths = {w.train: w.runs_out() for w in story.weights if not w.landed}
    ago = 0.0 if story.at_fault is None else (at - story.at_fault) / A_DAY
    story.seen.append(Seen(at, wind, day, truths, readings, ago))


def _wind(story: Story, at: int, eye: Eye, rng: np.random.Generator, *, hung: bool) -> None:
    for weight in story.weights:
        weight.wind(rng)
    story.ledger.row(time_of(at) + timedelta(minutes=2), work="wound")
    if hung:
        story.ledger.row(time_of(at) + timedelta(minutes=3), work="restarted")
    if story.plan.after_wind:
        falls = {f"{w.train}_mm": eye.read(w, rng) for w in story.weights}
        story.ledger.row(time_of(at) + timedelta(minutes=4), **falls)


def _run_to(story: Story, at: int) -> None:
    """All weights to quarter `at`; what stops the going train stops them all."""
    going = story.weights[0]
    ends = going.runs_out()
    stops = math.ceil(ends) if ends < at else at  # at its floor in that quarter
    for weight in story.weights:
        weight.until(max(stops, weight.at))
        weight.at = at


def _days_between(story: Story, last: int, day: int, untold: float, rng: np.random.Generator) -> None:
    """What nobody tells from one visit to the next: somebody winds, mostly all, sometimes one of them."""
    for between in range(last, day):
        if rng.random() >= untold:
            continue
        at = between * A_DAY + int(rng.integers(*UNTOLD_DAY))
        which = story.weights if rng.random() < 0.9 else [story.weights[int(rng.integers(len(story.weights)))]]
        _run_to(story, at)
        for weight in which:
            weight.wind(rng)


def _read(story: Story, at: int, eye: Eye, rng: np.random.Generator, *, hung: bool) -> None:
    falls = {f"{w.train}_mm": eye.read(w, rng) for w in story.weights}
    if hung:
        story.ledger.row(time_of(at), work="ran-out", **falls)
        return
    before = story.ledger.history(time_of(at)) if story.plan.looks_again else None
    story.ledger.row(time_of(at), error_s=1.0, **falls)
    for off in falls_off(before, story.ledger.rows[-1].body) if before else ():
        again = eye.read(next(w for w in story.weights if w.train == off.train), rng)
        story.ledger.row(time_of(at) + timedelta(seconds=40), **{f"{off.train}_mm": again})
    for weight in story.weights:
        if weight.landed and weight.train != "going":
            story.ledger.row(time_of(at) + timedelta(minutes=1), work="ran-out", train=weight.train)


def held(truth: float, low: float, high: float) -> bool:
    """Whether an interval (quarters) held the truth, to a minute."""
    return low - 1 / 15 <= truth <= high + 1 / 15
