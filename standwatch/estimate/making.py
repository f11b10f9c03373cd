"""The steps of one clock's story in the making: what each reading and each piece of work becomes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.breaks import WIND_LOSS_S, Break
from standwatch.estimate.history import History, Visit
from standwatch.estimate.prior import Prior
from standwatch.model.units import days_of, reached
from standwatch.model.words import Work

Floats = NDArray[np.float64]

LOSS_SCATTER_S = 3.0
"""s; standard deviation of a wind's loss from one to the next, beside what it is for the clock (common practice)."""
_BUMP_SD_S, _BUMP_BALANCE_SD_S = 20.0, 5.0
_BUMP_DAYS = 1.0
_LEAST_DOUBT_S = 1e-9
_HOUR = timedelta(hours=1)
_BACKLASH = 0.10
"""How far a told turn of the nut may fall short or over, when turned and again as it settles: standard deviation as a
share of it (common practice)."""
YOUNG = 8
"""Readings after a new beginning in which what each may be is kept open widely."""
_BEFORE_WORK = 2
"""Readings of a run before any work that nobody logged can be told."""
_NO_WORK_WITHIN = 1 / 24


class Column(IntEnum):
    """What a step tells, in order: days since 2000, days of going since the step before it; jump, reading, going.

    A jump: seconds of known step, its variance (s^2), variance of the rate's step ((s/day)^2), whether error, rate and
    winding begin anew, turns of the nut told, and the part of a whole wind. A reading: seconds (nan: none), the
    variance of it that is told and the variance that goes by its kind's factor (s^2), days since the reading before,
    whether hands or nut may have been moved unlogged, whether the run is young, its number. The going since the step
    before: the wind curve's integral (days), degree-days over 20 deg C, and what `room.straying` gives of it.
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


_AFTER_ALL = 1 << 62
_SETTLED, _SHARED, _READ, _WORK, _BUMP = range(5)


@dataclass(frozen=True, slots=True)
class Made:
    """Steps (K, columns) as far as readings and work tell them; sources (K,), -1 where nothing was read; spans hung."""

    steps: Floats
    sources: tuple[int, ...]
    hung: tuple[tuple[datetime, datetime | None], ...]


def made(history: History, prior: Prior) -> Made:
    """The steps of a History, in time order; linear in its readings and works."""
    readings = history.readings
    openers = [b for b in history.breaks if b.opens_rate]
    events = sorted(_events(history, readings, openers))
    steps = np.zeros((len(events), len(Column)))
    steps[:, Column.READING] = np.nan
    if not events:
        return Made(steps, (), ())
    what = np.array([event[2] for event in events])
    sources = np.where(what == _READ, np.array([event[3] for event in events]), -1)
    steps[:, Column.DAY] = days_of(event[0] for event in events)
    steps[1:, Column.GOING] = np.diff(steps[:, Column.DAY])
    works = np.flatnonzero(what != _READ)
    for number in works:
        kind, place = events[number][2:]
        row = steps[number]
        if kind == _WORK:
            _work(row, history.breaks[place], prior)
        elif kind == _BUMP:
            row[Column.X_VAR] = bump_sd(history) ** 2
        elif kind == _SETTLED:
            _settled(row, openers[place], prior)
        else:
            row[Column.SHIFT] = history.common.jumps[place].seconds
            row[Column.X_VAR] = history.common.jumps[place].doubt_s ** 2
    read = np.flatnonzero(what == _READ)
    if len(read):
        steps[read, Column.READING : Column.NUMBER + 1] = _read(history, readings, steps, read)
    done = [(int(number), history.breaks[events[number][3]]) for number in works if what[number] == _WORK]
    hung = _hung(done, read, [event[0] for event in events], steps)
    return Made(steps, tuple(int(source) for source in sources), hung)


def _events(
    history: History, readings: tuple[Visit, ...], openers: list[Break]
) -> list[tuple[datetime, int, int, int]]:
    """Time, order, what, place. At one time: settling, what all clocks share, readings, then work as it was done."""
    events = [(v.at, v.order, _READ, place) for place, v in enumerate(readings)]
    events += [(b.at, b.order, _WORK, place) for place, b in enumerate(history.breaks)]
    events += [(at, _AFTER_ALL, _BUMP, -1) for at in history.bumps]
    events += [(jump.at, -1, _SHARED, place) for place, jump in enumerate(history.common.jumps)]
    for place, opener in enumerate(openers):
        at = settled_from(opener)
        if opener.at < at <= history.now:
            events.append((at, -1, _SETTLED, place))
    return events


def _work(row: Floats, done: Break, prior: Prior) -> None:
    """What one work does, written into its step."""
    if done.work is Work.WOUND and prior.has("c"):
        part = done.error_shift_s / WIND_LOSS_S
        row[Column.PART], row[Column.X_VAR] = part, (LOSS_SCATTER_S * part) ** 2
        return
    new = math.isinf(done.error_sd_s)
    row[Column.X_VAR] = 0.0 if new else done.error_sd_s**2
    if done.work is Work.NUT and done.amount is not None:
        row[Column.TURNS] = done.amount
        row[Column.Y_VAR] = (_BACKLASH * done.amount * prior.turn_scale) ** 2
        return
    row[Column.SHIFT] = done.error_shift_s
    row[Column.X_NEW], row[Column.Y_NEW] = new, math.isinf(done.rate_sd)
    row[Column.C_NEW] = done.opens_all


def _settled(row: Floats, opener: Break, prior: Prior) -> None:
    """The end of settling: what was read meanwhile tells little of the rate to come."""
    if opener.work is Work.NUT and opener.amount is not None:
        row[Column.Y_VAR] = (_BACKLASH * opener.amount * prior.turn_scale) ** 2
    else:
        row[Column.Y_NEW] = 1.0


def _read(history: History, readings: tuple[Visit, ...], steps: Floats, read: NDArray[np.int64]) -> Floats:
    """The readings' columns, in order from READING to NUMBER."""
    traits, usual = history.traits, history.usual_read_by
    by_kind = {how: traits.reading_doubt_s(how) ** 2 for how in {visit.read_by for visit in readings}}
    doubt = np.array([max(visit.doubt_s or 0.0, _LEAST_DOUBT_S) for visit in readings]) ** 2
    of_kind = np.array([0.0 if v.row.error_u_s is not None else by_kind[v.read_by] for v in readings])
    of_kind = np.minimum(of_kind, doubt)
    told = doubt - of_kind
    day = steps[read, Column.DAY]
    for bump in days_of(history.bumps):
        told += np.where((day > bump) & (day <= bump + _BUMP_DAYS), bump_sd(history) ** 2, 0.0)
    number = np.arange(len(read))
    since = np.append(0.0, np.diff(day))
    anew = steps[:, Column.X_NEW] > 0
    tells = (_since_last(anew, read) >= _BEFORE_WORK) & (since >= _NO_WORK_WITHIN)
    by_usual = np.array([visit.read_by is usual for visit in readings])  # taken otherwise: its hands disagree
    opened = anew | (steps[:, Column.Y_NEW] > 0) | (steps[:, Column.TURNS] != 0)
    return np.stack(
        [
            np.array([visit.error_s for visit in readings], dtype=np.float64),
            told,
            of_kind,
            since,
            tells & by_usual,
            tells & (not traits.reference),
            _since_last(opened, read) < YOUNG,
            number,
        ],
        axis=1,
    )


