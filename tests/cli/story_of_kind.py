"""One clock of any kind on the stand until it has shown everything, in parts that can be left out.

Days are counted from Monday 2 November 2026; a line is as in tests/stories.py.
"""

from __future__ import annotations

from datetime import date, timedelta

from standwatch.horology.kinds import Kind
from standwatch.model.words import Drive, KindName


def line(day: int, time: str, cells: str) -> str:
    """One line, so many days after 2 November."""
    return f"{date(2026, 11, 2) + timedelta(days=day):%m-%d} {time} {cells}"


class Story:
    """One clock's time on the stand, in parts that can be left out."""

    def __init__(self, kind: Kind, *, movement_only: bool) -> None:
        self.kind, self.torsion = kind, kind.oscillator == "torsion"
        self.weights, self.daily = kind.drive is Drive.WEIGHT, kind.duration_h < 168
        self.month = kind.name is KindName.SPRING_WALL_31D
        self.strikes, self.chimes = "strike" in kind.trains, "chime" in kind.trains
        self.moon = kind.name in {KindName.LONGCASE, KindName.FLOOR_CHIMING}
        self.in_case = not movement_only and not self.torsion
        self.cased_on = 10 if not (self.daily or self.month) else 6 if self.daily else 2
        self.last = 32 if not (self.daily or self.month) else 16 if self.daily else 46
        self.columns: dict[str, object] = self._columns(movement_only=movement_only)
        self.rate = 0.2 * (kind.mean_rate_limit or 0)
        self.readings = self.readings_at(self.rate)
        self.winds, self.full_run = self._winds()
        self.swings, self.late = self._swings()
        self.beats = [] if self.torsion else [self.beat_on(day) for day in (12, 13)]
        self.hours = [
            line(1, f"{8 + n // 4:02}:{10 + 5 * (n % 4)}", f"hour={n + 1} blows={n + 1} staged=yes")
            for n in range(12 if self.strikes else 0)
        ]
        self.chiming = _chiming() if self.chimes else {}
        self.moons = [line(1, "08:30", "moon_age_d=23.5"), line(8, "08:30", "moon_age_d=1")] if self.moon else []
        self.oil = line(8, "08:40", "work=oil-checked amount=0 note=KM")
        self.safety = line(self.cased_on + 1, "15:00", "work=safety-checked note=KM")
        self.case = self._case()

    def _columns(self, *, movement_only: bool) -> dict[str, object]:
        columns: dict[str, object] = {"movement_only": "yes"} if movement_only else {}
        if self.kind.oscillator == "pendulum":
            columns["unlock_deg"] = round(self.kind.half_swing_deg / 1.6, 2)
        if self.weights:
            room = round(self.kind.fall_mm_per_day * (1.5 if self.daily else 10))
            columns |= {f"{train}_usable_mm": room for train in self.kind.trains.split("+")}
        if self.month:
            columns |= {"going_turns": 31, "strike_turns": 31}
        if self.kind.name is KindName.WEIGHT_WALL:
            columns["seconds_hand"] = "yes"  # by the minute hand its day range wants fifteen days
        if self.chimes:
            columns["tunes"] = "Larkspur;Mill"
        if self.moon:
            columns["moon"] = "yes"
        return columns

    def readings_at(self, rate: float) -> list[str]:
        """The morning readings of a clock that gains so much, s/day."""
        return [line(day, "08:05", f"error_s={rate * day:.1f}") for day in range(self.last + 1)]

    def _winds(self) -> tuple[list[str], dict[str, str]]:
        """The winds, and what shows each train going at the end of its full run, beside the day's reading."""
        if self.daily:  # not wound on the second morning but in the afternoon, 31 hours after the first
            mornings = [line(day, "08:10", "work=wound") for day in range(self.last) if day != 2]
            run = {"going": line(2, "15:05", f"error_s={self.rate * 2.3:.1f}"), "strike": line(2, "15:00", _hour(3))}
            return sorted([*mornings, line(2, "15:10", "work=wound")]), run
        if self.torsion:
            return [line(0, "08:10", "work=wound")], {}
        if self.month:
            told = [line(26, "08:10", f"work=wound train={train} amount=26") for train in ("going", "strike")]
            return [line(0, "08:10", "work=wound"), *told], {}
        run = {"strike": line(9, "08:01", _hour(8))} if self.strikes else {}
        if self.chimes:
            run["chime"] = line(9, "08:00", "chime=in-step")
        return [line(day, "08:10", "work=wound") for day in (0, 9, 16, 23, 30)], run

    def _swings(self) -> tuple[list[str], str]:
        """The early readings of the swing, and the one late in a wind."""
        if self.torsion:
            return [line(day, "08:06", "overswing_left_deg=26 overswing_right_deg=25") for day in (5, 6, 12)], ""
        cells = f"amplitude_deg={self.kind.half_swing_deg:g}"
        if self.daily:
            return [line(day, "09:00", cells) for day in (9, 10, 11)], line(12, "08:06", cells)
        if self.month:
            return [line(day, "08:06", cells) for day in (5, 6, 7)], line(25, "08:06", cells)
        return [line(day, "08:06", cells) for day in (13, 14, 18)], line(22, "08:06", cells)

    def beat_on(self, day: int) -> str:
        """A beat within its limit."""
        unit = "ms" if self.kind.oscillator == "balance" else "pct"
        return line(day, "08:07", f"beat_error_{unit}=1.5")

    def _case(self) -> dict[str, list[str]]:
        """Casing, and what ears must hear after it."""
        if not self.in_case:
            return {}
        parts = {"cased": [line(self.cased_on, "08:15", "work=cased")]}
        if self.strikes:
            parts["twelve"] = [line(self.cased_on + 1, "12:00", _hour(12))]
        if self.chimes:
            # which tune it stood at was not told, so that these quarters prove none
            parts["turned"] = [line(self.cased_on + 1, "12:30", "work=tune")]
            parts["quarters"] = quarters(self.cased_on + 1, 13)
        return parts


def _hour(n: int) -> str:
    return f"hour={n} blows={n}"


def quarters(day: int, hour: int) -> list[str]:
    """In step at the four quarters of an hour."""
    return [line(day, f"{hour:02}:{15 * (q - 1):02}", f"chime=in-step quarter={q}") for q in (1, 2, 3, 4)]


def _chiming() -> dict[str, list[str]]:
    """Set out on purpose on three days, two tunes on two days, then silent and back."""
    mis_set = [
        text
        for n in (1, 2, 3)
        for text in (line(n + 1, "10:00", f"work=mis-set amount={n}"), line(n + 1, "11:00", "chime=in-step"))
    ]
    tunes = [text for n in (1, 2) for text in (line(n + 6, "10:00", f"work=tune amount={n}"), *quarters(n + 6, 11))]
    silent = [
        line(9, "12:00", "work=tune amount=0"),
        line(9, "12:30", "chime=silent"),
        line(9, "13:00", "work=tune amount=1"),
        line(9, "14:00", "chime=in-step quarter=4"),
    ]
    return {"mis-set": mis_set, "tunes": tunes, "silent": silent}
