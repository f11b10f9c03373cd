"""Each train's runs from wind to wind, and when it is shown going in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.estimate.history import HUNG, History
from standwatch.estimate.spells import Stop, ran_in_time
from standwatch.estimate.stops import concerns, hangs_going
from standwatch.model.words import Chime, Train, Work

GROWN_MM = 5.0
"""A fall has grown when it is more than the reading before by what two readings of a still weight may differ."""
SAME_VISIT = timedelta(hours=1)
"""A restart so soon after the wind belongs to it."""


@dataclass(frozen=True, slots=True)
class Wind:
    """One run of one train, from a wind to the next wind or the run-out. `shown_until`: last shown going in it.

    `shown` are the times at which this very train is shown going (the going train by an error or dial, strike by
    blows or a fall that has grown, chime by in-step or such a fall), up to the first thing that broke the run. `base`
    is what they count from: the wind, or the restart where the clock stood for long after it. `ran_in_time` is
    whether a run-out ended it at or after the rated time. `broken`: a stop or restart lies in it. `void`: an
    unexplained stop since takes its evidence away.
    """

    train: Train
    wound_at: datetime
    shown_until: datetime | None
    ran_out_at: datetime | None
    ended_at: datetime | None
    base: datetime
    shown: tuple[datetime, ...] = ()
    ran_in_time: bool = False
    broken: bool = False
    void: bool = False


@dataclass(frozen=True, slots=True)
class Runs:
    """The winds of all trains since the last opening, and the early run-outs of strike or chime alone.

    `run_down` are the trains that have run out and were not wound since.
    """

    winds: tuple[Wind, ...]
    side_stops: tuple[Stop, ...]
    run_down: tuple[Train, ...]


def runs_of(history: History, stops: Sequence[Stop]) -> Runs:
    """The runs of each train, in the trains' order, given the stops of the going train."""
    first = len(history.visits) - len(history.since_opened)
    by_id = {stop.id: stop for stop in stops}
    winds: list[Wind] = []
    side: list[Stop] = []
    down: list[Train] = []
    for train in history.traits.trains:
        run = _TrainRuns(history, train, first, by_id)
        winds += run.winds()
        side += run.early
        if run.is_down():
            down.append(train)
    return Runs(tuple(winds), tuple(sorted(side, key=lambda stop: stop.found_at)), tuple(down))


