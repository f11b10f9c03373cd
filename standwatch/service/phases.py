"""Where a clock is between the stand and its owner, and the calls about it that remain."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from enum import StrEnum

from standwatch.model.errors import Refused
from standwatch.model.facts import Clock, Handover

EARLY_CALL_D = 2
"""A movement sent home without its case is also called about on the second day."""


class Phase(StrEnum):
    """Where a clock is."""

    ON_STAND = "on the stand"
    RELEASED = "released"
    DELIVERED = "delivered"


def phase_of(steps: Iterable[Handover]) -> Phase:
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


def calls_left(steps: Sequence[Handover], days: Sequence[int]) -> tuple[datetime, ...]:
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


def done_with(clock: Clock, steps: Sequence[Handover], calls: Sequence[int]) -> bool:
    """Whether after `steps` the clock is at its owner's and every call about it is made."""
    days = call_days(calls, movement_only=bool(clock.movement_only))
    return phase_of(steps) is Phase.DELIVERED and not calls_left(steps, days)


def check_steps(steps: Sequence[Handover]) -> None:
    """Raise Refused where the last of `steps` (by time) can't follow those before it."""
    phase = Phase.ON_STAND
    for step in steps:
        _check_step(step, phase)
        phase = phase_of([step]) if step.what in {"released", "reopened", "delivered"} else phase


def _check_step(step: Handover, phase: Phase) -> None:
    tag, what = step.tag, step.what
    if what == "released" and phase is not Phase.ON_STAND:
        raise Refused(f"{tag} is {phase} already; `standwatch reopen {tag} --reason TEXT` takes it back")
    if what == "reopened" and phase is Phase.ON_STAND:
        raise Refused(f"{tag} is not released, so there is nothing to reopen")
    if what == "delivered" and phase is not Phase.RELEASED:
        why = "has gone home already" if phase is Phase.DELIVERED else "is not released; release it first"
        raise Refused(f"{tag} {why}")
    if what == "called" and phase is not Phase.DELIVERED:
        raise Refused(f"{tag} is {phase} at that time; a call comes after its delivery")
    if what == "called-back" and phase is Phase.ON_STAND:
        raise Refused(f"{tag} is not released at that time; a call-back comes after a release")
