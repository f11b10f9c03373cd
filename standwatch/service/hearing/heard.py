"""What was heard of one clock so far: twelve cells, quarters, tunes, and the tries of a mis-set."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from standwatch.judge.case import Case
from standwatch.judge.chiming import QUARTERS, positions_left, slipped, turns_heard
from standwatch.judge.mis_setting import tries, try_running
from standwatch.judge.provoking import ALLOWED
from standwatch.judge.striking import hours_to_hear
from standwatch.model.words import Chime, Outcome, Train, Work
from standwatch.service.hearing.worth import since, wrong_hours

Cell = Literal["right", "wrong", "once", "new", "unheard"]
"""`once`: heard right and wanted once more; `new`: sounds now, and would be new."""
TryState = Literal["right", "failed", "running", "unheard", "untried"]


@dataclass(frozen=True, slots=True)
class TuneHeard:
    """One position of the selector (0 silent): its name, the quarters heard in step, and whether it is done."""

    position: int
    name: str
    quarters: frozenset[int]
    done: bool


@dataclass(frozen=True, slots=True)
class Heard:
    """Hours 1 to 12 and quarters 1 to 4, empty where the clock has no such train."""

    hours: tuple[Cell, ...]
    quarters: tuple[Cell, ...]
    slipped: bool


@dataclass(frozen=True, slots=True)
class Tries:
    """The mis-sets of one clock, 1 to 3 quarters out; `until` ends the two hours of one that runs.

    `slipped_at`: out of step with nobody having touched it, and not put right since.
    """

    tag: str
    name: str
    states: tuple[TryState, ...]
    until: datetime | None
    running: int | None
    slipped_at: datetime | None
    slipped_quarter: int | None


def heard_of(case: Case, *, new_hour: int | None = None, new_quarter: int | None = None) -> Heard:
    """What was heard of a clock; the hour and the quarter that would be new now are marked so."""
    trains = case.traits.trains
    return Heard(
        hours=_hours(case, new_hour) if Train.STRIKE in trains else (),
        quarters=_quarters(case, new_quarter) if Train.CHIME in trains else (),
        slipped=Train.CHIME in trains and slipped(case) is not None,
    )


def _hours(case: Case, new: int | None) -> tuple[Cell, ...]:
    left, wrong = set(hours_to_hear(case)), set(wrong_hours(case))
    right = {v.row.hour for v in since(case, Work.STRIKE_SET) if v.row.hour is not None and v.row.hour == v.row.blows}
    cells: list[Cell] = []
    for hour in range(1, 13):
        known: Cell = "right" if hour not in left else "once" if hour in right else "unheard"
        cells.append("wrong" if hour in wrong else "new" if hour == new and hour in left else known)
    return tuple(cells)


def _quarters(case: Case, new: int | None) -> tuple[Cell, ...]:
    last: dict[int, Chime] = {}
    in_step: set[int] = set()
    for visit in since(case, Work.CHIME_SET):
        if visit.row.quarter is not None and visit.row.chime in {Chime.IN_STEP, Chime.OUT_OF_STEP}:
            last[visit.row.quarter] = visit.row.chime
            if visit.row.chime is Chime.IN_STEP:
                in_step.add(visit.row.quarter)
    cells: list[Cell] = []
    for quarter in sorted(QUARTERS):
        known: Cell = "right" if quarter in in_step else "new" if quarter == new else "unheard"
        cells.append("wrong" if last.get(quarter) is Chime.OUT_OF_STEP else known)
    return tuple(cells)


def tunes_of(case: Case) -> tuple[TuneHeard, ...]:
    """What was heard of each position of the selector; empty where no tunes are listed."""
    names = case.history.clock.tune_names
    if not names:
        return ()
    left, turns = set(positions_left(case)), turns_heard(case)
    told = []
    for position, name in (*enumerate(names, start=1), (0, "silent")):
        quarters = [turn.quarters for turn in turns if turn.position == position]
        # four quarters count together only from one turn of the selector: the best, or the one that is set
        best = quarters[-1] if position in left and quarters else max(quarters, key=len, default=frozenset[int]())
        told.append(TuneHeard(position, name, best, position not in left))
    return tuple(told)


def tries_of(case: Case, outcome: Outcome) -> Tries | None:
    """The mis-sets of a clock whose requirement stands at `outcome`; None where none is wanted and nothing slipped."""
    slip = slipped(case) if Train.CHIME in case.traits.trains else None
    if outcome is Outcome.NOT_APPLICABLE and slip is None:
        return None
    shown, running = tries(case), try_running(case)
    running_n = None if running is None or running.row.amount is None else int(running.row.amount)
    return Tries(
        tag=case.history.clock.tag,
        name=case.history.position or case.history.clock.tag,
        states=() if outcome is Outcome.NOT_APPLICABLE else tuple(_state(shown, n, running_n) for n in (1, 2, 3)),
        until=None if running is None else running.at + ALLOWED,
        running=running_n,
        slipped_at=None if slip is None else slip.at,
        slipped_quarter=None if slip is None else slip.row.quarter,
    )


def _state(shown: dict[int, Outcome], quarters: int, running: int | None) -> TryState:
    if quarters == running and shown.get(quarters) is not Outcome.MET:
        return "running"
    states: dict[Outcome, TryState] = {Outcome.MET: "right", Outcome.MISSED: "failed", Outcome.NOT_YET_KNOWN: "unheard"}
    return states[shown[quarters]] if quarters in shown else "untried"
