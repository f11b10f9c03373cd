"""Wheels, blows and notes: what a train's teeth say of beats, duration, striking and chiming.

Trains, durations and quarters after E. Beckett, A Rudimentary Treatise on Clocks, Watches and Bells, 8th ed. 1903.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import time

BLOWS_PER_DAY = 156
"""Blows of the hours: 78 each twelve hours."""
HALF_HOURS_PER_DAY = 24

_CHANGES = ("1236", "3126", "3213", "1326", "6213")
"""The five changes of the Westminster quarters on four bells (p. 174-176); in C: 1 2 3 6 = E D C G."""
QUARTERS: dict[int, tuple[str, ...]] = {
    1: (_CHANGES[0],),
    2: (_CHANGES[1], _CHANGES[2]),
    3: (_CHANGES[3], _CHANGES[4], _CHANGES[0]),
    4: (_CHANGES[1], _CHANGES[2], _CHANGES[3], _CHANGES[4]),
}
"""What each quarter plays; the fourth is the hour's (p. 202-204)."""


def beats_per_hour(wheels: Sequence[int], pinions: Sequence[int], escape_teeth: int) -> float:
    """Beats an hour of a train from the wheel that turns once an hour to the escape wheel, two beats a tooth.

    `wheels` drive `pinions`, in order: 64/8 x 60/8 and 30 teeth make 3600. Raises ValueError where they don't pair.
    """
    return _ratio(wheels, pinions) * escape_teeth * 2


def duration_h(turns: float, wheels: Sequence[int], pinions: Sequence[int]) -> float:
    """Hours a wind of `turns` of the great wheel lasts; `wheels` drive `pinions` down to the arbor of one turn an hour.

    A great wheel of 96 on a pinion of 8 turns once in 12 hours.
    """
    return turns * _ratio(wheels, pinions)


def blows_per_day(*, half_hours: bool = False) -> int:
    """Blows struck in a day: 156, with one at each half-hour 180."""
    return BLOWS_PER_DAY + (HALF_HOURS_PER_DAY if half_hours else 0)


def quarter_notes(quarter: int) -> int:
    """Notes played at a quarter (1 to 4): 4, 8, 12, 16."""
    return sum(len(change) for change in QUARTERS[quarter])


def parse_silence(text: str) -> tuple[time, time]:
    """The span of the day that "22:00-07:00" names; it may run over midnight. Raises ValueError for anything else."""
    start, end = (time.fromisoformat(side.strip().zfill(5)) for side in text.split("-"))
    return start, end


def is_silent(silence: tuple[time, time], at: time) -> bool:
    """Whether a chime with that night silence keeps quiet at `at`: from its start to just before its end."""
    start, end = silence
    return start <= at < end if start <= end else at >= start or at < end


def notes_per_day(silence: tuple[time, time] | None = None) -> int:
    """Quarter notes played in a day: 960 (40 an hour), less those within the night's silence."""
    notes = 0
    for hour in range(24):
        for quarter, minute in ((4, 0), (1, 15), (2, 30), (3, 45)):
            if silence is None or not is_silent(silence, time(hour, minute)):
                notes += quarter_notes(quarter)
    return notes


def _ratio(wheels: Sequence[int], pinions: Sequence[int]) -> float:
    if len(wheels) != len(pinions) or not wheels:
        raise ValueError("every wheel drives one pinion")
    return math.prod(wheels) / math.prod(pinions)
