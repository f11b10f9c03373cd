"""Whether a strike or chime train is stuck, has run on, or leaves blows out: what the weights tell, with odds.

The going train can't be any of these and go on: its weight tells whether somebody wound and told nobody. A few blows
left out can't be seen (under about thirty in three days of 1 mm each); ears alone certify counts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.estimate.history import History
from standwatch.estimate.legs import Leg, legs_of
from standwatch.estimate.marked import Marked, MarkedWeight, Way
from standwatch.estimate.power import BOW_SD, CHAIN_BOW_SD
from standwatch.estimate.trainclock import TrainClock, train_clock
from standwatch.estimate.winding import one_weight
from standwatch.model.words import Chime, KindName, Train, Work

UNTOLD_A_DAY = 0.01
"""How often somebody winds and tells nobody, a day."""
ALL_WOUND = 0.9
"""How often such a wind is of every train."""
ONE_WOUND_A_DAY = 0.001
NEWS = timedelta(days=10)
"""A train that ran on is news for so long."""
LACK_SDS = 4.0
LACK_STEPS = 3
LACK_READING_SD = 4.5
LACK_SPEED_SD = 0.006
"""A weight's speed differs by this share from one stretch of its way to the next."""
LACK_MOST_IN_ONE = 0.7
"""More than this share of the lack in one step is a train that was stuck for a time."""
LACK_PRIOR = 0.01
LACK_MOST = 0.5
NO_WIND = 0.1
_OPENS = frozenset({Work.OPENED, Work.OILED})
_PUTS_RIGHT = {Train.STRIKE: Work.STRIKE_SET, Train.CHIME: Work.CHIME_SET}
_CHAINS = frozenset({KindName.CUCKOO, KindName.LONGCASE_30H})


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


@dataclass(frozen=True, slots=True)
class _Read:
    """One reading within a wind: what it said, what was due to the next ones from here."""

    at: datetime
    mm: float
    days: float
    movement: dict[int, tuple[float, float]]


def running_wrong(history: History) -> tuple[Wrong, ...]:
    """Of each strike or chime train whose weight was read, how it stands after the last reading."""
    traits = history.traits
    if not traits.weights:
        return ()
    return tuple(told[-1] for train in traits.trains if train is not Train.GOING and (told := watched(history, train)))


def watched(history: History, train: Train) -> tuple[Wrong, ...]:
    """How `train` stood after each reading of its weight, oldest first."""
    if history.traits.usable_mm.get(train, 0.0) <= 0:
        return ()
    chain = one_weight(history.traits)
    weighed = Train.GOING if chain else train
    untold = {} if chain else _untold_winds(history)
    watch = _Watch(history, train, weighed, untold)
    return tuple(watch.told)


def _untold_winds(history: History) -> dict[str, float]:
    """By visit, the odds that the going weight was wound before it and nobody told."""
    watch = _Watch(history, Train.GOING, Train.GOING, {})
    return watch.winds


class _Watch:
    """Follows one weight through its clock's legs; `train` is whose faults are looked for, `weighed` whose fall is."""

    def __init__(self, history: History, train: Train, weighed: Train, untold: dict[str, float]) -> None:
        traits = history.traits
        self.train, self.weighed, self.untold = train, weighed, untold
        self.chain = one_weight(traits)
        self.clock = train_clock(history, train)
        self.by_time = TrainClock(self.clock.time_share, (), (), ()) if self.chain else None
        floor, lowest = traits.usable_mm[weighed], traits.possible_mm[weighed]
        speed = traits.fall_mm_per_day or lowest / traits.full_run_h * 24
        bow = CHAIN_BOW_SD if traits.kind.name in _CHAINS else BOW_SD
        self.weight = MarkedWeight(floor, lowest, speed, bow)
        self.told: list[Wrong] = []
        self.winds: dict[str, float] = {}
        self.steps = _Steps()
        start = history.visits[0].at if history.visits else history.now
        for leg in legs_of(history, weighed, self.clock).legs:
            self._follow(leg, start)
            start = leg.visit.at

    def _follow(self, leg: Leg, start: datetime) -> None:
        visit, weight = leg.visit, self.weight
        reading = visit.row.fall_mm(self.weighed)
        way = self._way(leg, start)
        if leg.ran_out and (reading is None or reading >= weight.lowest - 10):
            weight.advance(way)
            weight.land()
            self.steps.begin()
        elif reading is None:
            weight.advance(way)
            self.steps.go(leg.ran, math.inf if leg.loose else 0.0)
        else:
            weight.forget_before(visit.at - NEWS)
            weight.read(way, reading)
            self.winds[visit.id] = weight.wound()
            self.steps.go(leg.ran, math.inf if leg.loose else self.untold.get(visit.id, 0.0) + weight.wound())
            self._hear(leg)
            self.steps.read(visit.at, reading, weight)
            self.told.append(self._wrong(visit.at))
        self._work(leg)

    def _way(self, leg: Leg, start: datetime) -> Way:
        days = leg.ran + leg.loose
        still = self.by_time.days(start, leg.visit.at) if self.by_time and leg.ran else 0.0
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
            faults=self.train is not Train.GOING and days > 0 and not leg.loose,
        )

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
            self.steps = _Steps()
        elif visit.work is _PUTS_RIGHT.get(self.train):
            weight.put_right()
            self.steps.begin()
        elif visit.work in {Work.MOVED, Work.CASED}:
            weight.new_scale()
            self.steps.begin()
        elif leg.wound:
            weight.wind(visit.row.amount)
            self.steps.wind()

    def _wrong(self, at: datetime) -> Wrong:
        weight = self.weight
        stuck, on = weight.odds("stuck"), weight.odds("on")
        likeliest: Marked | None = weight.likeliest("stuck" if stuck >= on else "on")
        odds, lack, due = self.steps.lacks()
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


