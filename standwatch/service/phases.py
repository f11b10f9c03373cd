"""What steps of handing over may follow which, and when a clock is done with."""

from __future__ import annotations

from collections.abc import Sequence

from standwatch.judge.phases import Phase, call_days, calls_left, phase_of
from standwatch.model.errors import Refused
from standwatch.model.facts import Clock, Handover
from standwatch.model.records import Outline, Stepped


def done_with(clock: Clock | Outline, steps: Sequence[Stepped], calls: Sequence[int]) -> bool:
    """Whether after `steps` the clock is at its owner's and every call about it is made."""
    if phase_of(steps) is not Phase.DELIVERED:
        return False
    return not calls_left(steps, call_days(calls, movement_only=bool(clock.movement_only)))


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
