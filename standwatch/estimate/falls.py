"""One weight on its way down: where it is, how fast it falls, and when it will be at its floor.

Fall f, speed m (1 = the kind's), bow c (it falls faster below the middle of its way where the line builds up layers)
and parallax o (how far off the eye reads that scale) are kept as one Gaussian of four, moved on by
df = v m (1 + c (f/F - 1/2)) d theta and corrected by readings f + o + e (the extended Kalman filter). How well this
weight is read is not known, so several doubts of e run side by side and the readings weigh them. Where a reading
fits badly, each row splits in three: sound, a blunder, or after a wind that nobody told.
All numbers here are assumptions about the trade's weights, tried on simulated stands.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from statistics import NormalDist

from standwatch.model.answers import Z95, Quantity

READING_SD_MM = ((1.8, 0.25), (3.2, 0.45), (5.5, 0.22), (9.0, 0.08))
"""Standard doubts of one reading, and how likely each is."""
RIPPLE_MM = 1.2
SPEED_SD = 0.2
PARALLAX_SD_MM = 3.0
TOP_MM = 6.0
TOP_SD_MM = 6.0
FLOOR_SD_MM = 5.0
RAISED_SD_MM = 5.0
RAISED_SD_SHARE = 0.02
BLUNDER = 0.02
BLUNDER_SD_MM = 100.0
UNTOLD_WINDS_A_DAY = 0.01
WELL_READ = 5.0
"""A reading so much likelier sound than a blunder (natural logarithm of the odds) is taken as sound."""
MOST_ROWS = 12
LEAST_WEIGHT = 1e-4
LEAST_SPEED = 0.05
"""No weight is forecast slower than this share of the kind's speed: what stands still is a fault, not a speed."""
MOST_DAYS = 1000.0

_NORMAL = NormalDist()


@dataclass(slots=True)
class Row:
    """One telling of what happened: its log weight, its reading variance, and a Gaussian of (f, m, c, o)."""

    log_weight: float
    noise: float
    f: float
    m: float
    c: float
    o: float
    ff: float
    fm: float
    fc: float
    fo: float
    mm: float
    mc: float
    mo: float
    cc: float
    co: float
    oo: float

    def ahead(self, step: float, floor: float) -> tuple[float, float, float, float]:
        """The fall after `step` mm at the kind's speed, and how it answers to f, m and c now."""
        moved = step * max(self.m, LEAST_SPEED)
        share = (self.f + moved / 2) / floor - 0.5
        to_m = step * (1 + self.c * share + self.c * moved / 2 / floor)
        return self.f + moved * (1 + self.c * share), 1 + moved * self.c / floor, to_m, moved * share

    def fall_ahead(self, step: float, floor: float) -> tuple[float, float]:
        """Mean and variance of the fall after `step` mm at the kind's speed."""
        fall, jf, jm, jc = self.ahead(step, floor)
        cross = jf * (jm * self.fm + jc * self.fc) + jm * jc * self.mc
        return fall, jf * jf * self.ff + jm * jm * self.mm + jc * jc * self.cc + 2 * cross

    def advance(self, step: float, floor: float) -> None:
        """Let the weight fall `step` mm at the kind's speed."""
        fall, jf, jm, jc = self.ahead(step, floor)
        to_f = jf * self.ff + jm * self.fm + jc * self.fc
        to_m = jf * self.fm + jm * self.mm + jc * self.mc
        to_c = jf * self.fc + jm * self.mc + jc * self.cc
        self.fo = jf * self.fo + jm * self.mo + jc * self.co
        self.f, self.ff, self.fm, self.fc = fall, jf * to_f + jm * to_m + jc * to_c, to_m, to_c

    def place(self, fall: float, variance: float) -> None:
        """Put the weight at `fall`, whatever was known of its place before."""
        self.f, self.ff, self.fm, self.fc, self.fo = fall, variance, 0.0, 0.0, 0.0

    def wind_up(self) -> None:
        """Wind to the top, which never lowers the weight: the lesser of where it was and the top (Clark 1961)."""
        top = TOP_SD_MM**2
        spread = math.sqrt(self.ff + top)
        z = (TOP_MM - self.f) / spread
        stays, density = _NORMAL.cdf(z), _NORMAL.pdf(z)
        mean = self.f * stays + TOP_MM * (1 - stays) - spread * density
        square = (self.f**2 + self.ff) * stays + (TOP_MM**2 + top) * (1 - stays)
        square -= (self.f + TOP_MM) * spread * density
        self.f, self.ff = mean, max(square - mean**2, 0.25)
        self.fm, self.fc, self.fo = self.fm * stays, self.fc * stays, self.fo * stays

    def observe(self, reading: float) -> None:
        """Take in one sound reading."""
        hf, hm, hc, ho = self.ff + self.fo, self.fm + self.mo, self.fc + self.co, self.fo + self.oo
        variance = hf + ho + self.noise
        gain = (reading - self.f - self.o) / variance
        self.f, self.m, self.c, self.o = self.f + hf * gain, self.m + hm * gain, self.c + hc * gain, self.o + ho * gain
        self.ff -= hf * hf / variance
        self.fm -= hf * hm / variance
        self.fc -= hf * hc / variance
        self.fo -= hf * ho / variance
        self.mm -= hm * hm / variance
        self.mc -= hm * hc / variance
        self.mo -= hm * ho / variance
        self.cc -= hc * hc / variance
        self.co -= hc * ho / variance
        self.oo -= ho * ho / variance

    def log_density(self, reading: float, more: float = 0.0) -> float:
        """Log density of a reading here, with `more` variance than a sound one."""
        variance = self.ff + 2 * self.fo + self.oo + self.noise + more
        return -0.5 * (math.log(2 * math.pi * variance) + (reading - self.f - self.o) ** 2 / variance)


