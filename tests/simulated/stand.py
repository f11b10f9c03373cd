"""A stand of many clocks of one kind, each in a room of its own, read every morning; the truth is kept beside it.

`watched` is the simulation. Readings are at about 08:20, some minutes early or late; a wind follows the reading of
its day. What happens (an `Event`) happens after the reading of its day, told or not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from standwatch.model.words import Work
from tests.simulated.nature import Natures
from tests.simulated.physics import Bools, Floats, settling_lag, travelled, wander, wind_gain
from tests.simulated.reading import WAYS, spoiled, told
from tests.simulated.room import Room, between_hours, gathered

ROUND_D = (8 + 20 / 60) / 24
_JITTER_D = 4 / 1440
_THERMOMETER_C = 0.2
_SETTLES_D = 4 / 24
_HELD_S, _HELD_BALANCE_S = 15.0, 2.0
"""A pendulum is held while its nut is turned: the error steps by this (standard deviation); a balance hardly is."""
_RESET_S = 20.0
"""After a stop the hands are set right within this."""


@dataclass(frozen=True)
class Event:
    """What is done to every clock after the reading of `day`, and whether it is logged.

    `amount`, one a clock: HANDS_SET seconds forward; NUT turns (+ raises the bob); HELD seconds held; STOPPED ignores
    it: the clock stops soon after that reading, is found so on the next morning (no reading then), set and restarted.
    """

    what: Work
    day: int
    amount: Floats
    logged: bool = False


@dataclass(frozen=True)
class Watch:
    """How the clocks are watched: for how many days, with how many readings wrong or missed, what happens."""

    days: int = 35
    blunders: float = 0.0
    missed: float = 0.0
    thermometer: bool = True
    room: Room = field(default_factory=Room)
    events: Sequence[Event] = ()


@dataclass(frozen=True)
class Watched:
    """What happened, clocks x readings. `at_d` days from the first midnight; `errors`, `rates` are the truth.

    `rates` are at 20 deg C and mean over a wind (without what winding costs); `weather` the deviation of the room from
    20 deg C, its daily cycle left out; `seen` which readings were taken, `wrong` which of them are blunders; `wound`
    after which readings the clock was wound; `warmth_c` what the thermometer showed.
    """

    natures: Natures
    watch: Watch
    at_d: Floats
    errors: Floats
    rates: Floats
    weather: Floats
    readings: Floats
    seen: Bools
    wrong: Bools
    wound: Bools
    warmth_c: Floats

    def rate_here(self, day: int) -> Floats:
        """The rate at the temperature of `day`, the day's cycle left out."""
        return np.asarray(self.rates[:, day] - self.natures.warmth * self.weather[:, day])

    def winding_share(self, day: int) -> Floats:
        """What winding does to the mean rate, s/day, once two winds were read before and after by `day`; else 0."""
        sound = self.seen[:, : day + 1] & ~self.wrong[:, : day + 1]
        first = np.argmax(sound, axis=1)
        last = day - np.argmax(sound[:, ::-1], axis=1)
        days = np.arange(day + 1)
        between = self.wound[:, : day + 1] & (days >= first[:, None]) & (days < last[:, None])
        share = self.natures.loss_s / self.natures.wound_every_d
        return np.where(between.sum(axis=1) >= 2, share, 0.0)

    def mean_rate(self, day: int, *, here: bool) -> Floats:
        """The true mean rate on `day` as the requirement means it: `here` at the present temperature, else at 20."""
        return np.asarray((self.rate_here(day) if here else self.rates[:, day]) + self.winding_share(day))


def watched(natures: Natures, watch: Watch, rng: np.random.Generator) -> Watched:
    """`natures` watched for `watch.days` days: days + 1 readings each, the last one to be forecast where wanted."""
    clocks, days = natures.clocks, watch.days
    at_d = np.arange(days + 1) + ROUND_D + _JITTER_D * np.clip(rng.standard_normal((clocks, days + 1)), -4, 4)
    gaps = np.diff(at_d, axis=1)
    room = watch.room
    hourly = room.weather(clocks, days + 2, rng)
    offset = room.mean_c - 20.0
    degree_days = between_hours(gathered(hourly), at_d) + room.daily_gain(at_d) + offset * at_d
    by_chance, rates = wander(natures.q1_s**2, natures.q2_s**2, gaps, rng)
    gained = by_chance - natures.warmth[:, None] * np.diff(degree_days, axis=1)
    wound = np.broadcast_to(np.arange(days + 1) % natures.wound_every_d == 0, at_d.shape)
    gained += natures.curve[:, None] * _since_wind(at_d, natures.wound_every_d)
    spread = natures.loss_scatter_s * rng.standard_normal(gaps.shape)
    gained += np.where(wound[:, :-1], natures.loss_s[:, None] + spread, 0.0)
    seen = rng.random(at_d.shape) >= watch.missed
    seen[:, 0] = True
    for event in watch.events:
        step, change = _effect(event, natures, gaps[:, event.day], rng)
        gained[:, event.day] += step
        rates[:, event.day] += change
    errors, true_rates = travelled(natures.error_s, natures.rate, gaps, gained, rates)
    for event in watch.events:
        if event.what is Work.STOPPED:
            seen[:, event.day + 1] = False
            fresh = _RESET_S * rng.standard_normal(clocks)
            errors[:, event.day + 1 :] += (fresh - errors[:, event.day + 1])[:, None]
    read = told(errors, natures.reading_s, WAYS[natures.read_by].step_s, rng)
    readings, wrong = spoiled(read, watch.blunders, rng)
    weather = between_hours(hourly, at_d) + offset
    thermometer = 20 + weather + room.daily(at_d) + _THERMOMETER_C * rng.standard_normal(at_d.shape)
    return Watched(
        natures=natures,
        watch=watch,
        at_d=at_d,
        errors=errors,
        rates=true_rates,
        weather=weather,
        readings=readings,
        seen=seen,
        wrong=wrong,
        wound=wound,
        warmth_c=np.round(thermometer, 1),
    )


def _since_wind(at_d: Floats, period: int) -> Floats:
    """The wind curve's integral over each gap; the clock is wound at the readings of every `period`th day."""
    last = np.arange(at_d.shape[1] - 1) // period * period
    wound = at_d[:, last]
    return wind_gain(at_d[:, :-1] - wound, at_d[:, 1:] - wound, period)


def _effect(event: Event, natures: Natures, gap: Floats, rng: np.random.Generator) -> tuple[Floats, Floats]:
    """What an event adds to error and rate over the gap after its reading, beside what goes on anyway."""
    nothing = np.zeros_like(gap)
    match event.what:
        case Work.HANDS_SET:
            return event.amount, nothing
        case Work.HELD:
            return -event.amount, nothing
        case Work.NUT:
            change = natures.turn * event.amount
            held = (_HELD_S if natures.swings else _HELD_BALANCE_S) * rng.standard_normal(len(change))
            # from the next reading on the new rate holds; over this gap it comes in beside the old one
            return held + change * (gap - settling_lag(gap, _SETTLES_D)), change
        case Work.STOPPED:
            return nothing, nothing
        case _:
            raise ValueError(f"no physics for {event.what}")
