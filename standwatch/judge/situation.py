"""What the one next step, the standing and "who first" look at: a case with what follows from it at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from standwatch.estimate.answers import TrainRun
from standwatch.estimate.going import Stop
from standwatch.judge.assessment import DONE, Verdict
from standwatch.judge.case import Case
from standwatch.judge.chiming import slipped
from standwatch.judge.evidence import read_today, round_begun_today
from standwatch.judge.phases import CALL_DAYS, Phase, call_days, calls_left, phase_of
from standwatch.judge.requirements import verdicts_of
from standwatch.model.answers import Moment
from standwatch.model.words import Outcome, Requirement, Train


@dataclass(frozen=True, slots=True)
class Situation:
    """One clock before the question what to do with it.

    `runs_out` are the trains that may run out before the next round, soonest first. `hangs_out` are trains other
    than the going one that were found run out and not wound since. `calls` are those still to be made.
    """

    case: Case
    verdicts: tuple[Verdict, ...]
    phase: Phase
    calls: tuple[datetime, ...]
    unread: bool
    unexplained: Stop | None
    runs_out: tuple[TrainRun, ...]
    hangs_out: tuple[Train, ...]
    slipped: bool
    suspect: bool

    def verdict(self, requirement: Requirement) -> Verdict:
        """The verdict on `requirement`."""
        return next(v for v in self.verdicts if v.requirement is requirement)

    @property
    def missed(self) -> tuple[Verdict, ...]:
        """The requirements that are missed."""
        return tuple(v for v in self.verdicts if v.outcome is Outcome.MISSED)

    @property
    def complete(self) -> bool:
        """Every requirement met, waived or not applicable."""
        return all(v.outcome in DONE for v in self.verdicts)

    def wants(self, requirement: Requirement) -> bool:
        """Whether evidence of `requirement` is still wanted."""
        return self.verdict(requirement).outcome is Outcome.NOT_YET_KNOWN


def situation_of(case: Case, calls: Sequence[int] = CALL_DAYS) -> Situation:
    """The situation of one clock; `calls` are the shop's days after delivery."""
    steps = case.history.handovers
    phase = phase_of(steps)
    days = call_days(calls, movement_only=case.traits.movement_only)
    hangs = case.going.hangs is not None
    to_round = round_begun_today(case) and not read_today(case)
    return Situation(
        case=case,
        verdicts=verdicts_of(case),
        phase=phase,
        calls=calls_left(steps, days),
        unread=to_round and phase is Phase.ON_STAND and not hangs,
        unexplained=case.going.unexplained[-1] if case.going.unexplained else None,
        runs_out=_before_next_round(case),
        hangs_out=tuple(train for train in case.going.run_down if train is not Train.GOING),
        slipped=Train.CHIME in case.traits.trains and slipped(case) is not None,
        suspect=_suspect(case),
    )


def _before_next_round(case: Case) -> tuple[TrainRun, ...]:
    """The trains whose 95 % interval reaches down to before the next round, soonest first; none that seems stuck."""
    following = case.rounds.next_after(case.now)
    soon = [
        (run.runs_out.low, run)
        for run in case.estimates.power.trains
        if isinstance(run.runs_out, Moment) and run.runs_out.low < following
    ]
    if all(run.train is Train.GOING for _, run in soon):  # which is never stuck: nothing is to be worked out
        return tuple(run for _, run in soon)
    running = case.estimates.running.trains
    return tuple(run for _, run in sorted(soon, key=lambda pair: pair[0]) if run in running)


def _suspect(case: Case) -> bool:
    """Whether the last reading is one that the others contradict."""
    readings = case.history.readings
    doubted = {s.id for s in case.estimates.time.suspects}
    return bool(readings) and readings[-1].id in doubted
