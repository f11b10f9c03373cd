"""The steps of one clock's story in the making: what each reading and each piece of work becomes."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import IntEnum

from standwatch.estimate.breaks import WIND_LOSS_S, Break
from standwatch.estimate.history import History, Visit
from standwatch.estimate.prior import Prior
from standwatch.model.units import days, reached
from standwatch.model.words import Work

LOSS_SCATTER_S = 4.0
"""A wind's loss differs from one wind to the next, beside what it is for the clock."""
_BUMP_SD_S, _BUMP_BALANCE_SD_S = 20.0, 5.0
_BUMP_DOUBT = timedelta(hours=24)
_LEAST_DOUBT_S = 1e-9
_HOUR = timedelta(hours=1)
_BACKLASH = 0.10
"""How far a told turn of the nut may fall short or over, as a share of it, when turned and again as it settles."""
YOUNG = 8
"""Readings after a new beginning in which what each may be is kept open widely."""
_BEFORE_WORK = 2
"""Readings of a run before any work that nobody logged can be told."""
_NO_WORK_WITHIN = 1 / 24


class Column(IntEnum):
    """What a step tells, in order: time since 2000 and days of going since the step before it; then jump and reading.

    A jump: seconds of known step, its variance, variance of the rate's step, and what begins anew. A reading: seconds
    (nan: none), the variance of it that is told and the variance that goes by its kind's factor, days since the reading
    before, whether hands or nut may have been moved unlogged, whether the run is young, its number.
    """

    DAY = 0
    GOING = 1
    SHIFT = 2
    X_VAR = 3
    Y_VAR = 4
    X_NEW = 5
    Y_NEW = 6
    C_NEW = 7
    TURNS = 8
    PART = 9
    READING = 10
    TOLD_VAR = 11
    KIND_VAR = 12
    SINCE = 13
    MAY_SET = 14
    MAY_TURN = 15
    YOUNG = 16
    NUMBER = 17
    CURVE = 18
    DEGREE_DAYS = 19
    STRAY_KEEP = 20
    STRAY_DAYS = 21
    STRAY_XX = 22
    STRAY_XV = 23
    STRAY_VV = 24


def settled_from(step: Break) -> datetime:
    """From when readings count after a work that opens the rate: a day's settling is reached an hour early."""
    early = step.settled_at - _HOUR
    return early if reached(early - step.at, step.settled_at - step.at) else step.settled_at


@dataclass(slots=True)
class Making:
    """Steps being made, a list a step: day, going, then the jump's and the reading's columns."""

    history: History
    prior: Prior
    steps: list[list[float]] = field(default_factory=list)
    sources: list[int] = field(default_factory=list)
    hung: list[tuple[datetime, datetime | None]] = field(default_factory=list)
    young: int = 0
    in_run: int = 0
    number: int = 0
    read_at: float = 0.0

    def step(self, at: datetime, *, source: int = -1) -> list[float]:
        """Append a step without jump or reading. While the clock hung, nothing moved on."""
        day = days(at)
        going = 0.0
        if self.steps:
            day = max(day, self.steps[-1][0])
            going = 0.0 if self.stands else day - self.steps[-1][0]
        new = [day, going, *_NOTHING]
        self.steps.append(new)
        self.sources.append(source)
        return new

    @property
    def stands(self) -> bool:
        """Whether the clock stands still so far as the story has come."""
        return bool(self.hung) and self.hung[-1][1] is None

    def reading(self, visit: Visit, source: int) -> None:
        """Append a reading; it shows that the clock goes again."""
        if self.stands:
            self.hung[-1] = (self.hung[-1][0], visit.at)
        new = self.step(visit.at, source=source)
        if visit.error_s is None or visit.doubt_s is None:
            return
        traits, history = self.history.traits, self.history
        doubt = max(visit.doubt_s, _LEAST_DOUBT_S) ** 2
        by_kind = 0.0 if visit.row.error_u_s is not None else min(doubt, traits.reading_doubt_s(visit.read_by) ** 2)
        told = doubt - by_kind
        if history.bumps and any(bump < visit.at <= bump + _BUMP_DOUBT for bump in history.bumps):
            told += bump_sd(history) ** 2
        since = new[0] - self.read_at if self.number else 0.0
        tells = self.in_run >= _BEFORE_WORK and since >= _NO_WORK_WITHIN
        new[Column.READING :] = (
            visit.error_s,
            told,
            by_kind,
            since,
            float(tells and visit.read_by is history.usual_read_by),  # taken otherwise: its hands disagree
            float(tells and not traits.reference),
            float(self.young < YOUNG),
            float(self.number),
        )
        self.read_at = new[0]
        self.number += 1
        self.young += 1
        self.in_run += 1

    def jump(self, at: datetime, **columns: float) -> None:
        """Append a jump; the columns by name."""
        new = self.step(at)
        for name, value in columns.items():
            new[Column[name.upper()]] = value
        if columns.get("x_new"):
            self.in_run = 0
        if columns.get("x_new") or columns.get("y_new"):
            self.young = 0

    def work(self, done: Break) -> None:
        """Append what one work does."""
        if done.work is Work.WOUND and self.prior.has("c"):
            part = done.error_shift_s / WIND_LOSS_S
            self.jump(done.at, x_var=(LOSS_SCATTER_S * part) ** 2, part=part)
            return
        new = math.isinf(done.error_sd_s)
        x_var = 0.0 if new else done.error_sd_s**2
        if done.work is Work.NUT and done.amount is not None:
            self.turned(done.at, done.amount, x_var)
        else:
            y_new = math.isinf(done.rate_sd)
            self.jump(done.at, shift=done.error_shift_s, x_var=x_var, x_new=new, y_new=y_new, c_new=done.opens_all)
        if done.work in {Work.STOPPED, Work.RAN_OUT} and not self.stands:
            self.hung.append((done.at, None))
        elif done.work in {Work.RESTARTED, Work.OPENED, Work.OILED} and self.stands:
            self.hung[-1] = (self.hung[-1][0], done.at)

    def turned(self, at: datetime, turns: float, x_var: float = 0.0) -> None:
        """Append a told turn of the nut: it steps the rate by so many times the clock's own turn."""
        each = self.prior.turn_scale
        self.jump(at, x_var=x_var, turns=turns, y_var=(_BACKLASH * turns * each) ** 2)
        self.young = 0

    def settled(self, opener: Break) -> None:
        """Append the end of settling: what was read meanwhile tells little of the rate to come."""
        at = settled_from(opener)
        if opener.work is Work.NUT and opener.amount is not None:
            self.jump(at, y_var=(_BACKLASH * opener.amount * self.prior.turn_scale) ** 2)
        else:
            self.jump(at, y_new=1.0)


_NOTHING = [0.0] * (Column.READING - 2) + [math.nan] + [0.0] * (Column.CURVE - Column.READING - 1)


def bump_sd(history: History) -> float:
    """How far a bump may have thrown the error, in s."""
    return _BUMP_BALANCE_SD_S if history.traits.oscillator == "balance" else _BUMP_SD_S
