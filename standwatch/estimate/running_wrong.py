"""Whether a strike or chime train is stuck, has run on, or leaves blows out: what the weights tell, with odds.

The going train can't be any of these and go on: its weight tells whether somebody wound and told nobody. A few blows
left out can't be seen (under about thirty in three days of 1 mm each); ears alone certify counts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cache, partial

from standwatch.estimate.history import History
from standwatch.estimate.lacking import Lacking
from standwatch.estimate.legs import Leg, legs_of
from standwatch.estimate.marked import MarkedWeight
from standwatch.estimate.marks import Marked, Way
from standwatch.estimate.power import BOW_SD, CHAIN_BOW_SD
from standwatch.estimate.trainclock import TrainClock, train_clock
from standwatch.estimate.untold import since_untold_wind
from standwatch.horology.hanging import one_weight, wound_by
from standwatch.model.words import Chime, Train, Work

RECENT = 20
"""Visits with a fall that are looked at: three winds."""
UNTOLD_A_DAY = 0.02
"""How often somebody winds and tells nobody, a day."""
ALL_WOUND = 0.9
"""How often such a wind is of every train."""
ONE_WOUND_A_DAY = 0.001
SURE_AT_ONCE = 0.75
"""From these odds on a train is called stuck on one visit: one of several weights is easily wound alone."""
SAME_VISIT = timedelta(hours=1)
NEWS = timedelta(days=10)
"""A train that ran on is news for so long."""
_OPENS = frozenset({Work.OPENED, Work.OILED})
_PUTS_RIGHT = {Train.STRIKE: Work.STRIKE_SET, Train.CHIME: Work.CHIME_SET}


@dataclass(frozen=True, slots=True)
class Wrong:
    """What one train's falls say after a reading at `at`: the odds that it is stuck, ran on, or leaves blows out.

    `since` is between which readings the likelier of the first two began. `lack_mm` of `due_mm` are missing over the
    last stretch looked at; both 0 where there was none.
    """

    train: Train
    at: datetime
    stuck: float
    runs_on: float
    lacks: float
    since: tuple[datetime, datetime] | None
    lack_mm: float
    due_mm: float


def running_wrong(history: History) -> tuple[Wrong, ...]:
    """Of each strike or chime train whose weight was read, how it stands after the last reading."""
    traits = history.traits
    if not traits.weights:
        return ()
    recent = _recently(history)
    untold = _untold_winds(recent)
    sounding = (train for train in traits.trains if train is not Train.GOING)
    return tuple(told[-1] for train in sounding if (told := _watched(recent, train, untold)))


def _recently(history: History) -> History:
    """The same from the wind before the last RECENT visits with a fall on: older ones tell nothing more."""
    read = [i for i, v in enumerate(history.visits) if any(v.row.fall_mm(t) is not None for t in history.traits.trains)]
    if len(read) <= RECENT:
        return history
    wound = [i for i in range(read[-RECENT]) if history.visits[i].work is Work.WOUND]
    return replace(history, visits=history.visits[wound[-1] :]) if wound else history


def watched(history: History, train: Train) -> tuple[Wrong, ...]:
    """How `train` stood after each reading of its weight, oldest first."""
    return _watched(history, train, _untold_winds(history))


def _watched(history: History, train: Train, untold: dict[str, float]) -> tuple[Wrong, ...]:
    weighed = Train.GOING if one_weight(history.traits) else train
    if history.traits.usable_mm.get(train, 0.0) <= 0 or not _is_read(history, weighed):
        return ()
    return tuple(_Watch(history, train, weighed, untold).told)


def _is_read(history: History, train: Train) -> bool:
    return any(visit.row.fall_mm(train) is not None for visit in history.visits)


def _untold_winds(history: History) -> dict[str, float]:
    """By visit, the odds that the going weight was wound before it and nobody told; none where it is the only one."""
    traits = history.traits
    others = [train for train in traits.trains if train is not Train.GOING]
    if one_weight(traits) or not any(_is_read(history, train) for train in others):
        return {}
    return _Watch(history, Train.GOING, Train.GOING, {}).winds


class _Watch:
    """Follows one weight through its clock's legs; `train` is whose faults are looked for, `weighed` whose fall is."""

    def __init__(self, history: History, train: Train, weighed: Train, untold: dict[str, float]) -> None:
        traits = history.traits
        self.train, self.weighed, self.untold = train, weighed, untold
        chain = one_weight(traits)
        self.clock, self.zone = train_clock(history, train), history.zone
        self.by_time = TrainClock(self.clock.time_share, (), (), ()) if chain else None
        floor, lowest = traits.usable_mm[weighed], traits.possible_mm[weighed]
        speed = traits.fall_mm_per_day or lowest / traits.full_run_h * 24
        bow = CHAIN_BOW_SD if wound_by(traits) == "chain" else BOW_SD
        self.weight = MarkedWeight(floor, lowest, speed, bow)
        self.told: list[Wrong] = []
        self.winds: dict[str, float] = {}
        self.lacking = Lacking()
        start = history.visits[0].at if history.visits else history.now
        for leg in legs_of(history, weighed, self.clock).legs:
            self._follow(leg, start)
            start = leg.visit.at

    def _follow(self, leg: Leg, start: datetime) -> None:
        visit, weight = leg.visit, self.weight
        reading = visit.row.fall_mm(self.weighed)
        if leg.from_home:
            weight.lose()
            self.lacking.begin()
        way = self._way(leg, start)
        if leg.ran_out and (reading is None or reading >= weight.lowest - 10):
            weight.land(way, self._alone(leg, start))
            self.lacking.begin()
        elif reading is None:
            weight.advance(way)
            self.lacking.go(way, math.inf if leg.loose else 0.0)
        else:
            weight.forget_before(visit.at - NEWS)
            weight.read(way, reading)
            self.winds[visit.id] = weight.wound()
            self.lacking.go(way, math.inf if leg.loose else self.untold.get(visit.id, 0.0) + weight.wound())
            self._hear(leg)
            self.lacking.read(reading)
            self.told.append(self._wrong(visit.at))
        self._work(leg)

    def _way(self, leg: Leg, start: datetime) -> Way:
        days = leg.ran + leg.loose
        still = self._alone(leg, start)
        going = self.untold.get(leg.visit.id)
        apart = (leg.visit.at - start) / timedelta(days=1)
        if self.train is self.weighed and self.train is not Train.GOING and going is not None:
            untold = ALL_WOUND * going + ONE_WOUND_A_DAY * apart
        else:
            untold = UNTOLD_A_DAY * apart
        shown = leg.shown if self.train is self.weighed else None
        return Way(
            start=start,
            end=leg.visit.at,
            days=leg.ran,
            still=min(still, leg.ran),
            loose=leg.loose,
            shown=shown,
            untold=min(untold, 0.95),
            since_untold=cache(partial(since_untold_wind, self.zone, self.clock, start, leg.visit.at)),
            faults=self.train is not Train.GOING and days > 0 and not leg.loose,
        )

    def _alone(self, leg: Leg, start: datetime) -> float:
        """What of a leg's days goes by time alone."""
        days = leg.ran + leg.loose
        return min(self.by_time.days(start, leg.visit.at), days) if self.by_time and days else 0.0

    def _hear(self, leg: Leg) -> None:
        """What was heard on the visit itself."""
        row = leg.visit.row
        if self.train is Train.CHIME and row.chime is Chime.NOT_RUNNING:
            self.weight.heard(stuck=20.0)
        elif self.train is Train.STRIKE and row.blows is not None and not row.staged:
            self.weight.heard(stuck=0.02 if row.blows else 20.0)

    def _work(self, leg: Leg) -> None:
        visit, weight = leg.visit, self.weight
        if visit.work in _OPENS:
            weight.lose()
            self.lacking = Lacking()
        elif visit.work is _PUTS_RIGHT.get(self.train):
            weight.put_right()
            self.lacking.begin()
        elif visit.work in {Work.MOVED, Work.CASED}:
            weight.new_scale()
            self.lacking.begin()
        elif leg.wound:
            weight.wind(visit.row.amount)
            self.lacking.wind(weight, visit.row.amount)

    def _wrong(self, at: datetime) -> Wrong:
        weight = self.weight
        stuck = weight.odds("stuck")
        if stuck < SURE_AT_ONCE:  # it takes two visits
            stuck = weight.odds("stuck", before=at - SAME_VISIT)
        on = weight.odds("on")
        likeliest: Marked | None = weight.likeliest("stuck" if stuck >= on else "on")
        odds, lack, due = self.lacking.told()
        return Wrong(
            self.train,
            at,
            stuck,
            on,
            odds * max(0.0, 1 - stuck - on),
            likeliest.since if likeliest else None,
            lack,
            due,
        )
