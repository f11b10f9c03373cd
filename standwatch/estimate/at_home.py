"""The error at home: the forecast from the stand, and what the move does to a clock's rate.

Going home changes the rate by an amount of which only the spread s is known, until the shop's follow-ups teach it:
log s ~ N(log usual, 0.6^2) on a grid; the miss r of a follow-up after N days ~ N(0, V + u^2 + N^2 s^2), V the
forecast's own variance and u the doubt of what was told. Answers are the mixture over the grid.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.history import History
from standwatch.estimate.mixture import Mixture
from standwatch.estimate.owners_place import room_of_owner, site_of, together
from standwatch.estimate.reasons import day_words
from standwatch.estimate.tellings import Told, tellings
from standwatch.horology.gravity import Site
from standwatch.horology.moving import Manner, manner_of
from standwatch.model.answers import Z95, Answer, NotYetKnown

Floats = NDArray[np.float64]

S_MOVE: dict[Manner, float] = {"regulator": 2.0, "pendulum": 12.0, "balance": 5.0}
"""s/day by which rates change on the way home, one standard deviation (common practice)."""
_LOG_SD = 0.6
_NODES, _REACH = 49, 3.5
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class FollowUp:
    """What a clock's first telling from home taught: the forecast missed by `miss_s` after `days`.

    `variance` in s^2 is that of the forecast and of what was told, the move left out.
    """

    manner: Manner
    miss_s: float
    days: float
    variance: float


@dataclass(frozen=True, slots=True)
class Moves:
    """What is known of s: the grid in s/day and its weights, (G,) each, which add to 1."""

    s: Floats
    weight: Floats

    @property
    def middle(self) -> float:
        """The s in s/day in whose middle what is known lies (on the scale of its logarithm): the usual, untaught."""
        return float(np.exp((self.weight * np.log(self.s)).sum()))


def moves_of(manner: Manner, follow_ups: Iterable[FollowUp] = ()) -> Moves:
    """What `follow_ups` of clocks of that manner leave of the usual s."""
    z = np.linspace(-_REACH, _REACH, _NODES)
    s = S_MOVE[manner] * np.exp(_LOG_SD * z)
    log = -0.5 * z * z
    for each in follow_ups:
        if each.manner == manner:
            variance = each.variance + (each.days * s) ** 2
            log = log - 0.5 * (np.log(variance) + each.miss_s**2 / variance)
    weight = np.exp(log - log.max())
    return Moves(s, weight / weight.sum())


class AtHome:
    """The error of one clock that is at its owner's, for any time since it was delivered.

    `moves` is what the shop's other clocks taught. `shop` and `owner` are the two places. What the owner's latitude and
    height do to a pendulum (`site`) and what the owner's room does (`room`) is in the forecast as far as it is known.
    """

    def __init__(
        self,
        history: History,
        time: Timekeeping,
        moves: Moves,
        *,
        shop: Site | None = None,
        owner: Site | None = None,
    ) -> None:
        self._history, self._time, self._moves = history, time, moves
        self.site = site_of(history.traits, shop, owner)
        self.room = room_of_owner(history, time)

    @property
    def _place(self) -> tuple[float, float]:
        """What the owner's place adds to the rate in s/day, and its standard doubt; nothing where it is not known."""
        return together((self.site, self.room))

    def reading_at(self, at: datetime) -> Answer:
        """The error, in seconds, that a reading at `at` taken the usual way is expected to show."""
        told = self._told
        return told if isinstance(told, NotYetKnown) else self._expected(told, at, self._history.usual_doubt_s)

    @property
    def told(self) -> tuple[tuple[datetime, float, Answer], ...]:
        """The errors told since it was left, oldest first: when, what, and what was expected by all told before."""
        since, counted = self._history.home_since, self._told
        if since is None:
            return ()
        known = [] if isinstance(counted, NotYetKnown) else list(counted)
        expected = {each.at: self._expected(known[:n], each.at, each.doubt_s) for n, each in enumerate(known) if n}
        unknown = NotYetKnown("nothing that was told before it counts with it")
        found = [(t.at, t.error_s) for t in tellings(self._history, since) if t.error_s is not None and t.at > since]
        return tuple((at, error, expected.get(at, unknown)) for at, error in found)

    def _expected(self, told: Sequence[Told], at: datetime, doubt_s: float) -> Answer:
        """What a telling at `at` of standard doubt `doubt_s` is expected to show, by those `told` before."""
        steps = [self._step(a, b) for a, b in pairwise(told)]
        ahead = grown_between(self._history, self._time, told[-1].at, at)
        if isinstance(ahead, NotYetKnown):
            return ahead
        mixture = _forecast(self._moves, self._place, [step for step in steps if step is not None], ahead)
        doubt = math.hypot(told[-1].left_doubt_s, doubt_s)
        return Mixture(mixture.weight, told[-1].left_s + mixture.mean, np.hypot(mixture.sd, doubt)).quantity

    @cached_property
    def follow_up(self) -> FollowUp | None:
        """What its first telling after delivery teaches of moves; None where there is none yet.

        That is as it was found then, whatever was done or came of it later.
        """
        first = self._first_two
        step = None if first is None else self._step(*first)
        if step is None:
            return None
        miss, days, variance = step
        gained, doubt = self._place
        return FollowUp(manner_of(self._history.clock.kind), miss - days * gained, days, variance + (days * doubt) ** 2)

    @property
    def _first_two(self) -> tuple[Told, Told] | None:
        """The first two tellings between which it went on as it was left, or every step of it was measured."""
        since = self._history.home_since
        told: list[Told] = []
        for telling in [] if since is None else tellings(self._history, since):
            told = telling.found_after(told)
            if len(told) == 2 and told[0].at < told[1].at:
                return told[0], told[1]
            told = told[-1:]
            if telling.regulated:
                return None
            told = telling.left_after(told)
        return None

    def _step(self, before: Told, after: Told) -> tuple[float, float, float] | None:
        """By how much the forecast from one telling to the next missed, after how many days, with which variance."""
        grown = grown_between(self._history, self._time, before.at, after.at)
        if isinstance(grown, NotYetKnown) or grown[1] <= 0:
            return None
        mean, days, variance = grown
        return after.error_s - before.left_s - mean, days, variance + before.left_doubt_s**2 + after.doubt_s**2

    @cached_property
    def _told(self) -> Sequence[Told] | NotYetKnown:
        """The errors told since it was delivered that count together: none lies before a step nobody measured."""
        since = self._history.home_since
        if since is None:
            return NotYetKnown("it is not at its owner's")
        all_told = tellings(self._history, since)
        regulated = [telling for telling in all_told if telling.regulated]
        if regulated:
            when = day_words(self._history, regulated[-1].at)
            return NotYetKnown(f"{regulated[-1].done} at home, {when}: its rate is new")
        because = "its error was not told when it was delivered, nor since"
        told: list[Told] = []
        for telling in all_told:
            told = telling.left_after(telling.found_after(told))
            if telling.done and not told:
                because = f"{telling.done} at home, {day_words(self._history, telling.at)}, and not read since"
        return told or NotYetKnown(because)


