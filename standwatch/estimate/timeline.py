"""From a History to what happens to one clock, step by step: going, work, settling, winds, bumps and readings."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.breaks import Break
from standwatch.estimate.history import History, Visit
from standwatch.estimate.learned import DEFAULTS, Learned
from standwatch.estimate.making import Column, made, settled_from
from standwatch.estimate.prior import Prior, prior_of
from standwatch.estimate.room import Room, room_of, straying
from standwatch.estimate.wind_curve import WindCurve, wind_curve
from standwatch.horology.kinds import OTHER_HAND_DOUBT_S
from standwatch.model.units import days
from standwatch.model.words import ReadBy

Floats = NDArray[np.float64]
_ROOMS = 16  # kept from one question to the next


@dataclass(frozen=True, slots=True)
class Timeline:
    """One clock's steps (K, columns), in time order, with what they were made of.

    `sources` (K,) count the reading in `visits`, -1 for a step without one. `curve` is None where winding does nothing
    to the error; `curved` says that it bends a spring's rate, `lossy` that a wind costs a weight clock time. `q1`,
    `q2` are the kind's noise variances. `rate_since` is when the rate was last opened and settled; `opener` the work
    that did. `hung` are the spans in which the clock stood (end None: it still does).
    """

    steps: Floats
    sources: tuple[int, ...]
    visits: tuple[Visit, ...]
    prior: Prior
    curve: WindCurve | None
    curved: bool
    lossy: bool
    room: Room
    q1: float
    q2: float
    now: float
    rate_since: datetime | None
    opener: Break | None
    hung: tuple[tuple[datetime, datetime | None], ...]
    days_at: tuple[float, ...]

    def cut(self, readings: int) -> Timeline:
        """The same clock up to its reading so many."""
        read = [step for step, source in enumerate(self.sources) if source >= 0]
        if len(read) <= readings:
            return self
        end = read[readings]
        return replace(self, steps=self.steps[:end], sources=self.sources[:end], days_at=self.days_at[:end])

    def stood_at(self, at: datetime) -> bool:
        """Whether the clock is known to have stood still at `at`."""
        return any(start <= at and (end is None or at < end) for start, end in self.hung)

    def last_step(self, day: float) -> int:
        """The last step at or before `day`; -1 where there is none."""
        return bisect_right(self.days_at, day) - 1

    def curve_between(self, start: float, end: float) -> float:
        """What winding's curve adds to the error between two days, for each s/day of it."""
        return self.curve.integral(end) - self.curve.integral(start) if self.curve is not None and self.curved else 0.0

    def degree_days(self, start: float, end: float) -> float:
        """Degree-days over 20 deg C between two days of the past."""
        a, b = self.room.until(np.array([start, end]))[0]
        return float(b - a)

    def warmth_ahead(self, start: float, end: float) -> tuple[float, float]:
        """Degree-days over 20 deg C from the last step on, and how many of the days nobody logged."""
        degrees, logged = self.room.until(np.array([start, end]))
        unlogged = max(end - start - float(logged[1] - logged[0]), 0.0)
        return float(degrees[1] - degrees[0]), unlogged

    def winds_to_come(self, day: float) -> int:
        """The winds expected until `day` of a weight clock that they cost time."""
        return self.curve.winds_by(day) if self.curve is not None and self.lossy else 0


def reading_doubt_s(history: History, how: ReadBy | None) -> float:
    """Standard doubt in seconds of a reading taken `how`, the usual way if None."""
    if how is None or how is history.usual_read_by:
        return history.usual_doubt_s
    return math.hypot(history.traits.reading_doubt_s(how), OTHER_HAND_DOUBT_S)


def timeline_of(history: History, learned: Learned = DEFAULTS, room: Room | None = None) -> Timeline:
    """The steps of `history`; linear in its readings and works. `room` is the History's, where it is known already."""
    readings = history.readings
    room = room if room is not None else room_of(history.temperatures, history.common.heating)
    start = history.clock.on_stand_at or (readings[0].at if readings else history.now)
    prior = prior_of(history, learned, room)
    told = made(history, prior)
    openers = [b for b in history.breaks if b.opens_rate]
    opener = max(openers, key=settled_from) if openers else None
    curve = wind_curve(history, days(start)) if prior.has("c") else None
    _fill(told.steps, curve if prior.curved else None, room, prior)
    return Timeline(
        steps=told.steps,
        sources=told.sources,
        visits=readings,
        prior=prior,
        curve=curve,
        curved=prior.curved,
        lossy=prior.lossy,
        room=room,
        q1=prior.q1,
        q2=prior.q2,
        now=days(history.now),
        rate_since=settled_from(opener) if opener else (readings[0].at if readings else None),
        opener=opener,
        hung=told.hung,
        days_at=tuple(told.steps[:, Column.DAY].tolist()),
    )


def _fill(steps: Floats, curve: WindCurve | None, room: Room, prior: Prior) -> None:
    """Write into the steps what winding and the room did in each."""
    if not len(steps):
        return
    day, going = steps[:, Column.DAY], steps[:, Column.GOING]
    went = np.append(False, going[1:] > 0)
    if curve is not None:
        steps[1:, Column.CURVE] = np.where(went[1:], np.diff(curve.integrals(day)), 0.0)
    if prior.has("b") or prior.has("v"):
        degrees, logged = room.until(day)
        steps[1:, Column.DEGREE_DAYS] = np.where(went[1:], np.diff(degrees), 0.0)
        if prior.has("v"):
            told = np.append(0.0, np.diff(logged)) > going / 2
            keep, enters, xx, xv, vv = straying(going, prior.stray_sd)
            known = told & went
            steps[:, Column.STRAY_KEEP] = np.where(known, 0.0, keep)
            steps[:, Column.STRAY_DAYS] = np.where(known, 0.0, enters)
            steps[:, Column.STRAY_XX] = np.where(known, 0.0, xx)
            steps[:, Column.STRAY_XV] = np.where(known, 0.0, xv)
            steps[:, Column.STRAY_VV] = np.where(known, prior.stray_sd**2, vv)


def lines_of(
    histories: Sequence[History], learned: Learned = DEFAULTS, rooms: dict[object, Room] | None = None
) -> list[Timeline]:
    """What happened to each clock, step by step; the room that they share is worked out once, and kept in `rooms`."""
    rooms = {} if rooms is None else rooms
    if len(rooms) > _ROOMS:
        rooms.clear()
    lines = []
    for history in histories:
        told = (history.temperatures, history.common.heating)
        room = rooms.get(told) or rooms.setdefault(told, room_of(*told))
        lines.append(timeline_of(history, learned, room))
    return lines