class Weight:
    """One weight. `floor` and `speed` are mm and mm a day as its train counts days; `bow_sd` its line's.

    `lowest` is where it hangs or lies when it can fall no further (`floor` may be a customer's case, which is higher).
    """

    def __init__(self, floor: float, lowest: float, speed: float, bow_sd: float) -> None:
        self.floor, self.lowest, self.kind_speed = floor, lowest, speed
        self.placed = False
        self.speed_read = False
        self._days_since_place = 0.0
        self._rows = [
            Row(math.log(share), sd**2 + RIPPLE_MM**2, *(floor / 2, 1.0, 0.0, 0.0, floor**2, 0.0, 0.0, 0.0),
                SPEED_SD**2, 0.0, 0.0, bow_sd**2, 0.0, PARALLAX_SD_MM**2)
            for sd, share in READING_SD_MM
        ]  # fmt: skip

    def advance(self, days: float, loose: float = 0.0) -> None:
        """Let it fall for `days`, and for some part, nobody knows which, of `loose` days more."""
        if not self.placed:
            return
        self._days_since_place += days + loose
        for row in self._rows:
            row.advance((days + loose / 2) * self.kind_speed, self.floor)
            if loose:
                row.ff += (self.kind_speed * row.m * loose) ** 2 / 12

    def lose(self) -> None:
        """Nothing is known any more of where it is."""
        self.placed = False
        self._place(self.floor / 2, self.floor**2)

    def new_scale(self) -> None:
        """It is read against another scale from here on."""
        for row in self._rows:
            row.o, row.oo, row.fo, row.mo, row.co = 0.0, PARALLAX_SD_MM**2, 0.0, 0.0, 0.0

    def land(self) -> None:
        """It is at the end of its way."""
        self.placed = True
        self._place(self.lowest, FLOOR_SD_MM**2)

    def near_top(self) -> bool:
        """Whether a wind to the top might find it there already."""
        return any(row.f - 4 * math.sqrt(row.ff) < 3 * TOP_MM for row in self._rows)

    def wind(self, raised: float | None) -> None:
        """Wind it to the top, or raise it by `raised` mm."""
        if not self.placed and raised is not None:
            if raised < self.floor / 2:
                return
            left = max(self.floor - raised, 4 * TOP_MM)
            self._place(left / 2, left**2 / 12)
        elif not self.placed:
            self._place(TOP_MM, TOP_SD_MM**2)
        else:
            for row in self._rows:
                if raised is None or row.f - raised <= TOP_MM:
                    row.wind_up()
                else:
                    row.f -= raised
                    row.ff += (RAISED_SD_MM + RAISED_SD_SHARE * raised) ** 2
        self.placed = True
        self._days_since_place = 0.0

    def read(self, reading: float) -> None:
        """Take in a reading of its fall."""
        if not self.placed:
            for row in self._rows:
                row.observe(reading)
            self.placed = True
        else:
            self._weigh(reading)
            self.speed_read = self.speed_read or self._days_since_place > 0.01
        self._days_since_place = 0.0

    def _place(self, fall: float, variance: float) -> None:
        self._days_since_place = 0.0
        for row in self._rows:
            row.place(fall, variance)

    def _weigh(self, reading: float) -> None:
        """Take in a reading that may be sound, a blunder, or after an untold wind."""
        days = self._days_since_place
        untold = min(0.2, UNTOLD_WINDS_A_DAY * days)
        rows: list[Row] = []
        for row in self._rows:
            before, weight = replace(row), row.log_weight
            sound = row.log_density(reading) + math.log(1 - BLUNDER - untold)
            row.log_weight = weight + sound
            row.observe(reading)
            rows.append(row)
            if before.log_density(reading, BLUNDER_SD_MM**2) + math.log(BLUNDER) < sound - WELL_READ:
                continue
            blunder = replace(before)
            blunder.log_weight = weight + before.log_density(reading, BLUNDER_SD_MM**2) + math.log(BLUNDER)
            rows.append(blunder)
            if untold and reading < before.f:
                fallen = self.kind_speed * before.m * days
                before.place(fallen / 2 + 4, fallen**2 / 10 + TOP_SD_MM**2)
                before.log_weight = weight + before.log_density(reading) + math.log(untold)
                before.observe(reading)
                rows.append(before)
        self._keep(rows)

    def _keep(self, rows: list[Row]) -> None:
        rows.sort(key=lambda row: row.log_weight, reverse=True)
        best = rows[0].log_weight
        kept = [row for row in rows[:MOST_ROWS] if row.log_weight > best + math.log(LEAST_WEIGHT)]
        total = best + math.log(sum(math.exp(row.log_weight - best) for row in kept))
        for row in kept:
            row.log_weight -= total
        self._rows = kept

    def fall(self) -> Quantity:
        """mm fallen from fully wound."""
        weights = [math.exp(row.log_weight) for row in self._rows]
        mean = sum(w * row.f for w, row in zip(weights, self._rows, strict=True))
        square = sum(w * (row.ff + (row.f - mean) ** 2) for w, row in zip(weights, self._rows, strict=True))
        half = Z95 * math.sqrt(square)
        inside = min(max(mean, 0.0), self.lowest)
        return Quantity(inside, max(min(mean - half, inside), 0.0), max(mean + half, inside))

    def speed(self) -> Quantity:
        """mm a day, as its train counts days."""
        weights = [math.exp(row.log_weight) for row in self._rows]
        mean = sum(w * row.m for w, row in zip(weights, self._rows, strict=True))
        square = sum(w * (row.mm + (row.m - mean) ** 2) for w, row in zip(weights, self._rows, strict=True))
        return Quantity.normal(mean * self.kind_speed, math.sqrt(square) * self.kind_speed)

    def density_ahead(self, days: float, reading: float) -> float:
        """Density per mm of a reading taken `days` from here, one in a hundred of them a blunder."""
        density = 0.0
        for row in self._rows:
            fall, variance = row.fall_ahead(days * self.kind_speed, self.floor)
            apart = (reading - min(fall, self.lowest) - row.o) ** 2
            sound = max(variance + 2 * row.fo + row.oo, 0.0) + row.noise
            for share, spread in ((0.99, sound), (0.01, sound + BLUNDER_SD_MM**2)):
                density += math.exp(row.log_weight - apart / (2 * spread)) * share / math.sqrt(2 * math.pi * spread)
        return density

    def landed_within(self, days: float) -> float:
        """Probability that it has reached its floor within `days` from here."""
        step = days * self.kind_speed
        landed = 0.0
        for row in self._rows:
            fall, variance = row.fall_ahead(step, self.floor)
            z = (fall - self.floor) / math.sqrt(max(variance, 0.0) + FLOOR_SD_MM**2)
            landed += math.exp(row.log_weight) * 0.5 * math.erfc(-z / math.sqrt(2))
        return landed

    def run_down(self, gone_for: float) -> tuple[float, float, float]:
        """Days from here, as its train counts them, at which it reaches its floor: 2.5, 50 and 97.5 %.

        It is known not to have reached it within `gone_for` days (negative: nothing is known of that).
        """
        already = self.landed_within(gone_for) if gone_for >= 0 else 0.0
        best = self._rows[0]
        usual = max((self.floor - best.f) / (self.kind_speed * max(best.m, 0.2)), 0.02)
        low, middle, high = (
            crossing(self.landed_within, already + (1 - already) * share, max(gone_for, 0.0), usual)
            for share in (0.025, 0.5, 0.975)
        )
        return low, middle, high


