"""One weight's possible stories, some of them with a mark: its train is stuck, or has run on.

As `falls.Weight`, several tellings run side by side (`telling.Row`). Where a reading fits one badly it splits: the
reading was a blunder; somebody wound and told nobody; the train stuck a share of the way; it ran on by some of a day's
fall or most of what was left. A stuck train stays so until it is put right or, seldom, goes again of itself. How often
each comes is an assumption about the trade's clocks, tried on simulated stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from copy import copy
from datetime import datetime, timedelta

from standwatch.estimate.falls import (
    BLUNDER,
    BLUNDER_SD_MM,
    FLOOR_SD_MM,
    MAY_BE_ELSE,
    PARALLAX_SD_MM,
    RAISED_SD_MM,
    RAISED_SD_SHARE,
    READING_SD_MM,
    RIPPLE_MM,
    SPEED_SD,
)
from standwatch.estimate.marks import (
    FITS_WELL,
    GOES_AGAIN,
    HEARD_BUT_STUCK,
    LEAST_WEIGHT,
    MOST_ROWS,
    NEAR_FLOOR_MM,
    ON_A_DAY,
    ON_DAYS,
    ON_REST,
    STUCK_A_DAY,
    STUCK_BEFORE,
    STUCK_SHARES,
    SURELY,
    Mark,
    Marked,
    Way,
)
from standwatch.estimate.telling import TOP_MM, TOP_SD_MM, Row, log_density


class MarkedWeight:
    """One weight; mm and mm a day as for `falls.Weight`."""

    def __init__(self, floor: float, lowest: float, speed: float, bow_sd: float) -> None:
        self.floor, self.lowest, self.speed = floor, lowest, speed
        self.placed = False
        self.tellings = [
            Marked(Row(math.log(share), sd**2 + RIPPLE_MM**2, *(floor / 2, 1.0, 0.0, 0.0, floor**2, 0.0, 0.0, 0.0),
                       SPEED_SD**2, 0.0, 0.0, bow_sd**2, 0.0, PARALLAX_SD_MM**2))
            for sd, share in READING_SD_MM
        ]  # fmt: skip

    def odds(self, mark: Mark, *, before: datetime | None = None) -> float:
        """The probability of a mark; with `before`, of one that an earlier reading than that showed already."""
        marked = [t for t in self.tellings if t.mark == mark]
        if before is not None:
            marked = [t for t in marked if t.since is not None and t.since[1] <= before]
        return sum(math.exp(t.row.log_weight) for t in marked)

    def wound(self) -> float:
        """The probability that somebody wound it before the last reading, untold."""
        return sum(math.exp(t.row.log_weight) for t in self.tellings if t.wound)

    def likeliest(self, mark: Mark) -> Marked | None:
        """The likeliest telling with that mark."""
        marked = [t for t in self.tellings if t.mark == mark]
        return max(marked, key=lambda t: t.row.log_weight, default=None)

    def movement(self, days: float) -> tuple[float, float]:
        """How far it will fall in so many days if it goes as it should, in mm, and the sd of that from its speed."""
        weights = [math.exp(t.row.log_weight) for t in self.tellings]
        moved, own = [], []
        for telling in self.tellings:
            row = telling.row
            fall, _, jm, jc = row.ahead(days * self.speed, self.floor)
            moved.append(fall - row.f)
            own.append(jm * jm * row.mm + jc * jc * row.cc + 2 * jm * jc * row.mc)
        mean = sum(w * way for w, way in zip(weights, moved, strict=True))
        spread = sum(w * (max(o, 0.0) + (way - mean) ** 2) for w, way, o in zip(weights, moved, own, strict=True))
        return mean, math.sqrt(spread)

    def as_it_goes(self) -> MarkedWeight:
        """A copy that will take in no reading: how it would go on from here."""
        other = copy(self)
        other.tellings = [Marked(t.row.copy()) for t in self.tellings]
        return other

    def lose(self) -> None:
        """Opened: nothing is known of where it is, and it was put right."""
        self.placed = False
        for telling in self.tellings:
            telling.row.place(self.floor / 2, self.floor**2)
        self.put_right()

    def put_right(self) -> None:
        """Whatever was wrong with the train is so no more."""
        for telling in self.tellings:
            telling.mark, telling.since = "", None

    def new_scale(self) -> None:
        """It is read against another scale from here on."""
        for telling in self.tellings:
            row = telling.row
            row.o, row.oo, row.fo, row.mo, row.co = 0.0, PARALLAX_SD_MM**2, 0.0, 0.0, 0.0

    def land(self, way: Way, still: float) -> None:
        """It came to the end of `way`, so its train is not stuck: unless time alone brings it down, by `still` days.

        Then the train may as well have stuck on that way, which nobody saw.
        """
        unseen = [self._stuck_unseen(t, way, still) for t in self.tellings if t.mark != "stuck"] if still else []
        for telling in self.tellings:
            if telling.mark == "stuck":
                share = (
                    telling.row.landed(still * self.speed, self.floor, self.lowest, FLOOR_SD_MM) if self.placed else 0.0
                )
                telling.row.log_weight += math.log(max(share, HEARD_BUT_STUCK))
        for telling in (*self.tellings, *unseen):
            telling.row.place(self.lowest, FLOOR_SD_MM**2)
        self.placed = True
        self._keep([*self.tellings, *unseen])

    def _stuck_unseen(self, telling: Marked, way: Way, still: float) -> Marked:
        """The train stuck somewhere on a way to the floor."""
        stuck = Marked(telling.row.copy(), "stuck", (way.start, way.end))
        step = (still + way.days + way.loose) / 2 * self.speed
        share = telling.row.landed(step, self.floor, self.lowest, FLOOR_SD_MM) if self.placed else 1.0
        days = (way.end - way.start) / timedelta(days=1)
        stuck.row.log_weight += math.log(STUCK_A_DAY * max(days, 0.01) * max(share, HEARD_BUT_STUCK))
        return stuck

    def wind(self, raised: float | None) -> None:
        """Wind it to the top, or raise it by `raised` mm. It stays stuck if it was."""
        if not self.placed and raised is not None:
            return
        for telling in self.tellings:
            row = telling.row
            if not self.placed:
                row.place(TOP_MM, TOP_SD_MM**2)
            elif raised is None or row.f - raised <= TOP_MM:
                row.wind_up()
            else:
                row.f -= raised
                row.ff += (RAISED_SD_MM + RAISED_SD_SHARE * raised) ** 2
        self.placed = True

    def advance(self, way: Way) -> None:
        """Along a way without a reading at its end."""
        if self.placed:
            for telling in self.tellings:
                self._go(telling.row, way, way.still if telling.mark == "stuck" else way.days, way.loose)
            self._weigh_heard(way)

    def read(self, way: Way, reading: float) -> None:
        """Along a way to a reading of its fall."""
        if not self.placed:
            for telling in self.tellings:
                telling.row.observe(reading)
            self.placed = True
            return
        told: list[Marked] = []
        for telling in self.tellings:
            told += self._stuck(telling, way, reading) if telling.mark == "stuck" else self._runs(telling, way, reading)
        self._keep(told)
        for telling in self.tellings:  # those that are kept alone take it in
            if telling.sound:
                telling.row.observe(reading)
                telling.sound = False

    def heard(self, *, stuck: float) -> None:
        """Something was heard that a stuck train does `stuck` times as often as a sound one."""
        for telling in self.tellings:
            if telling.mark == "stuck":
                telling.row.log_weight += math.log(stuck)
        self._keep(self.tellings)

    def forget_before(self, when: datetime) -> None:
        """What ran on before `when` is no news any more."""
        for telling in self.tellings:
            if telling.mark == "on" and telling.since is not None and telling.since[1] < when:
                telling.mark, telling.since = "", None

    def _weigh_heard(self, way: Way) -> None:
        if way.shown:
            self.heard(stuck=HEARD_BUT_STUCK)

    def _runs(self, telling: Marked, way: Way, reading: float) -> Iterator[Marked]:
        """How a telling of a going train may have come to `reading`."""
        usual = self._branch(telling, way, way.days, way.loose)
        near = reading >= self.lowest - NEAR_FLOOR_MM
        if near and usual.row.f + SURELY * math.sqrt(max(usual.row.ff, 0.0)) > self.lowest:
            usual.row.place(self.lowest, FLOOR_SD_MM**2)
        miss, variance = usual.row.miss(reading)
        odd = way.untold + (len(ON_DAYS) + 1) * ON_A_DAY * max(way.days, 0.0)
        sound = log_density(miss, variance) + math.log(max(1 - BLUNDER - odd, 0.5))
        blunder = (
            log_density(miss, variance + BLUNDER_SD_MM**2) + math.log(BLUNDER) if sound < MAY_BE_ELSE else -math.inf
        )
        if blunder > sound - FITS_WELL:
            yield usual.otherwise(blunder)
            yield from self._wound(telling, way, reading, way.days)
            if way.faults and way.days > 0:
                yield from self._sticks(telling, way, reading)
                yield from self._runs_on(telling, way, reading)
        usual.row.log_weight += sound
        usual.sound = True
        yield usual

    def _stuck(self, telling: Marked, way: Way, reading: float) -> Iterator[Marked]:
        """How a telling of a stuck train may have come to `reading`."""
        still = self._branch(telling, way, way.still, 0.0)
        heard = math.log(HEARD_BUT_STUCK) if way.shown else 0.0
        miss, variance = still.row.miss(reading)
        sound = log_density(miss, variance) + math.log(1 - BLUNDER - GOES_AGAIN) + heard
        blunder = log_density(miss, variance + BLUNDER_SD_MM**2) + math.log(BLUNDER) + heard
        if blunder > sound - FITS_WELL or way.shown:
            yield still.otherwise(blunder)
            yield from self._wound(telling, way, reading, way.still)
            yield from self._wound(telling, way, reading, way.days, again=True)
            again = self._branch(telling, way, way.still + (way.days - way.still) / 2, way.days - way.still)
            again.mark, again.since = "", None
            again.row.log_weight += log_density(*again.row.miss(reading)) + math.log(GOES_AGAIN)
            again.sound = True
            yield again
        still.row.log_weight += sound
        still.sound = True
        yield still

    def _wound(
        self, telling: Marked, way: Way, reading: float, days: float, *, again: bool = False
    ) -> Iterator[Marked]:
        """Somebody wound it on the way; `again`: who did got a stuck train to go, too."""
        if way.untold <= 0 or reading >= telling.row.f + self.speed * telling.row.m * days:
            return
        mean, variance = way.since_untold()
        a_day = self.speed * telling.row.m * (days / way.days if way.days else 1.0)
        mark, since = ("", None) if again else (telling.mark, telling.since)
        wound = Marked(telling.row.copy(), mark, since, wound=True)
        wound.row.place(a_day * mean + TOP_MM, a_day**2 * variance + TOP_SD_MM**2)
        wound.row.log_weight += log_density(*wound.row.miss(reading)) + math.log(way.untold)
        wound.row.log_weight += math.log(GOES_AGAIN) if again else 0.0
        wound.sound = True
        yield wound

    def _sticks(self, telling: Marked, way: Way, reading: float) -> Iterator[Marked]:
        """The train stuck a share of the way."""
        runs = way.days - way.still
        for share in STUCK_SHARES:
            if way.shown is not None and share * way.days < way.shown:
                continue
            sticks = self._branch(telling, way, way.still + share * runs, runs / len(STUCK_SHARES))
            sticks.mark, sticks.since = "stuck", (way.start, way.end)
            prior = STUCK_A_DAY * way.days / len(STUCK_SHARES)
            sticks.row.log_weight += log_density(*sticks.row.miss(reading)) + math.log(prior)
            sticks.sound = True
            yield sticks
        if way.shown is None or way.shown <= 0:
            before = self._branch(telling, way, way.still, 0.0)
            before.mark, before.since = "stuck", (way.start, way.end)
            before.row.log_weight += log_density(*before.row.miss(reading)) + math.log(STUCK_BEFORE)
            before.sound = True
            yield before

    def _runs_on(self, telling: Marked, way: Way, reading: float) -> Iterator[Marked]:
        """The train ran on."""
        sound = self._branch(telling, way, way.days, way.loose)
        a_day = self.speed * max(sound.row.m, 0.2)
        rest = max(self.floor - sound.row.f, 0.0)
        further = [(days * a_day, sd * a_day) for days, sd in ON_DAYS if days * a_day < rest]
        further.append((ON_REST[0] * rest, ON_REST[1] * rest))
        for mm, sd in further:
            on = Marked(sound.row.copy(), "on", (way.start, way.end))
            on.row.f += mm
            on.row.ff += sd**2
            on.row.log_weight += log_density(*on.row.miss(reading)) + math.log(ON_A_DAY * way.days / len(further))
            on.sound = True
            yield on

    def _branch(self, telling: Marked, way: Way, days: float, loose: float) -> Marked:
        branch = Marked(telling.row.copy(), telling.mark, telling.since)
        self._go(branch.row, way, days, loose)
        return branch

    def _go(self, row: Row, way: Way, days: float, loose: float) -> None:
        """Let a row fall `days`, and anywhere within `loose` about that; no further than it can."""
        middle = days + loose / 2 if loose == way.loose else days
        row.advance(middle * self.speed, self.floor)
        if loose:
            row.ff += (self.speed * row.m * loose) ** 2 / 12
        if row.f > self.lowest and row.f - SURELY * math.sqrt(max(row.ff, 0.0)) > self.lowest:
            row.place(self.lowest, FLOOR_SD_MM**2)

    def _keep(self, told: list[Marked]) -> None:
        best = max(t.row.log_weight for t in told)
        kept = [t for t in told if t.row.log_weight > best + math.log(LEAST_WEIGHT)]
        kept = sorted(kept, key=lambda t: -t.row.log_weight)[:MOST_ROWS]
        total = math.log(sum(math.exp(t.row.log_weight - best) for t in kept)) + best
        for telling in kept:
            telling.row.log_weight -= total
        self.tellings = kept
