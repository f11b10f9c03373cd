"""A fall read so far from what was expected that one looks again at once, before winding or work hides the answer."""

from __future__ import annotations

import math
from dataclasses import dataclass

from standwatch.estimate.falls import PARALLAX_SD_MM
from standwatch.estimate.history import HUNG, History
from standwatch.estimate.power import fall_expected
from standwatch.horology.hanging import one_weight
from standwatch.model.answers import Z95, Quantity
from standwatch.model.facts import CheckIn
from standwatch.model.words import Train

OFF_SDS = 4.0
"""So many standard doubts from what was expected."""
CM_TYPED = 5
"""A reading under so small a part of what was expected may be in cm (common practice)."""
READ_SD_MM = 4.0
"""Standard doubt of one reading of a fall, among the stand's readers."""


@dataclass(frozen=True, slots=True)
class FallOff:
    """One fall read far off: `read_mm`, and what a reading was expected to show (95 %)."""

    train: Train
    read_mm: float
    expected: Quantity

    @property
    def text(self) -> str:
        """What a restorer would say."""
        expected, doubt = round(self.expected.estimate), round(self.expected.doubt)
        in_cm = "typed in cm? " if 0 < self.read_mm < self.expected.estimate / CM_TYPED else ""
        return (
            f"the {self.train} weight at {self.read_mm:.0f} mm, {max(expected, 0)} ±{doubt} expected: {in_cm}"
            "look again at once, before it is wound"
        )


def falls_off(before: History, row: CheckIn) -> tuple[FallOff, ...]:
    """The falls of `row` that lie over OFF_SDS from what was expected of them by all facts before it.

    `before` is the clock's history as of the row's time, without it. None of a row that tells how the clock hung.
    """
    traits = before.traits
    if not traits.weights or row.work in HUNG:
        return ()
    read = {train: mm for train in traits.trains if (mm := row.fall_mm(train)) is not None}
    if one_weight(traits):
        read = {train: mm for train, mm in read.items() if train is Train.GOING}
    found = []
    for train, mm in read.items():
        expected = fall_expected(before, train, row.at)
        if not isinstance(expected, Quantity):
            continue
        sd = math.hypot(expected.doubt / Z95, READ_SD_MM, PARALLAX_SD_MM)
        lowest = traits.possible_mm[train]
        middle = min(expected.estimate, lowest) if mm <= lowest else expected.estimate
        if abs(mm - middle) > OFF_SDS * sd:
            found.append(FallOff(train, mm, Quantity.normal(middle, sd)))
    return tuple(found)