def crossing(chance: Callable[[float], float], wanted: float, least: float, usual: float) -> float:
    """Where the rising `chance` passes `wanted`, from `least` on, in units of which `usual` is a natural size."""

    def level(x: float) -> float:
        return _NORMAL.inv_cdf(min(max(chance(x), 1e-12), 1 - 1e-12)) - target

    target = _NORMAL.inv_cdf(min(max(wanted, 1e-12), 1 - 1e-12))
    low, at_low = least, level(least)
    if at_low >= 0:
        return least
    high = max(least, usual)
    at_high = level(high)
    while at_high < 0:
        if high > MOST_DAYS:
            return high
        low, at_low = high, at_high
        high += usual / 4
        usual *= 2
        at_high = level(high)
    side = 0
    for _ in range(40):  # false position, the end that stays halved (Illinois)
        middle = high - at_high * (high - low) / (at_high - at_low)
        at_middle = level(middle)
        if abs(high - low) < 1e-4 or abs(at_middle) < 1e-4:
            return middle
        if at_middle < 0:
            low, at_low = middle, at_middle
            at_high = at_high / 2 if side == -1 else at_high
            side = -1
        else:
            high, at_high = middle, at_middle
            at_low = at_low / 2 if side == 1 else at_low
            side = 1
    return (low + high) / 2
