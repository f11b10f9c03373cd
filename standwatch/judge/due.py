"""What is due until a time: winding, listening, another look at a reading, a call."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from standwatch.horology.rounds import Rounds
from standwatch.judge.assessment import Assessment
from standwatch.judge.case import Case
from standwatch.judge.chiming import silent_set
from standwatch.judge.hearing import chime_to_hear, to_hear
from standwatch.judge.phases import CALL_DAYS, Phase
from standwatch.judge.settling import settled_round
from standwatch.judge.situation import Situation, situation_of
from standwatch.judge.stopping import ran_down
from standwatch.model.answers import Moment
from standwatch.model.words import NextStep, Requirement, Train

What = Literal["wind", "listen", "recheck", "call"]


@dataclass(frozen=True, slots=True)
class Due:
    """One thing due with one clock. `at` of a wind is when it runs out; low and high are its 95 % interval."""

    tag: str
    what: What
    at: datetime
    low: datetime
    high: datetime


def due(
    assessments: Iterable[Assessment], rounds: Rounds, until: datetime, calls: Sequence[int] = CALL_DAYS
) -> tuple[Due, ...]:
    """What is due until `until` (included), soonest first; what is overdue comes first of all."""
    found: list[Due] = []
    for assessment in assessments:
        situation = situation_of(Case(assessment.estimates, assessment.going, rounds), calls)
        found += [item for item in _of(situation, assessment) if item.low <= until]
    return tuple(sorted(found, key=lambda item: (item.at, item.tag, item.what)))


def _of(situation: Situation, assessment: Assessment) -> list[Due]:
    tag, case = assessment.tag, situation.case
    if situation.phase is Phase.DELIVERED:
        return [Due(tag, "call", at, at, at) for at in situation.calls]
    found = _wind(tag, situation)
    if situation.phase is Phase.RELEASED or case.going.hangs is not None:
        return found
    at = _listen_at(situation)
    if at is not None:
        found.append(Due(tag, "listen", at, at, at))
    found += [Due(tag, "recheck", at, at, at) for at in _recheck_at(situation, assessment)]
    return found


def _wind(tag: str, situation: Situation) -> list[Due]:
    """The soonest train's run-down; now, for a clock or a train that has run out."""
    case, hangs = situation.case, situation.case.going.hangs
    if hangs is not None:
        found = hangs.found_at
        return [Due(tag, "wind", found, found, found)] if ran_down(case.history, hangs) else []
    if situation.hangs_out:
        return [Due(tag, "wind", case.now, case.now, case.now)]
    moments = [run.runs_out for run in case.estimates.running.trains if isinstance(run.runs_out, Moment)]
    if not moments:
        return []
    first = min(moments, key=lambda moment: moment.low)
    return [Due(tag, "wind", first.at, first.low, first.high)]


def _listen_at(situation: Situation) -> datetime | None:
    case = situation.case
    if situation.slipped and Train.CHIME in case.traits.trains:
        return chime_to_hear(case).at
    wanted = frozenset(v.requirement for v in situation.verdicts if situation.wants(v.requirement))
    if silent_set(case):
        wanted -= {Requirement.CHIME_STEP, Requirement.MIS_SET}
    hearing = to_hear(case, wanted)
    return None if hearing is None else hearing.at


def _recheck_at(situation: Situation, assessment: Assessment) -> list[datetime]:
    """When to read again: a suspect reading at once, a clock that settles at the first round after that."""
    times = []
    if assessment.next.code is NextStep.READ_AGAIN or situation.suspect:
        times.append(situation.case.now)
    settled = settled_round(situation.case)
    if settled is not None:
        times.append(settled)
    return times
