"""Where a clock is between the stand and its owner, and the calls about it that remain."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from enum import StrEnum

from standwatch.model.records import Stepped

CALL_DAYS = (14,)
"""Days after delivery on which the shop calls, unless the book says otherwise."""
EARLY_CALL_D = 2
"""A movement sent home without its case is also called about on the second day."""


class Phase(StrEnum):
    """Where a clock is."""

    ON_STAND = "on the stand"
    RELEASED = "released"
    DELIVERED = "delivered"


def phase_of(steps: Iterable[Stepped]) -> Phase:
    """Where these steps, in order, leave a clock; calls and call-backs move it nowhere."""
    phase = Phase.ON_STAND
    after = {"released": Phase.RELEASED, "reopened": Phase.ON_STAND, "delivered": Phase.DELIVERED}
    for step in steps:
        phase = after.get(step.what, phase)
    return phase


def call_days(calls: Sequence[int], *, movement_only: bool) -> tuple[int, ...]:
    """Days after delivery on which to call, in order."""
    early = {EARLY_CALL_D} if movement_only else set()
    return tuple(sorted(early | set(calls)))


def calls_left(steps: Sequence[Stepped], days: Sequence[int]) -> tuple[datetime, ...]:
    """When the calls that are still to be made are due; empty unless delivered.

    Each call made does the next one, and all whose day had come by then.
    """
    if phase_of(steps) is not Phase.DELIVERED:
        return ()
    delivered = max(i for i, step in enumerate(steps) if step.what == "delivered")
    left = [steps[delivered].at + timedelta(days=day) for day in sorted(days)]
    for step in steps[delivered:]:
        if step.what == "called" and left:
            left = [due for due in left[1:] if due > step.at]
    return tuple(left)
