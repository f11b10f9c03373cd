"""Winding: every train of the stand by its run-out, what to do with it before the next round, and why."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from standwatch.estimate.answers import TrainRun
from standwatch.horology.hanging import one_weight
from standwatch.horology.rounds import Rounds
from standwatch.judge.assessment import Assessment
from standwatch.judge.case import Case
from standwatch.judge.evidence import time_words
from standwatch.judge.phases import Phase, phase_of
from standwatch.judge.stopping import ended_words, ran_down
from standwatch.model.answers import Moment, NotYetKnown
from standwatch.model.text import natural
from standwatch.model.words import Drive, Train, Work
from standwatch.service.bench.winding_reasons import before, letting, why
from standwatch.service.views import StandView

WIND, LET, RESTART = "wind", "let run out", "restart"
WIND_RESTART, EXPLAIN = "wind, restart", "explain first"

CAUTIONS = (
    "Weight clear, feet clear.",
    "Never turn hands or selector while it strikes or chimes.",
    "Bare fingers mark brass.",
)
"""Said once a day before anything is wound (common practice)."""


Key = tuple[str, tuple[Train, ...]]
"""What one line is known by: its clock's tag and its trains."""


@dataclass(frozen=True, slots=True)
class TrainLine:
    """One train (or those that run and stop as one) as it will run down.

    `hung_since` is when it was found hanging, None while it goes; `ran_out`: for want of a wind. `do` is empty where
    nothing is to be done before the next round; `because` says why in few words, `explained` in full. `full_turns` are
    key turns from run down to full. `may_restart`: all that is left to do is to set it going.
    """

    tag: str
    slot: str
    trains: tuple[Train, ...]
    all_trains: bool
    drive: Drive
    wound_at: datetime | None
    runs_out: Moment | NotYetKnown
    hung_since: datetime | None
    before_round: bool
    do: str
    because: str
    explained: str
    full_turns: float | None
    ran_out: bool = False
    may_restart: bool = False

    @property
    def key(self) -> Key:
        """What the line is known by, whatever moves around it."""
        return self.tag, self.trains

    @property
    def name(self) -> str:
        """The train; "both" or "all" where they run as one."""
        return {1: self.trains[0].value, 2: "both"}.get(len(self.trains), "all")

    @property
    def cells(self) -> dict[str, object]:
        """The ledger's cells of a wind to the top."""
        told: dict[str, object] = {"tag": self.tag, "work": Work.WOUND.value}
        return told if self.all_trains else {**told, "train": self.trains[0].value}


@dataclass(frozen=True, slots=True)
class WindingBoard:
    """Every train of the stand: those that hang, those that may run out before the next round, then the others."""

    now: datetime
    next_round: datetime
    rounds: Rounds
    lines: tuple[TrainLine, ...]

    @property
    def running_out(self) -> tuple[TrainLine, ...]:
        """Going, and may run out before the next round; soonest first."""
        return tuple(line for line in self.lines if line.before_round and line.hung_since is None)

    @property
    def above(self) -> int:
        """How many lines stand above the next round."""
        return sum(line.before_round for line in self.lines)

    @property
    def first(self) -> tuple[TrainLine, Moment] | None:
        """What runs out first of all that goes, and when."""
        going = [(n.runs_out.at, i, n, n.runs_out) for i, n in enumerate(self.lines) if isinstance(n.runs_out, Moment)]
        return min(going)[2:] if going else None

    def closed(self, day: date) -> bool:
        """Nobody makes a round on that civil date."""
        return not self.rounds.is_open(day)


def winding_of(view: StandView) -> WindingBoard:
    """The winding of the stand as it was worked out."""
    lines = [line for told in view.assessments for line in _lines(told, view)]
    return WindingBoard(view.now, view.next_round, view.shop.rounds, tuple(sorted(lines, key=_place)))


def _place(line: TrainLine) -> tuple[object, ...]:
    """What hangs first, then before the next round, then the rest by time; what nobody can tell last."""
    where = natural(line.slot or line.tag), natural(line.tag), line.trains
    if line.hung_since is not None:
        return 0, line.hung_since.timestamp(), *where
    if isinstance(line.runs_out, NotYetKnown):
        return 3, 0.0, *where
    return (1 if line.before_round else 2), line.runs_out.at.timestamp(), *where


def _lines(told: Assessment, view: StandView) -> Iterator[TrainLine]:
    history = told.estimates.history
    if history.traits.reference or phase_of(history.handovers) is Phase.DELIVERED:
        return
    case = Case(told.estimates, told.going, view.shop.rounds)
    if told.going.hangs is not None:
        yield _hanging(told, told.estimates.power.trains)
        return
    runs = [run for run in told.estimates.power.trains if run.train not in told.going.run_down]
    left_alone = letting(told, case, runs, view.next_round)
    for train in told.going.run_down:
        yield _run_down(told, train)
    for together in _as_one(told, runs):
        yield _going_line(told, case, together, left_alone, view.next_round)