def _since_last(event: NDArray[np.bool_], read: NDArray[np.int64]) -> NDArray[np.int64]:
    """How many readings were taken before each since the last event, or in all."""
    at = np.flatnonzero(event)
    last = np.searchsorted(at, read) - 1
    before = np.searchsorted(read, at)
    base = before[np.maximum(last, 0)] if len(at) else np.zeros_like(read)
    return np.arange(len(read)) - np.where(last >= 0, base, 0)


def _hung(
    done: list[tuple[int, Break]], read: NDArray[np.int64], times: list[datetime], steps: Floats
) -> tuple[tuple[datetime, datetime | None], ...]:
    """The spans in which the clock stood and nothing moved on: from a stop to a restart, or a reading that shows it."""
    spans: list[tuple[datetime, datetime | None]] = []
    start: int | None = None

    def read_after(step: int, by: int) -> int | None:
        following = int(np.searchsorted(read, step, side="right"))
        return int(read[following]) if following < len(read) and read[following] < by else None

    for number, work in done:
        if start is not None and (shown := read_after(start, number)) is not None:
            spans[-1] = (spans[-1][0], times[shown])
            steps[start + 1 : shown, Column.GOING] = 0.0
            start = None
        if start is None and work.work in {Work.STOPPED, Work.RAN_OUT}:
            spans.append((times[number], None))
            start = number
        elif start is not None and work.work in {Work.RESTARTED, Work.OPENED, Work.OILED}:
            spans[-1] = (spans[-1][0], times[number])
            steps[start + 1 : number + 1, Column.GOING] = 0.0
            start = None
    if start is not None:
        shown = read_after(start, len(times))
        if shown is not None:
            spans[-1] = (spans[-1][0], times[shown])
        steps[start + 1 : shown, Column.GOING] = 0.0
    return tuple(spans)


def bump_sd(history: History) -> float:
    """How far a bump may have thrown the error: standard deviation in s (common practice)."""
    return _BUMP_BALANCE_SD_S if history.traits.oscillator == "balance" else _BUMP_SD_S
