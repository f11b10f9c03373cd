"""A workshop's stand with known truth: a room, and clocks that wander, wind down, strike and stop as clocks do.

Its own physics, shared with nothing in the program but the published equations of the clock noise model:
over tau days, Q11 = q1 tau + q2 tau^3/3, Q12 = q2 tau^2/2, Q22 = q2 tau. Plain Python random numbers, seeded by text,
so that the same seed gives the same stand on any machine.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from statistics import median
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Europe/London")
_EPOCH = datetime(2026, 10, 1, tzinfo=UTC)
_NEW_MOON = datetime(2026, 11, 9, 7, tzinfo=UTC)
_STEP = timedelta(hours=1)
_NOTES = {1: 4, 2: 8, 3: 12, 4: 16}


def civil(text: str) -> datetime:
    """ "11-20 08:05" of 2026, the shop's civil time."""
    return datetime.fromisoformat(f"2026-{text}").replace(tzinfo=ZONE)


class Room:
    """The shop's temperature in deg C: heating by day, weather over the weeks."""

    def __init__(self, seed: int) -> None:
        rng = random.Random(f"{seed}/room")  # noqa: S311  # a simulation, no secret
        self._weather: list[float] = []
        drift = 0.0
        for _ in range(80):
            drift = 0.8 * drift + rng.gauss(0, 0.7)
            self._weather.append(drift)

    def temperature(self, at: datetime) -> float:
        """deg C at `at`."""
        days = (at - _EPOCH) / timedelta(days=1)
        day = int(days)
        share = days - day
        weather = (1 - share) * self._weather[day] + share * self._weather[day + 1]
        return 19.5 + weather + 1.2 * math.sin(2 * math.pi * (days - 0.375))


@dataclass
class Nature:
    """What a clock truly is. Rates s/day at 20 deg C and mean over a wind, lengths mm, angles degrees.

    `q1`, `q2` are standard deviations per root day; `loses_per_c` s/day per deg C; `curve` s/day from fully wound to
    run down; `speed` mm a day (going), a blow (strike), a note (chime); `swing_wind` the share lost over the wind,
    `swing_week` the share lost each week whatever the wind; `run_days` how long a spring goes.
    """

    rate: float
    q1: float
    q2: float
    loses_per_c: float = 0.0
    curve: float = 0.0
    run_days: float = 8.0
    speed: dict[str, float] = field(default_factory=dict)
    floor: dict[str, float] = field(default_factory=dict)
    bow: float = 0.02
    swing: float = 2.5
    swing_wind: float = 0.02
    swing_week: float = 0.0
    beat: float = 1.0
    overswing: tuple[float, float] = (24.0, 27.0)
    winding_loss: float = 0.0
    one_chain: bool = False
    silence: tuple[int, int] | None = None


