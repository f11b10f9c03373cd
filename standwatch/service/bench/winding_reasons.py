"""Why a train is wound before the next round, or left alone: in few words, and in full."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from standwatch.estimate.answers import TrainRun
from standwatch.judge.assessment import Assessment
from standwatch.judge.case import Case
from standwatch.judge.evidence import time_words
from standwatch.judge.full_run import run_shown
from standwatch.judge.phases import Phase, phase_of
from standwatch.judge.winding import let_run_out_text, worth_letting
from standwatch.model.answers import Moment, NotYetKnown
from standwatch.model.words import Outcome, Requirement


def letting(
    told: Assessment, case: Case, runs: Iterable[TrainRun], until: datetime
) -> tuple[tuple[TrainRun, datetime], ...]:
    """The trains that prove their full run if they are left alone, as the next step says."""
    wanted = told.verdict(Requirement.FULL_DURATION).outcome is Outcome.NOT_YET_KNOWN
    if not wanted or phase_of(case.history.handovers) is not Phase.ON_STAND or told.going.run_down:
        return ()
    return worth_letting(case, [run for run in runs if before(run, until)])


def before(run: TrainRun, until: datetime) -> bool:
    """It may run out before `until`."""
    return isinstance(run.runs_out, Moment) and run.runs_out.low < until


def why(
    told: Assessment, case: Case, run: TrainRun, let: Sequence[tuple[TrainRun, datetime]], until: datetime
) -> tuple[str, str]:
    """Why a train is wound or left alone: in few words, and in full."""
    if isinstance(run.runs_out, NotYetKnown):
        return "not yet known", f"nobody can tell when it runs out: {run.runs_out.because}"
    if let:
        return "proves its full run", let_run_out_text(case, let, ())
    if not before(run, until):
        return "", f"it lasts past the next round, {time_words(case, until)}: nothing is to be decided yet"
    full = told.verdict(Requirement.FULL_DURATION)
    if phase_of(case.history.handovers) is Phase.RELEASED:
        return "released", "released: nothing more is to be proved; wind it"
    if run_shown(case, run.train):
        return "full run proved", f"the full run of the {run.train} is proved already: wind it"
    if full.outcome is not Outcome.NOT_YET_KNOWN:
        return "nothing to prove", f"nothing is to be proved by letting it run out: {full.because}"
    if case.traits.inferred_run:
        return "run is inferred", f"its run is too long to watch and is inferred: {full.because}"
    winds = case.winds_of(run.train)
    if not winds:
        return "no wind told", f"no wind of the {run.train} is told, so its run-out would prove nothing"
    if winds[-1].broken:
        return "this wind was broken", "a stop lies in this wind, so its run-out proves nothing: wind it"
    rated = winds[-1].base + timedelta(hours=case.traits.duration_h)
    if run.runs_out.low < rated - timedelta(hours=1):
        short = f"{case.traits.duration_h:g} h are up only {time_words(case, rated)}, and it may be down before"
        return f"may not reach {case.traits.duration_h:g} h", f"{short}: its run-out would prove nothing; wind it"
    seen = "nobody would see that it got so far: "
    seen += (
        "its dial tells the going train's run, and that of the others only where weights are read and that one is "
        "left alone too"
        if case.traits.weights
        else "the run of a spring is proved only by somebody who sees it still going"
    )
    return "nobody would see it", f"{seen}; wind it"
