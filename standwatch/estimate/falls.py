"""One weight on its way down: where it is, how fast it falls, and when it will be at its floor.

How well a weight is read is not known, so tellings with several doubts run side by side and the readings weigh them.
Where a reading fits badly, each telling splits in three: it was sound, a blunder, or after a wind that nobody told.
All numbers here are assumptions about the trade's weights, tried on simulated stands.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from operator import itemgetter, methodcaller

from standwatch.estimate.telling import TOP_MM, TOP_SD_MM, Row, crossing, log_density
from standwatch.model.answers import Z95, Quantity

READING_SD_MM = ((1.8, 0.25), (3.2, 0.45), (5.5, 0.22), (9.0, 0.08))
"""Standard doubts of one reading, and how likely each is."""
RIPPLE_MM = 1.2
SPEED_SD = 0.2
PARALLAX_SD_MM = 3.0
FLOOR_SD_MM = 5.0
RAISED_SD_MM = 5.0
RAISED_SD_SHARE = 0.02
BLUNDER = 0.02
BLUNDER_SD_MM = 100.0
UNTOLD_WINDS_A_DAY = 0.02
WELL_READ = 5.0
"""A reading so much likelier sound than a blunder (natural logarithm of the odds) is taken as sound."""
MAY_BE_ELSE = WELL_READ + math.log(BLUNDER) + log_density(0.0, BLUNDER_SD_MM**2)
"""No blunder is so likely that a reading likelier sound than this splits."""
MOST_ROWS = 12
LEAST_WEIGHT = 1e-4


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

    def near_top(self, days: float) -> bool:
        """Whether a wind to the top might find it there already after `days` more."""
        ahead = [row.fall_ahead(days * self.kind_speed, self.floor) for row in self._rows]
        return any(fall - 4 * math.sqrt(max(variance, 0.0)) < 3 * TOP_MM for fall, variance in ahead)

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
        """Take in a reading that may be sound, a blunder, or after an untold wind; tellings that tell little go."""
        untold = min(0.2, UNTOLD_WINDS_A_DAY * self._days_since_place)
        log_sound, log_blunder = math.log(1 - BLUNDER - untold), math.log(BLUNDER)
        told: list[tuple[float, Callable[[Row], None] | None, Row]] = []
        sound_told: Callable[[Row], None] = methodcaller("observe", reading)
        for row in self._rows:
            miss, variance = row.miss(reading)
            sound = log_density(miss, variance) + log_sound
            blunder = log_density(miss, variance + BLUNDER_SD_MM**2) + log_blunder if sound < MAY_BE_ELSE else -math.inf
            if blunder > sound - WELL_READ:
                told.append((row.log_weight + blunder, None, row))
                if untold and reading < row.f:
                    told.append(self._wound_before(row, reading, untold))
            told.append((row.log_weight + sound, sound_told, row))
        told.sort(key=itemgetter(0), reverse=True)
        best = told[0][0]
        kept = [each for each in told[:MOST_ROWS] if each[0] > best + math.log(LEAST_WEIGHT)]
        total = best + math.log(sum(math.exp(log_weight - best) for log_weight, _, _ in kept))
        # a sound reading is the last thing done to a row, so that the row itself goes on
        self._rows = [row if happened is sound_told else row.copy() for _, happened, row in kept]
        for row, (log_weight, happened, _) in zip(self._rows, kept, strict=True):
            row.log_weight = log_weight - total
            if happened is not None:
                happened(row)

    def _wound_before(self, row: Row, reading: float, untold: float) -> tuple[float, Callable[[Row], None], Row]:
        """The telling in which the reading came after a wind that nobody told."""
        fallen = self.kind_speed * row.m * self._days_since_place
        fall, variance = fallen / 2 + TOP_MM - 2, fallen**2 / 10 + TOP_SD_MM**2
        density = log_density(reading - fall - row.o, variance + row.oo + row.noise)

        def wound(new: Row) -> None:
            new.place(fall, variance)
            new.observe(reading)

        return row.log_weight + (density + math.log(untold)), wound, row

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

    def density_ahead(self, days: float, reading: float, *, lands: bool = True) -> float:
        """Density per mm of a reading taken `days` from here, one in a hundred of them a blunder.

        Where the clock went all that while by this very weight, it had not landed before (`lands` is False).
        """
        density = 0.0
        lowest = self.lowest if lands else math.inf
        for row in self._rows:
            fall, variance = row.fall_ahead(days * self.kind_speed, self.floor)
            apart = (reading - min(fall, lowest) - row.o) ** 2
            sound = max(variance + 2 * row.fo + row.oo, 0.0) + row.noise
            for share, spread in ((0.99, sound), (0.01, sound + BLUNDER_SD_MM**2)):
                density += math.exp(row.log_weight - apart / (2 * spread)) * share / math.sqrt(2 * math.pi * spread)
        return density

    def landed_within(self, days: float) -> float:
        """Probability that it has reached its floor within `days` from here."""
        step = days * self.kind_speed
        return sum(
            math.exp(row.log_weight) * row.landed(step, self.floor, self.floor, FLOOR_SD_MM) for row in self._rows
        )

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
