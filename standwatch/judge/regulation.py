"""Advice on the rating nut or index: how many turns, which way, and what the rate becomes. Or to leave it alone."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from standwatch.estimate.answers import Estimates
from standwatch.estimate.breaks import Break
from standwatch.estimate.reasons import day_words
from standwatch.horology.pendulum import turn_s_per_day
from standwatch.judge.rate import LEAST_READINGS
from standwatch.judge.wrong_way import wrong_way
from standwatch.model.answers import Z95, NotYetKnown, Quantity
from standwatch.model.units import MINUS, rate_words
from standwatch.model.words import Work

FIRST_SHARE = 0.8
"""How much of the way is advised the first time (common practice): finish in one direction, because of backlash."""
MANY_TURNS = 3.0
WELL_LEARNED = 0.5
"""Relative standard doubt up to which turns logged without a bob are taken to have taught what one does."""

Direction = Literal["raise", "lower", "faster", "slower"]


@dataclass(frozen=True, slots=True)
class Advice:
    """Turns, + raises the bob (or goes towards faster), and the rate in s/day that they lead to."""

    turns: Quantity
    direction: Direction
    rate_after: Quantity
    note: str


def advise(estimates: Estimates, target: float = 0.0) -> Advice | NotYetKnown:
    """What to do about the rate to bring it to `target` s/day, or why nothing is advised.

    Where the clock went the other way after the last turn, that comes with either.
    """
    found, doubted = _advise(estimates, target), other_way_words(estimates)
    if not doubted:
        return found
    if isinstance(found, NotYetKnown):
        return NotYetKnown(f"{found.because}; {doubted}")
    return replace(found, note="; ".join(part for part in (doubted, found.note) if part))


def other_way_words(estimates: Estimates) -> str:
    """ "the last turn did the opposite of what was told, it went 12 s/day faster: check which way", or nothing."""
    turned = wrong_way(estimates)
    if turned is None:
        return ""
    side = "faster" if turned.change > 0 else "slower"
    return (
        f"after the turn of {day_words(estimates.history, turned.at)} it went {abs(turned.change):.0f} s/day {side}, "
        f"the opposite of what was told: check which way it was turned, and if need be "
        f"`standwatch correct {turned.id} amount={-turned.turns:g}`"
    )


def _advise(estimates: Estimates, target: float) -> Advice | NotYetKnown:
    way = direction(estimates, target)
    rate = estimates.time.rate
    if isinstance(way, NotYetKnown):
        return way
    if isinstance(rate, NotYetKnown):
        return rate
    off, rate_sd = rate.estimate - target, rate.doubt / Z95
    effect = turn_effect(estimates)
    if effect is None:
        return NotYetKnown(
            f"{abs(off):.0f} s/day towards {_plain(way)}; what a turn does to this clock is not learned yet: "
            "move it a little and log how much"
        )
    per_turn, per_turn_sd = effect
    done = nuts_since_opened(estimates)
    first, last = not done, next((b.amount for b in reversed(done) if b.amount), 0.0)
    share = FIRST_SHARE if first else 1.0
    turns = -share * off / per_turn
    turns_sd = abs(turns) * math.hypot(rate_sd / off, per_turn_sd / per_turn)
    notes = [f"{FIRST_SHARE:.0%} of the way, since it is the first time".replace("%", " %")] if first else []
    if last * turns < 0:
        notes.append("last time it was turned the other way: take up the play first, and finish in one direction")
    if abs(turns) > MANY_TURNS:
        notes.append("over three turns: suspect the wrong pendulum, the suspension or a slipping bob")
    return Advice(Quantity.normal(turns, turns_sd), way, rate_after(rate, turns, effect), "; ".join(notes))


def rate_after(rate: Quantity, turns: float, effect: tuple[float, float]) -> Quantity:
    """The rate in s/day that `turns` lead to from `rate`, where one turn does `effect` (s/day, standard doubt)."""
    per_turn, per_turn_sd = effect
    sd = math.hypot(rate.doubt / Z95, turns * per_turn_sd)
    return Quantity.normal(rate.estimate + turns * per_turn, sd)


def direction(estimates: Estimates, target: float = 0.0) -> Direction | NotYetKnown:
    """Which way to go, or why to leave it: too few readings, or near enough to the target.

    Near enough is within two standard errors, or within half the clock's limit.
    """
    traits, time = estimates.history.traits, estimates.time
    rate, limit = time.rate, traits.mean_rate_limit
    if traits.reference or limit is None:
        return NotYetKnown("compared for its rate alone, not regulated")
    if estimates.history.home_since is not None:
        return NotYetKnown("it is at its owner's, where its rate is not the stand's")
    number = time.readings_since_rate_opened
    if isinstance(rate, NotYetKnown):
        return rate
    if number < LEAST_READINGS:
        return NotYetKnown(f"{number} of {LEAST_READINGS} readings since the rate was opened")
    off = rate.estimate - target
    if abs(off) < max(2 * rate.doubt / Z95, limit / 2):
        near = "its doubt" if 2 * rate.doubt / Z95 > limit / 2 else f"half the limit of {limit:g}"
        aim = "" if target == 0 else f" of the target of {target:+.3g}".replace("-", MINUS)
        return NotYetKnown(f"leave it: it {rate_words(rate.estimate)}, within {near}{aim}")
    if traits.oscillator == "pendulum":
        return "lower" if off > 0 else "raise"
    return "slower" if off > 0 else "faster"


def turn_effect(estimates: Estimates) -> tuple[float, float] | None:
    """s/day that one turn towards faster makes on this clock, and its standard doubt.

    As its turns have taught; what the pendulum's length gives where they contradict the thread's sense. None where
    nothing is known well enough to advise turns by it.
    """
    prior = turn_s_per_day(estimates.history.clock, estimates.history.traits)
    learned = estimates.time.turn_effect
    if learned is None or learned[0] <= 0 or (prior is None and learned[1] > WELL_LEARNED * learned[0]):
        return prior
    return learned


def nuts_since_opened(estimates: Estimates) -> list[Break]:
    """The turns of the nut or index since the clock was last opened, oldest first."""
    opened = estimates.history.opened_at
    return [b for b in estimates.history.breaks if b.work is Work.NUT and (opened is None or b.at >= opened)]


def _plain(way: Direction) -> str:
    return {"raise": "faster", "lower": "slower"}.get(way, way)