def _as_one(told: Assessment, runs: Sequence[TrainRun]) -> list[list[TrainRun]]:
    """One weight drives two trains; and trains of which nothing is known have nothing to say each by itself."""
    because = {run.runs_out.because for run in runs if isinstance(run.runs_out, NotYetKnown)}
    unknown = len(because) == 1 and all(isinstance(run.runs_out, NotYetKnown) for run in runs)
    if runs and (unknown or one_weight(told.estimates.history.traits)):
        return [list(runs)]
    return [[run] for run in runs]


def _going_line(
    told: Assessment,
    case: Case,
    runs: Sequence[TrainRun],
    left_alone: Sequence[tuple[TrainRun, datetime]],
    until: datetime,
) -> TrainLine:
    run, soon = runs[0], before(runs[0], until)
    if run not in told.estimates.running.trains:
        return _stuck_line(told, case, runs)
    let = [(each, rated) for each, rated in left_alone if any(each is one for one in runs)]
    do = (LET if let else WIND) if soon else ""
    because, explained = why(told, case, run, let, until)
    return _line(told, runs, run.runs_out, before=soon, do=do, because=because, explained=explained)


def _stuck_line(told: Assessment, case: Case, runs: Sequence[TrainRun]) -> TrainLine:
    """A strike or chime that seems stuck: nothing runs out there while it hangs."""
    ends = runs[0].runs_out
    if_it_went_on = f"; if it went on from now, from {time_words(case, ends.low)}" if isinstance(ends, Moment) else ""
    explained = f"the {runs[0].train} seems stuck and runs out at no time{if_it_went_on}"
    hangs = NotYetKnown("it seems stuck")
    return _line(told, runs, hangs, before=False, do="", because="seems stuck", explained=explained)


def _hanging(told: Assessment, runs: Sequence[TrainRun]) -> TrainLine:
    """A clock that hangs, its trains as one."""
    hangs = told.going.hangs
    assert hangs is not None  # noqa: S101  # the caller asked
    wound = any(visit.at >= hangs.found_at for visit in told.estimates.history.works(Work.WOUND))
    known = hangs.in_time or hangs.explained
    ready = known and (wound or not hangs.ran_out)
    do = RESTART if ready else WIND_RESTART if known else EXPLAIN
    hours = f"{told.estimates.history.traits.duration_h:g} h"
    early = ended_words(told.estimates.history, hangs) if hangs.ran_out else ""
    because = f"ran {hours}: no fault" if hangs.in_time else early
    if not known:
        because = "read dial, weights" if told.estimates.history.traits.weights else "read the dial"
    return _line(
        told,
        runs,
        NotYetKnown("it stands"),
        before=True,
        do=do,
        because=because,
        explained=told.next.text,
        hung=hangs.found_at,
        ran_out=ran_down(told.estimates.history, hangs),
        restart=ready,
    )


def _run_down(told: Assessment, train: Train) -> TrainLine:
    """Strike or chime that ran out while the clock goes on."""
    run = next(run for run in told.estimates.power.trains if run.train is train)
    found = [
        visit.at
        for visit in told.estimates.history.works(Work.RAN_OUT)
        if visit.row.train in {None, train}
    ]  # fmt: skip
    return _line(
        told,
        [run],
        NotYetKnown("it has run out"),
        before=True,
        do=WIND,
        because="the clock goes on",
        explained=f"the {train} has run out: wind it",
        hung=found[-1] if found else told.estimates.history.now,
        ran_out=True,
    )


def _line(
    told: Assessment,
    runs: Sequence[TrainRun],
    runs_out: Moment | NotYetKnown,
    *,
    before: bool,
    do: str,
    because: str,
    explained: str,
    hung: datetime | None = None,
    ran_out: bool = False,
    restart: bool = False,
) -> TrainLine:
    history = told.estimates.history
    trains = tuple(run.train for run in runs)
    wound = [run.wound_at for run in runs if run.wound_at is not None]
    return TrainLine(
        tag=told.tag,
        slot=history.position,
        trains=trains,
        all_trains=set(trains) == set(history.traits.trains),
        drive=history.traits.drive,
        wound_at=max(wound, default=None),
        runs_out=runs_out,
        hung_since=hung,
        before_round=before,
        do=do,
        because=because,
        explained=explained,
        full_turns=history.traits.turns.get(trains[0]) if len(trains) == 1 else None,
        ran_out=ran_out,
        may_restart=restart,
    )


def winds_told(board: WindingBoard, marked: Collection[Key]) -> tuple[dict[str, object], ...]:
    """The facts that say the `marked` trains are wound to the top: one for a clock whose trains are all marked."""
    told: list[dict[str, object]] = []
    by_tag: dict[str, list[TrainLine]] = {}
    for line in board.lines:
        by_tag.setdefault(line.tag, []).append(line)
    for tag, own in by_tag.items():
        chosen = [line for line in own if line.key in marked]
        if len(chosen) == len(own):
            told.append({"tag": tag, "work": Work.WOUND.value})
        else:
            told += [line.cells for line in chosen]
    return tuple(told)