class SimClock:
    """One clock going on the stand, at a time of its own that only moves forward."""

    def __init__(self, tag: str, nature: Nature, room: Room, *, seed: int, start: datetime, error: float) -> None:
        self.nature, self.room = nature, room
        self.rng = random.Random(f"{seed}/{tag}")  # noqa: S311  # a simulation, no secret
        self.at = self.since = start
        self.error = error
        self.rate = nature.rate
        self.going = True
        self.hung_dial: str | None = None
        self.shifted_h = 0
        self.chime_off = 0
        self.shows_offset = start.astimezone(ZONE).utcoffset() or timedelta()
        self.fall = dict.fromkeys(nature.speed, 0.0)
        self.wound_at = start
        self.winds: list[datetime] = []
        self.rate_opened = start

    # --- time -------------------------------------------------------------------------------------------------

    def advance(self, to: datetime) -> None:
        """Let the clock go on to `to`, in steps of an hour."""
        while self.at < to:
            step = min(_STEP, to - self.at)
            if self.going:
                self._go(step)
            self.at += step

    def _go(self, step: timedelta) -> None:
        n, d = self.nature, step / timedelta(days=1)
        wound = (self.at - self.wound_at) / timedelta(days=1)
        curve = n.curve * (0.5 - (wound + d / 2) / n.run_days) if n.curve else 0.0
        warm = self.room.temperature(self.at + step / 2) - 20
        before = self._dial_hours(self.at)
        a, b = self.rng.gauss(0, 1), self.rng.gauss(0, 1)
        q11, q12, q22 = n.q1**2 * d + n.q2**2 * d**3 / 3, n.q2**2 * d * d / 2, n.q2**2 * d
        l11 = math.sqrt(q11)
        l21 = q12 / l11
        self.error += (self.rate + curve - n.loses_per_c * warm) * d + l11 * a
        self.rate += l21 * a + math.sqrt(max(q22 - l21 * l21, 0.0)) * b
        self._fall(before, self._dial_hours(self.at + step), d)
        if any(self.fall[t] >= n.floor[t] for t in self.fall if t == "going"):
            self.fall["going"] = n.floor["going"]
            self._hang(self.at + step)
        elif n.curve and wound > 1.5 * n.run_days:
            self._hang(self.at + step)

    def _fall(self, before: float, after: float, d: float) -> None:
        n = self.nature
        blows = sum(((quarter // 4 - 1) % 12) + 1 for quarter in self._quarters(before, after) if quarter % 4 == 0)
        if "going" in self.fall:
            share = 0.55 * d + 0.45 * blows / 156 if n.one_chain else d
            bow = 1 + n.bow * (self.fall["going"] / n.floor["going"] - 0.5)
            self.fall["going"] += n.speed["going"] * share * bow
        if "strike" in self.fall:
            self.fall["strike"] = min(self.fall["strike"] + n.speed["strike"] * blows, n.floor["strike"])
        if "chime" in self.fall:
            notes = sum(_NOTES[quarter % 4 or 4] for quarter in self._quarters(before, after) if self._sounds(quarter))
            self.fall["chime"] = min(self.fall["chime"] + n.speed["chime"] * notes, n.floor["chime"])

    def _sounds(self, quarter: int) -> bool:
        silence = self.nature.silence
        hour = quarter / 4 % 24
        return silence is None or not (hour >= silence[0] or hour < silence[1])

    @staticmethod
    def _quarters(before: float, after: float) -> range:
        return range(math.floor(before * 4) + 1, math.floor(after * 4) + 1)

    def _dial_hours(self, at: datetime) -> float:
        """What the dial shows, in hours counted on from the epoch's midnight."""
        return (at - _EPOCH + self.shows_offset) / timedelta(hours=1) + self.error / 3600 + self.shifted_h

    # --- what is done to it -----------------------------------------------------------------------------------

    def wind(self, trains: tuple[str, ...], short: float = 0.0) -> None:
        """Wind the weights to `short` mm of the top, or the springs; without maintaining power it stands meanwhile."""
        for train in trains:
            if train in self.fall:
                self.fall[train] = max(0.0, short + self.rng.gauss(0, 2))
        if "going" in trains:
            self.wound_at = self.at
            self.winds.append(self.at)
            if self.nature.winding_loss:
                self.error -= max(0.0, self.rng.gauss(self.nature.winding_loss, 1.5))

    def turn_nut(self, rate_change: float, held: float = 8.0) -> None:
        """A turn of the nut: the rate steps, and the bob is held for a moment."""
        self.rate_opened = self.at
        self.rate += rate_change
        self.error -= abs(self.rng.gauss(0, held))

    def shift(self, hours: int) -> None:
        """Hands forward by whole hours; it strikes, and its strike weight falls, all the way."""
        before = self._dial_hours(self.at)
        self.shifted_h += hours
        self._fall(before, self._dial_hours(self.at), 0.0)

    def disturb(self, rate_sd: float, error_sd: float) -> None:
        """Beat, level or case: a new error and a slightly other rate."""
        self.rate_opened = self.at
        self.rate += self.rng.gauss(0, rate_sd)
        self.error += self.rng.gauss(0, error_sd)

    def stop(self) -> None:
        """It stops, and nobody knows why."""
        self._hang(self.at)

    def _hang(self, at: datetime) -> None:
        self.going = False
        hours = self._dial_hours(at) % 12
        self.hung_dial = f"{int(hours) or 12}:{int(hours * 60) % 60:02}"

    def restart(self, error: float) -> None:
        """Set going and to time, to within `error` seconds."""
        self.going, self.hung_dial, self.error = True, None, error

    def mean_rate(self) -> float:
        """s/day now at the room's last day's temperature, the mean over a wind as the clock is kept.

        The step at each winding is in it once the clock was wound twice since its rate was opened.
        """
        n = self.nature
        last_day = [self.room.temperature(self.at - timedelta(hours=h)) for h in range(24)]
        rate = self.rate - n.loses_per_c * (sum(last_day) / 24 - 20)
        gaps = [(b - a) / timedelta(days=1) for a, b in pairwise(self.winds)]
        kept = median(gaps) if gaps else n.run_days
        if n.curve:
            rate += n.curve * (0.5 - kept / 2 / n.run_days)
        if sum(at > self.rate_opened + timedelta(days=1) for at in self.winds) >= 2:
            rate -= n.winding_loss / kept
        return rate

    # --- what is seen of it -----------------------------------------------------------------------------------

    def read_error(self, how: str) -> float:
        """The error in seconds as a person reads it."""
        doubt = {"seconds-hand": 0.5, "minute-hand": 5.0, "estimate": 15.0, "first-blow": 2.5}[how]
        seen = self.error + self.rng.gauss(0, doubt)
        return round(seen, 1) if how in {"seconds-hand", "first-blow"} else float(round(seen))

    def read_fall(self, train: str) -> int:
        """mm fallen as read on the paper scale, to 5 mm."""
        return 5 * round((self.fall[train] + self.rng.gauss(0, 2.5)) / 5)

    def true_swing(self) -> float:
        """Degrees, now."""
        n = self.nature
        wound = (self.at - self.wound_at) / timedelta(days=1) / n.run_days
        weeks = (self.at - self.since) / timedelta(days=7)
        worn: float = (1 - n.swing_week) ** weeks
        return n.swing * (1 - n.swing_wind * wound) * worn

    def read_swing(self, doubt: float, step: float) -> float:
        """Degrees as read, with a relative `doubt`, to `step`."""
        return round(round(self.true_swing() * (1 + self.rng.gauss(0, doubt)) / step) * step, 3)

    def read_beat(self) -> float:
        """Beat error in per cent (pendulums) or ms (balances), as read."""
        return round(abs(self.nature.beat + self.rng.gauss(0, 0.12 * self.nature.beat)), 1)

    def read_overswing(self) -> tuple[int, int]:
        """Degrees past the unlocking, left and right."""
        left, right = self.nature.overswing
        return round(left + self.rng.gauss(0, 0.6)), round(right + self.rng.gauss(0, 0.6))

    def moon_age(self) -> float:
        """The moon's mean age in days, counted from a new moon of November 2026."""
        return (self.at - _NEW_MOON) / timedelta(days=1) % 29.530588

    def dial_quarter(self) -> tuple[int, int]:
        """The hour (1-12) and quarter (1-4; 4 at the hour) that the dial is nearest to."""
        quarters = round(self._dial_hours(self.at) * 4)
        return (quarters // 4 - 1) % 12 + 1, quarters % 4 or 4
