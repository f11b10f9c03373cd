"""When the clock was shown going without a break, and each time it was found hanging."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from standwatch.estimate.history import History, Visit
from standwatch.estimate.stops import concerns, credible, hangs_going, stop_candidates
from standwatch.estimate.winding import winds
from standwatch.model.answers import Answer
from standwatch.model.units import reached
from standwatch.model.words import Drive, Train, Work

ErrorAt = Callable[[datetime], Answer]
_NEXT_ROUND = timedelta(hours=25)
"""A clock shown going so soon after it was set going has gone since then."""
FEW_TURNS = 0.9


@dataclass(frozen=True, slots=True)
class Stop:
    """A time a train was found hanging; of the going train unless `train` says otherwise.

    `in_time`: it ran out at or after its rated time, which is no stop. `shown_until` is the last moment it is shown
    going before (by a fact, or by the earliest candidate of odds .05 or more that the dial leaves). `candidates` are
    the times that dial, weights and moon leave, with their odds, likeliest first.
    """

    id: str
    found_at: datetime
    ran_out: bool
    in_time: bool
    explained: bool
    shown_until: datetime | None
    restarted_at: datetime | None
    train: Train = Train.GOING
    candidates: tuple[tuple[datetime, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Spell:
    """Going without a break, from `start` to the last fact that shows it.

    `stood_before`: it is known to have stood until `start`; otherwise it may have gone before it was first shown.
    """

    start: datetime
    end: datetime
    stood_before: bool


@dataclass(slots=True)
class Spells:
    """All spells since the last opening, oldest first; those from `unbroken` on count together."""

    spells: list[Spell]
    stops: list[Stop]
    unbroken: int
    hangs: Stop | None


def spells_of(history: History, error_at: ErrorAt | None = None) -> Spells:
    """The spells and stops of `history`'s clock since it was last opened or oiled.

    `error_at` tells the error it had, for what a hung dial says; else the readings before do, roughly.
    """
    follower = _Follower(history, error_at)
    first = len(history.visits) - len(history.since_opened)
    for index in range(first, len(history.visits)):
        follower.follow(index)
    follower.close()
    stops = follower.stops
    return Spells(follower.spells, stops, follower.unbroken, stops[-1] if follower.hanging else None)


def ran_in_time(history: History, index: int, train: Train, candidates: Sequence[datetime] = ()) -> bool:
    """Whether the `ran-out` found at visit `index` came at or after the train's rated time.

    Counted from the train's last wind (from the clock's first fact, where none is told) to when it was found, or to
    `candidates`, the times that its dial leaves. A spring that then takes few turns had power left: that is a stop.
    """
    found = history.visits[index]
    wound = [v for v in history.visits[:index] if v.work is Work.WOUND and concerns(history, v, train)]
    start = wound[-1].at if wound else min(history.visits[0].at, history.clock.on_stand_at or found.at)
    rated = timedelta(hours=history.traits.duration_h)
    if not reached(found.at - start, rated):
        return False
    if candidates and not any(reached(at - start, rated) for at in candidates):
        return False
    return turns_short(history, index, train) is None


def turns_short(history: History, index: int, train: Train) -> tuple[float, float] | None:
    """Of a spring found run out at visit `index` with power left: the turns that its next wind told, and those to full.

    It had power where those are under 0.9 of the turns to full, and a whole turn short; None else, or untold.
    """
    full = history.traits.turns.get(train)
    if history.traits.drive is not Drive.SPRING or full is None:
        return None
    later = replace(history, visits=history.visits[index:])
    told = winds(later, train)
    turns = told[0][1] if told else None
    return (turns, full) if turns is not None and turns < FEW_TURNS * full and full - turns >= 1 else None


class _Follower:
    """Follows one clock through its visits."""

    def __init__(self, history: History, error_at: ErrorAt | None) -> None:
        self.history, self.error_at = history, error_at
        self.spells: list[Spell] = []
        self.stops: list[Stop] = []
        self.unbroken = 0
        self.begun: datetime | None = None
        self.shown: datetime | None = None
        self.stood = False
        self.hanging = False
        self.wound_at: datetime | None = None

    def follow(self, index: int) -> None:
        """Take in one visit: what was found, then what was done."""
        visit = self.history.visits[index]
        self._away(index)
        if visit.work is Work.RESTARTED:
            self._restart(visit)
        elif visit.shows_going:
            self._show(visit.at)
        if hangs_going(self.history, visit):
            self._found_hanging(index)
        elif visit.work is Work.WOUND and self.hanging and concerns(self.history, visit, Train.GOING):
            self.wound_at = visit.at

    def close(self) -> None:
        """End the spell."""
        if self.begun is not None:
            self.spells.append(Spell(self.begun, self.shown or self.begun, self.stood))
        self.begun = self.shown = None
        self.stood = True

    def _away(self, index: int) -> None:
        """The time at its owner's doesn't count, and breaks nothing."""
        if not self.history.handovers:
            return
        visits = self.history.visits
        left = [h.at for h in self.history.handovers if h.what == "delivered"]
        if index and any(visits[index - 1].at <= at < visits[index].at for at in left):
            self.close()

    def _restart(self, visit: Visit) -> None:
        if self.hanging:
            self._goes_again(visit.at)
            return
        if visit.shows_going:
            self._show(visit.at)
        self.close()
        self.unbroken = len(self.spells)
        self.begun = visit.at

    def _goes_again(self, at: datetime) -> None:
        self.stops[-1] = replace(self.stops[-1], restarted_at=at)
        self.hanging, self.wound_at = False, None
        self.begun, self.shown, self.stood = at, None, True

    def _show(self, at: datetime) -> None:
        if self.hanging:  # nobody told the restart
            wound = self.wound_at
            self._goes_again(wound if wound is not None and at - wound <= _NEXT_ROUND else at)
        if self.begun is None:
            opened = self.history.opened_at
            soon = not self.spells and opened is not None and at - opened <= _NEXT_ROUND
            self.begun = opened if soon else at
        self.shown = at

    def _found_hanging(self, index: int) -> None:
        visit = self.history.visits[index]
        ran_out, explained = visit.work is Work.RAN_OUT, bool(visit.row.explained)
        if self.hanging and self.wound_at is None:  # the same hanging, told twice
            last = self.stops[-1]
            self.stops[-1] = replace(last, explained=last.explained or explained)
            return
        if self.hanging and self.wound_at is not None:
            self._goes_again(self.wound_at)
        candidates = self._candidates(index)
        likely = credible(candidates)
        if likely:
            self.shown = max(self.shown or likely[0], likely[0])
        in_time = ran_out and ran_in_time(self.history, index, Train.GOING, likely or tuple(at for at, _ in candidates))
        found = Stop(visit.id, visit.at, ran_out, in_time, explained, self.shown, None, candidates=candidates)
        self.stops.append(found)
        self.close()
        if not in_time:
            self.unbroken = len(self.spells)
        self.hanging, self.wound_at = True, None

    def _candidates(self, index: int) -> tuple[tuple[datetime, float], ...]:
        visit = self.history.visits[index]
        if visit.row.dial is None:
            return ()
        falls = {t: mm for t in self.history.traits.trains if (mm := visit.row.fall_mm(t)) is not None}
        before = replace(self.history, visits=self.history.visits[:index], now=visit.at)
        return stop_candidates(
            before,
            visit.row.dial,
            found_at=visit.at,
            falls=falls,
            moon_age_d=visit.row.moon_age_d,
            error_at=self.error_at,
        )