class _Steps:
    """The readings of one wind, for what small lacks add up to."""

    def __init__(self) -> None:
        self.winds_read = 0
        self.reads: list[tuple[datetime, float]] = []
        self.due: list[tuple[float, float]] = []  # of the step that ends at each reading: mm due, days
        self.speeds: list[tuple[float, float]] = []  # after each reading: mm a day, sd
        self.spoilt: list[float] = []
        self._days, self._wound = 0.0, 0.0

    def begin(self) -> None:
        """A new stretch."""
        self.reads, self.due, self.speeds, self.spoilt = [], [], [], []
        self._days, self._wound = 0.0, 0.0

    def wind(self) -> None:
        """Wound: a new stretch, and one more wind whose speed is known where it was read."""
        self.winds_read += len(self.reads) >= 1
        self.begin()

    def go(self, days: float, wound: float) -> None:
        """It should have run for `days`; `wound` are the odds that somebody wound it meanwhile."""
        self._days += days
        self._wound += wound

    def read(self, at: datetime, mm: float, weight: MarkedWeight) -> None:
        """A reading of `mm`."""
        self.reads.append((at, mm))
        self.due.append((self._days, 0.0))
        self.speeds.append(weight.movement(1.0))
        self.spoilt.append(self._wound)
        self._days, self._wound = 0.0, 0.0

    def lacks(self) -> tuple[float, float, float]:
        """The odds that blows are left out, the mm missing over the last steps, and the mm due in them."""
        if self.winds_read < 1 or len(self.reads) <= LACK_STEPS:
            return 0.0, 0.0, 0.0
        first = len(self.reads) - 1 - LACK_STEPS
        speed, speed_sd = self.speeds[first]
        short = []
        for index in range(first + 1, len(self.reads)):
            fell = self.reads[index][1] - self.reads[index - 1][1]
            short.append(speed * self.due[index][0] - fell)
        days = sum(self.due[index][0] for index in range(first + 1, len(self.reads)))
        lack, due = sum(short), speed * days
        sd = math.sqrt(2 * LACK_READING_SD**2 + (speed_sd * days) ** 2 + (LACK_SPEED_SD * due) ** 2)
        if not LACK_SDS * sd < lack < LACK_MOST * due or sum(self.spoilt[first + 1 :]) > NO_WIND:
            return 0.0, lack, due
        if sum(s > lack / 6 for s in short) < LACK_STEPS - 1 or max(short) > LACK_MOST_IN_ONE * lack:
            return 0.0, lack, due
        return _odds(lack, sd, due), lack, due


def _odds(lack: float, sd: float, due: float) -> float:
    """Bayes' rule between nothing left out and any share of it up to LACK_MOST."""
    none = math.exp(-0.5 * (lack / sd) ** 2) / sd / math.sqrt(2 * math.pi)
    some = 1 / (LACK_MOST * due)
    return LACK_PRIOR * some / (LACK_PRIOR * some + (1 - LACK_PRIOR) * none)
