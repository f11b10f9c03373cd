"""Level with the bob: when each weight, on its way down this wind, passes its own clock's pendulum.

A weight that hangs at the bob's height, or up to 150 mm below it, can draw swing from the pendulum (common practice).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.estimate.answers import Power, TrainRun
from standwatch.estimate.history import History
from standwatch.horology.hanging import one_weight
from standwatch.horology.kinds import Traits
from standwatch.horology.pendulum import length_mm
from standwatch.model.answers import Z95, Moment, NotYetKnown, Quantity
from standwatch.model.facts import Clock
from standwatch.model.words import Work

BELOW_BOB_MM = 150.0
"""How far below the bob a weight still disturbs it (common practice)."""
MEASURED_SD_MM = 10.0
"""Doubt of a bob's place measured by tape (an assumption)."""
BEATS_SD_SHARE = 0.12
"""Doubt of a bob's place taken from the beats, as a share of the length: where the weights' highest place lies against
the suspension was not told (an assumption; it takes a seconds longcase from day six back to the trade's day four)."""

Spread = tuple[float, float]
"""An estimate and its standard doubt."""


@dataclass(frozen=True, slots=True)
class Passage:
    """One weight's way past the bob on its present wind: when it comes level, and when it is clear of it.

    `in_case` says that this is in the clock's own case; `measured` that the bob's place was told, not taken from the
    pendulum's beats.
    """

    enters: Moment
    leaves: Moment
    in_case: bool
    measured: bool


@dataclass(frozen=True, slots=True)
class TrainPassage:
    """A train's passage; `run` is its wind."""

    run: TrainRun
    passage: Passage


def bob_place(clock: Clock, traits: Traits) -> Spread | None:
    """mm from the weights' highest place down to the bob's centre, and its standard doubt.

    The clock's `bob_below_top_mm`, else the pendulum's length by its beats; None where no weight hangs beside a
    pendulum.
    """
    if not traits.weights or traits.oscillator != "pendulum":
        return None
    if clock.bob_below_top_mm is not None:
        return clock.bob_below_top_mm, MEASURED_SD_MM
    length = length_mm(traits.beats_per_hour)
    return length, BEATS_SD_SHARE * length


def passages_of(history: History, power: Power) -> tuple[TrainPassage, ...] | NotYetKnown:
    """When each weight is level with the bob on its present wind, past or to come, in the trains' order.

    Empty where none ever is: no weight, a bob below the end of their way, or a wind begun below it.
    """
    place = bob_place(history.clock, history.traits)
    if place is None or history.home_since is not None:
        return ()
    runs = power.trains[:1] if one_weight(history.traits) else power.trains
    near = [run for run in runs if run.floor_mm is None or run.floor_mm > place[0]]
    found: list[TrainPassage] = []
    because: NotYetKnown | None = None
    for run in near:
        passage = _passage(history, run, place)
        if isinstance(passage, NotYetKnown):
            because = because or passage
        elif passage is not None:
            found.append(TrainPassage(run, passage))
    return tuple(found) if found or because is None else because


def _passage(history: History, run: TrainRun, place: Spread) -> Passage | NotYetKnown | None:
    fall, speed, floor = run.fall_mm, run.speed_mm_per_day, run.floor_mm
    if isinstance(fall, NotYetKnown):
        return fall
    if isinstance(speed, NotYetKnown):
        return speed
    if isinstance(run.runs_out, NotYetKnown):
        return run.runs_out
    bob, bob_sd = place
    since = min(history.now, run.runs_out.at)  # once it is down it falls no further
    enters = _at(since, fall, speed, (bob, bob_sd))
    leaves = _at(since, fall, speed, (bob + BELOW_BOB_MM, bob_sd))
    if floor is not None and bob + BELOW_BOB_MM > floor:
        leaves = run.runs_out
    if run.wound_at is not None:
        if leaves.at <= run.wound_at:
            return None
        enters, leaves = _not_before(enters, run.wound_at), _not_before(leaves, run.wound_at)
    return Passage(enters, leaves, in_case(history), history.clock.bob_below_top_mm is not None)


def _at(since: datetime, fall: Quantity, speed: Quantity, place: Spread) -> Moment:
    """When the weight is at `place`, by how far it had fallen at `since` and how fast it falls."""
    v = max(speed.estimate, 1e-6)
    days = (place[0] - fall.estimate) / v
    sd = math.hypot(fall.doubt / Z95, place[1], days * speed.doubt / Z95) / v
    at, low, high = (since + timedelta(days=day) for day in (days, days - Z95 * sd, days + Z95 * sd))
    return Moment(at, low, high)


def _not_before(moment: Moment, start: datetime) -> Moment:
    return Moment(max(moment.at, start), max(moment.low, start), max(moment.high, start))


def in_case(history: History) -> bool:
    """Whether it hangs in its own case, with its own weights and pendulum."""
    return any(visit.work is Work.CASED for visit in history.since_opened)
