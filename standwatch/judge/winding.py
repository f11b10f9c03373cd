"""Wind now, or let it run out on purpose because that proves a full run."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from standwatch.estimate.answers import TrainRun
from standwatch.horology.hanging import one_weight
from standwatch.judge.case import Case
from standwatch.judge.evidence import SLACK, listed, time_words
from standwatch.judge.full_run import run_shown
from standwatch.model.answers import Moment
from standwatch.model.words import Train


def worth_letting(case: Case, runs: Sequence[TrainRun]) -> tuple[tuple[TrainRun, datetime], ...]:
    """Those of `runs` that prove a full run if they are left to run out, each with the time it must be shown going at.

    Each must last past its rated time, and that it did must be seen: now, or by the dial and the weights of a clock
    found run out. Those tell of the going train, and of the others only where that one is left alone too.
    """
    if case.traits.inferred_run:
        return ()
    found = [(run, rated) for run in runs if (rated := _outlasts(case, run)) is not None]
    dial = case.traits.weights and any(run.train is Train.GOING for run, _ in found)
    return tuple((run, rated) for run, rated in found if dial or case.now >= rated)


def _outlasts(case: Case, run: TrainRun) -> datetime | None:
    """The end of the rated time of a run that is still wanted and that will last so long; None else.

    None too where it has most likely run out by now: nothing is left to let run.
    """
    winds = case.winds_of(run.train)
    if run_shown(case, run.train) or not winds or winds[-1].broken or not isinstance(run.runs_out, Moment):
        return None
    rated = winds[-1].base + timedelta(hours=case.traits.duration_h)
    return rated if run.runs_out.low >= rated - SLACK and run.runs_out.high > case.now else None


def wind_text(case: Case, runs: Sequence[TrainRun]) -> str:
    """What to wind, and by when."""
    names = listed([str(run.train) for run in runs])
    first = runs[0].runs_out
    following = time_words(case, case.rounds.next_after(case.now))
    if not isinstance(first, Moment):
        return f"wind {names}: next round {following}"
    if first.high <= case.now:
        first_read = "read dial and weights first" if case.traits.weights else "read the dial first, count the turns"
        return f"wind {names}: overdue, run down by now as far as one can tell; {first_read}"
    return f"wind {names}: may run out from {time_words(case, max(first.low, case.now))}, next round {following}"


def let_run_out_text(case: Case, letting: Sequence[tuple[TrainRun, datetime]], others: Sequence[TrainRun]) -> str:
    """How to let trains prove their full run, and what to wind beside them."""
    names = "it" if one_weight(case.traits) else listed([str(run.train) for run, _ in letting])
    rated = max(at for _, at in letting)
    proof = "seen going now and left alone"
    if case.now < rated:
        proof = f"seen going after {time_words(case, rated)}, or told by dial and weights once it hangs"
    text = f"let {names} run out: {proof}, it proves the full run"
    if others and not one_weight(case.traits):
        text += f"; wind {listed([str(run.train) for run in others])}"
    return text
