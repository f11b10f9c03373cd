"""Wind now, or let it run out on purpose because that proves a full run."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from standwatch.estimate.answers import TrainRun
from standwatch.judge.case import Case
from standwatch.judge.evidence import SLACK, listed, time_words
from standwatch.judge.full_run import run_shown
from standwatch.model.answers import Moment
from standwatch.model.words import Train


def worth_letting(case: Case, run: TrainRun) -> datetime | None:
    """Until when `run` must be shown going, if letting it run out would then prove a full run; None: wind it.

    It must last past its rated time. That it did must be seen: it has been, or it can be seen now, or (the going
    train of a weight clock) the dial and the weights tell it at the next round.
    """
    winds = case.going.winds_of(run.train)
    if run_shown(case, run.train) or case.traits.inferred_run or not winds or winds[-1].broken:
        return None
    rated = winds[-1].base + timedelta(hours=case.traits.duration_h)
    if not isinstance(run.runs_out, Moment) or run.runs_out.low < rated - SLACK:
        return None
    told_by_dial = run.train is Train.GOING and case.traits.weights
    return rated if case.now >= rated or told_by_dial else None


def wind_text(case: Case, runs: Sequence[TrainRun]) -> str:
    """What to wind, and by when."""
    names = listed([str(run.train) for run in runs])
    first = runs[0].runs_out
    following = time_words(case, case.rounds.next_after(case.now))
    if not isinstance(first, Moment):
        return f"wind {names}: next round {following}"
    if first.high <= case.now:
        return f"wind {names}: run down by now, as far as one can tell"
    return f"wind {names}: may run out from {time_words(case, max(first.low, case.now))}, next round {following}"


def let_run_out_text(case: Case, run: TrainRun, rated: datetime, others: Sequence[TrainRun]) -> str:
    """How to let `run` prove a full run, and what to wind beside it."""
    until = f"seen going after {time_words(case, rated)}" if case.now < rated else "see it going now"
    text = f"let the {run.train} train run out: {until}, left alone, it proves the full run"
    if others:
        text += f"; wind {listed([str(other.train) for other in others])}"
    return text