def grown_between(
    history: History, time: Timekeeping, start: datetime, end: datetime
) -> tuple[float, float, float] | NotYetKnown:
    """By how much the error grows from `start` to `end` by the stand's forecast: s, days, variance in s^2."""
    readings = history.readings
    first, last = time.error_at(start), time.error_at(end)
    # the doubt of a forecast of that many days, from the last reading on the stand
    since = readings[-1].at if readings else start
    ahead = time.error_at(since + (end - start))
    if isinstance(first, NotYetKnown):
        return first
    if isinstance(last, NotYetKnown) or isinstance(ahead, NotYetKnown):
        return last if isinstance(last, NotYetKnown) else NotYetKnown("how it went on the stand is not known")
    return last.estimate - first.estimate, (end - start) / _DAY, (ahead.doubt / Z95) ** 2


def _forecast(
    moves: Moves,
    site: tuple[float, float],
    steps: Sequence[tuple[float, float, float]],
    ahead: tuple[float, float, float],
) -> Mixture:
    """How much the error grows on the way `ahead` (s, days, variance), the `steps` at home so far having told of it."""
    mean = np.full_like(moves.s, site[0])
    variance = moves.s**2 + site[1] ** 2
    log = np.log(np.maximum(moves.weight, 1e-300))
    for miss, days, noise in steps:
        spread = noise + days**2 * variance
        off = miss - days * mean
        log = log - 0.5 * (np.log(spread) + off**2 / spread)
        gain = days * variance / spread
        mean, variance = mean + gain * off, variance * (1 - gain * days)
    weight = np.exp(log - log.max())
    grown, days, noise = ahead
    return Mixture(weight / weight.sum(), grown + days * mean, np.sqrt(noise + days**2 * variance))


def forecast_after(moves: Moves, ahead: tuple[float, float, float], place: tuple[float, float] = (0.0, 0.0)) -> Mixture:
    """How much the error of a clock that goes home grows: `ahead` is the stand's forecast (s, days, variance).

    `place` is what the owner's place adds to the rate in s/day, and its standard doubt.
    """
    return _forecast(moves, place, (), ahead)
