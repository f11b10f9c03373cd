"""One train's story in legs: how long it surely ran to each visit that touches it, and what keeps it standing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standwatch.estimate.history import HUNG, History, Visit
from standwatch.estimate.trainclock import TrainClock
from standwatch.horology.hanging import one_weight
from standwatch.model.words import Chime, Train, Work

_TOUCHES = HUNG | {
    Work.WOUND,
    Work.RESTARTED,
    Work.OPENED,
    Work.OILED,
    Work.MOVED,
    Work.CASED,
    Work.TUNE,
}


@dataclass(frozen=True, slots=True)
class Leg:
    """The way to one visit, in days as the train counts them: `ran` surely, and somewhere within `loose` more.

    `shown` are the days up to which it was seen running on this leg, None where it was not. `wound` and `ran_out`
    say whether the visit's work winds this train or found it run out; `from_home` that it is the first since the clock
    came back from its owner's, where it was wound and nobody told how.
    """

    visit: Visit
    ran: float
    loose: float
    shown: float | None
    wound: bool
    ran_out: bool
    from_home: bool = False

    @property
    def to_top(self) -> bool:
        """Whether the visit's work winds this train to the top."""
        return self.wound and self.visit.row.amount is None


@dataclass(frozen=True, slots=True)
class Legs:
    """All legs, and how things stand after the last: since when it has run on, or what keeps it standing."""

    legs: tuple[Leg, ...]
    since: datetime
    stands: str | None
    shown: float | None


class _Walker:
    """Follows one train through its clock's visits."""

    def __init__(self, history: History, train: Train, clock: TrainClock, start: datetime) -> None:
        self.train, self.clock = train, clock
        self.shared = one_weight(history.traits)
        self.at = start
        self.shown_at: datetime | None = None
        self.clock_shown_at: datetime | None = None
        self.hangs: Work | None = None
        self.out = False
        self.silent = False

    @property
    def stands(self) -> str | None:
        """What keeps the train standing, in words; None while it runs."""
        if self.out:
            return "ran out, and not wound since"
        if self.hangs is Work.RAN_OUT:
            return "the clock ran out and hangs"
        if self.hangs is not None:
            return "stopped, and not restarted since"
        return "set to silent, its weight hangs" if self.silent else None

    def concerns(self, visit: Visit) -> bool:
        """Whether a work with a train (none = all) is on this one."""
        return self.shared or visit.row.train in {None, self.train}

    def leg(self, visit: Visit) -> Leg:
        """The leg to `visit`, as found."""
        ran_out = visit.work is Work.RAN_OUT and self.concerns(visit)
        ran = loose = 0.0
        if self.hangs is not None and visit.shows_going and not self.out:
            loose = self.clock.days(self.at, visit.at)  # restarted, and nobody told when
        elif self.stands is None:
            stopped = ran_out or visit.work is Work.STOPPED or (visit.work is Work.RAN_OUT and _of_going(visit))
            shown_at = self.shown_at if ran_out and self.train is not Train.GOING else self.clock_shown_at
            seen = max(self.at, shown_at or self.at) if stopped else visit.at
            ran = self.clock.days(self.at, seen)
            loose = self.clock.days(seen, visit.at) if stopped else 0.0
        if _shows(visit, self.train):
            self.shown_at = visit.at
        wound = visit.work is Work.WOUND and self.concerns(visit)
        return Leg(visit, ran, loose, self.shown_days(), wound, ran_out)

    def from_home(self, visit: Visit) -> Leg:
        """The leg to the first visit since it came back: it hangs where its owner left it."""
        self.hangs, self.out, self.shown_at = None, False, None
        wound = visit.work is Work.WOUND and self.concerns(visit)
        return Leg(visit, 0.0, 0.0, None, wound, visit.work is Work.RAN_OUT and self.concerns(visit), from_home=True)

    def shown_days(self) -> float | None:
        """Days after the last leg's end up to which the train was seen running."""
        if self.shown_at is None or self.shown_at < self.at:
            return None
        return self.clock.days(self.at, self.shown_at)

    def leave(self, visit: Visit) -> None:
        """What the visit's work changes."""
        row = visit.row
        self.at = visit.at
        if visit.shows_going:
            self.hangs = None
        match row.work:
            case Work.STOPPED:
                self.hangs = Work.STOPPED
            case Work.RAN_OUT:
                self.hangs = Work.RAN_OUT if _of_going(visit) or self.shared else self.hangs
                self.out = self.out or self.concerns(visit)
            case Work.RESTARTED:
                self.hangs = None
            case Work.WOUND:
                self.out = self.out and not self.concerns(visit)
                if self.hangs is Work.RAN_OUT and (_of_going(visit) or self.shared):
                    self.hangs = None
            case Work.TUNE if self.train is Train.CHIME and row.amount is not None:
                self.silent = row.amount == 0
            case _:
                pass


def legs_of(history: History, train: Train, clock: TrainClock) -> Legs:
    """`train`'s legs, oldest first. A visit that neither reads nor touches it is no end of a leg."""
    start = history.visits[0].at if history.visits else history.now
    walker = _Walker(history, train, clock, start)
    legs: list[Leg] = []
    name, before = f"{train}_mm", start
    for visit in history.visits:
        going, work = visit.shows_going, visit.work
        came_back = bool(history.handovers) and history.went_home(before, visit.at) is not None
        before = visit.at
        touched = (
            getattr(visit.row, name) is not None
            or (walker.hangs is not None and going)
            or (work in _TOUCHES and not (work is Work.WOUND and walker.hangs is None and not walker.concerns(visit)))
        )
        if touched or came_back:
            legs.append(walker.from_home(visit) if came_back else walker.leg(visit))
            walker.leave(visit)
        elif _shows(visit, train):
            walker.shown_at = visit.at
        if going:
            walker.clock_shown_at = visit.at
    return Legs(tuple(legs), walker.at, walker.stands, walker.shown_days())


def _of_going(visit: Visit) -> bool:
    return visit.row.train in {None, Train.GOING}


def _shows(visit: Visit, train: Train) -> bool:
    """Whether the visit shows this train running: going by any sign, strike by blows, chime by ear."""
    if train is Train.GOING:
        return visit.shows_going
    if visit.work in HUNG:
        return False
    if train is Train.STRIKE:
        return bool(visit.row.blows)
    return visit.row.chime in {Chime.IN_STEP, Chime.OUT_OF_STEP}