class _TrainRuns:
    """The runs of one train."""

    def __init__(self, history: History, train: Train, first: int, stops: dict[str, Stop]) -> None:
        self.history, self.train, self.stops = history, train, stops
        self.visits = history.visits
        since = range(first, len(self.visits))
        self.silenced = self._silenced() if train is Train.CHIME else {}
        self.wound = [i for i in since if self._is(i, Work.WOUND)]
        self.out = [i for i in since if self._is(i, Work.RAN_OUT)]
        alone = [i for i in self.out if not hangs_going(history, self.visits[i])]
        self.in_time = {i for i in alone if ran_in_time(history, i, train)}
        self.early = [self._early(i) for i in alone if i not in self.in_time]
        unexplained = {stop.id for stop in (*stops.values(), *self.early) if not (stop.in_time or stop.explained)}
        self.void_before = max((i for i in since if self.visits[i].id in unexplained), default=-1)

    def _is(self, index: int, work: Work) -> bool:
        visit = self.visits[index]
        return visit.work is work and concerns(self.history, visit, self.train)

    def _early(self, index: int) -> Stop:
        visit = self.visits[index]
        proofs = [self.visits[i].at for i in range(index) if self._shows(0, i)]
        return Stop(
            id=visit.id,
            found_at=visit.at,
            ran_out=True,
            in_time=False,
            explained=bool(visit.row.explained),
            shown_until=proofs[-1] if proofs else None,
            restarted_at=next((self.visits[i].at for i in self.wound if i > index), None),
            train=self.train,
        )

    def is_down(self) -> bool:
        """Whether it has run out and was not wound since."""
        return bool(self.out) and self.out[-1] > max(self.wound, default=-1)

    def winds(self) -> list[Wind]:
        """One for each wind."""
        ends = [*self.wound[1:], len(self.visits)]
        return [self._wind(start, end) for start, end in zip(self.wound, ends, strict=False)]

    def _wind(self, start: int, end: int) -> Wind:
        """The run from the wind at visit `start` to the next at `end`, whose readings are still as found before it.

        It ends where the clock goes home, whose owner winds it.
        """
        wound_at = self.visits[start].at
        left, end = self._left(start, end)
        base, breaks_at = self._standing(start, end)
        out = next((i for i in self.out if start < i < end), None)
        silent_from = self._silent_from(start, end)
        last = min(i for i in (breaks_at, out, end - 1 if left else end, len(self.visits) - 1) if i is not None)
        shown = [self.visits[i].at for i in range(start + 1, min(last, silent_from) + 1) if self._shows(start, i)]
        shown += self._shown_by_its_dial(start, last) if last <= silent_from else []
        ended = min((i for i in (breaks_at, out, end) if i is not None and i < len(self.visits)), default=None)
        stop = self.stops.get(self.visits[last].id)
        in_time = out is not None and out == last and self._ran_in_time(out)
        return Wind(
            train=self.train,
            wound_at=wound_at,
            shown_until=shown[-1] if shown else None,
            ran_out_at=None if out is None else self.visits[out].at,
            ended_at=left if left and ended == end else None if ended is None else self.visits[ended].at,
            base=base,
            shown=tuple(shown),
            ran_in_time=in_time,
            broken=breaks_at is not None and not (stop is not None and stop.in_time),
            void=start < self.void_before,
        )

    def _left(self, start: int, end: int) -> tuple[datetime | None, int]:
        """When it went home in the run from `start`, and the visit by which that ends it: else none, and `end`."""
        if not self.history.handovers:
            return None, end
        until = range(start + 1, min(end, len(self.visits) - 1) + 1)
        left = [(i, self.history.went_home(self.visits[i - 1].at, self.visits[i].at)) for i in until]
        return next(((at, i) for i, at in left if at is not None), (None, end))

    def _standing(self, start: int, end: int) -> tuple[datetime, int | None]:
        """What the run counts from, and the visit that broke it.

        A restart before anything showed it going begins the run; later, it says that the clock had stood.
        """
        base, went = self.visits[start].at, False
        for index in range(start + 1, end):
            visit = self.visits[index]
            if hangs_going(self.history, visit):
                return base, index
            if visit.work is Work.RESTARTED:
                if went:
                    return base, index
                base = visit.at if visit.at - base > SAME_VISIT else base
            went = went or visit.shows_going
        return base, None

    def _ran_in_time(self, index: int) -> bool:
        """Whether the run-out found at visit `index` came in time for this train."""
        stop = self.stops.get(self.visits[index].id)
        if stop is None:
            return index in self.in_time
        return stop.in_time and (self.train is Train.GOING or ran_in_time(self.history, index, self.train))

    def _shown_by_its_dial(self, start: int, index: int) -> list[datetime]:
        """What the dial and falls of a clock found hanging show: the going train, or a weight that had gone on."""
        visit = self.visits[index]
        stop = self.stops.get(visit.id)
        known = [v.at for v in self.visits[start:index] if v.shows_going]
        until = None if stop is None or not stop.ran_out else stop.shown_until
        if until is None or visit.row.dial is None or (known and until <= known[-1]):
            return []
        if self.train is Train.GOING or self._grown(start, index):
            return [until]
        return []

    def _shows(self, start: int, index: int) -> bool:
        """Whether visit `index`, in the wind begun at `start`, shows this train going."""
        visit = self.visits[index]
        if visit.work in HUNG:
            return False
        if self.train is Train.GOING:
            return visit.error_s is not None
        heard = bool(visit.row.blows) if self.train is Train.STRIKE else visit.row.chime is Chime.IN_STEP
        return heard or self._grown(start, index)

    def _grown(self, start: int, index: int) -> bool:
        fall = self.visits[index].row.fall_mm(self.train)
        before = None if fall is None else self._fall_before(start, index)
        return fall is not None and before is not None and fall - before > GROWN_MM

    def _fall_before(self, start: int, index: int) -> float | None:
        """The last fall read before visit `index` in the wind begun at `start`; None where none was."""
        for i in range(index - 1, start, -1):
            if self._is(i, Work.WOUND):
                return None
            fall = self.visits[i].row.fall_mm(self.train)
            if fall is not None and self.visits[i].work not in HUNG:
                return fall
        return None

    def _silent_from(self, start: int, end: int) -> int:
        """The visit after which the chime stood at silent in the run from `start`; `end` where it never did."""
        if self.train is not Train.CHIME:
            return end
        if self.silenced.get(start):
            return start
        for index in range(start + 1, end):
            visit = self.visits[index]
            if visit.row.chime is Chime.SILENT or (visit.work is Work.TUNE and visit.row.amount == 0):
                return index
        return end

    def _silenced(self) -> dict[int, bool]:
        """At each wind, whether the selector stood at silent."""
        silent, found = False, {}
        for index, visit in enumerate(self.visits):
            if visit.work is Work.TUNE and visit.row.amount is not None:
                silent = visit.row.amount == 0
            found[index] = silent
        return found
