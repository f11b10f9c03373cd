"""From a History to the filter's nodes: readings, what each work does, settling, winds and bumps, in order."""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from standwatch.estimate.breaks import WIND_LOSS_S, Break
from standwatch.estimate.filter import NO_GAP, Gap, Jump, Node, Prior, gap_of
from standwatch.estimate.history import History, Visit
from standwatch.estimate.wind_curve import WindCurve, wind_curve
from standwatch.horology.kinds import OTHER_HAND_DOUBT_S
from standwatch.model.units import days, reached
from standwatch.model.words import Drive, ReadBy, Work

ERROR_SD_S = 3000.0
"""How far off a clock may be that was never read, or whose error began anew."""
REFERENCE_RATE_SD = 100.0
CURVE_SD = 20.0
"""Standard deviation of a spring's wind curve, in s/day from fully wound to run down."""
_LOSS_SD_S, _LOSS_SCATTER_S = 7.0, 4.0
"""A wind's loss differs from clock to clock and from one wind to the next; together the 8 s of common practice."""
_BUMP_SD_S, _BUMP_BALANCE_SD_S = 20.0, 5.0
_BUMP_DOUBT = timedelta(hours=24)
_LEAST_DOUBT_S = 1e-9
_HOUR = timedelta(hours=1)
_AFTER_ALL = 1 << 62


@dataclass(frozen=True, slots=True)
class Timeline:
    """One clock's nodes, in time order, with what they were made of.

    `days_at` are the nodes' times (days since 2000), `visits` the readings that `Node.source` counts. `curve` is None
    where winding does nothing to the error; `curved` says that c is a spring's curve, `lossy` that it is the loss of a
    wind of a weight. `rate_since` is when the rate was last opened and settled; `opener` the work that did.
    `hung` are the spans in which the clock stood (end None: it still does).
    """

    nodes: tuple[Node, ...]
    days_at: tuple[float, ...]
    visits: tuple[Visit, ...]
    prior: Prior
    curve: WindCurve | None
    curved: bool
    lossy: bool
    q1: float
    q2: float
    rate_since: datetime | None
    opener: Break | None
    hung: tuple[tuple[datetime, datetime | None], ...]

    def gap(self, start: float, end: float) -> Gap:
        """The going from one day to a later one."""
        curve = self.curve
        gain = curve.integral(end) - curve.integral(start) if curve is not None and self.curved else 0.0
        return gap_of(end - start, gain, self.q1, self.q2)

    def restless(self, factor: float) -> Timeline:
        """The same clock with `factor` times the noise of its kind (in standard deviation)."""
        if factor == 1:
            return self
        var = factor * factor
        nodes = tuple(
            replace(node, gap=node.gap._replace(n1=var * node.gap.n1, n2=var * node.gap.n2)) for node in self.nodes
        )
        return replace(self, nodes=nodes, q1=var * self.q1, q2=var * self.q2)

    def winds_to_come(self, day: float) -> Jump | None:
        """What the winds expected until `day` do to the error of a weight clock without maintaining power."""
        count = self.curve.winds_by(day) if self.curve is not None and self.lossy else 0
        return Jump(var=count * _LOSS_SCATTER_S**2, part=float(count)) if count else None

    def stood_at(self, at: datetime) -> bool:
        """Whether the clock is known to have stood still at `at`."""
        return any(start <= at and (end is None or at < end) for start, end in self.hung)

    def last_node(self, day: float) -> int:
        """The last node at or before `day`; -1 where there is none."""
        return bisect_right(self.days_at, day) - 1


def settled_from(step: Break) -> datetime:
    """From when readings count after a work that opens the rate: a day's settling is reached an hour early."""
    early = step.settled_at - _HOUR
    return early if reached(early - step.at, step.settled_at - step.at) else step.settled_at


def prior_of(history: History) -> Prior:
    """What is known of the clock before any reading (its kind's limits, and what winding may do)."""
    traits = history.traits
    rate_sd = REFERENCE_RATE_SD if traits.reference or not traits.mean_rate_limit else 3 * traits.mean_rate_limit
    loss, loss_var = 0.0, 0.0
    if _curved(history):
        loss_var = CURVE_SD**2
    elif _lossy(history):
        loss, loss_var = WIND_LOSS_S, _LOSS_SD_S**2
    return Prior(0.0, ERROR_SD_S**2, 0.0, rate_sd**2, loss, loss_var)


def _curved(history: History) -> bool:
    # a torsion pendulum is watched for a month of a year's wind: its curve can't be told from its rate
    return history.traits.drive is Drive.SPRING and history.traits.oscillator != "torsion"


def _lossy(history: History) -> bool:
    return history.traits.weights and not history.traits.maintaining


def reading_doubt_s(history: History, how: ReadBy | None) -> float:
    """Standard doubt in seconds of a reading taken `how`, the usual way if None."""
    if how is None or how is history.usual_read_by:
        return history.usual_doubt_s
    return math.hypot(history.traits.reading_doubt_s(how), OTHER_HAND_DOUBT_S)


@dataclass(slots=True)
class _Making:
    """The timeline in the making."""

    history: History
    curve: WindCurve | None
    lossy: bool
    q1: float
    q2: float
    nodes: list[Node] = field(default_factory=list)
    hung: list[tuple[datetime, datetime | None]] = field(default_factory=list)
    day: float = 0.0

    def add(self, at: datetime, jump: Jump | None = None, visit: Visit | None = None, source: int = -1) -> None:
        """Append a node. A reading shows that the clock goes again; while it hung, nothing moved on."""
        stands = self.stands
        if visit is not None and stands:
            self.hung[-1] = (self.hung[-1][0], at)
        day = max(days(at), self.day) if self.nodes else days(at)
        gap = NO_GAP
        if self.nodes and not stands and day > self.day:
            gain = self.curve.integral(day) - self.curve.integral(self.day) if self.curve and not self.lossy else 0.0
            gap = gap_of(day - self.day, gain, self.q1, self.q2)
        self.day = day
        if visit is None or visit.error_s is None or visit.doubt_s is None:
            self.nodes.append(Node(day, gap, jump))
            return
        doubt = max(visit.doubt_s, _LEAST_DOUBT_S)
        bumps = self.history.bumps
        bumped = bool(bumps) and any(bump < at <= bump + _BUMP_DOUBT for bump in bumps)
        r = doubt**2 + (_bump_sd(self.history) ** 2 if bumped else 0.0)
        self.nodes.append(Node(day, gap, jump, visit.error_s, r, source))

    def work(self, step: Break) -> None:
        """Append what one work does."""
        if step.work is Work.WOUND and self.lossy:
            part = step.error_shift_s / WIND_LOSS_S
            self.add(step.at, Jump(var=(_LOSS_SCATTER_S * part) ** 2, part=part))
            return
        new = math.isinf(step.error_sd_s)
        var = 0.0 if new else step.error_sd_s**2
        self.add(step.at, Jump(step.error_shift_s, var, 0.0, new, math.isinf(step.rate_sd), step.opens_all))
        if step.work in {Work.STOPPED, Work.RAN_OUT} and not self.stands:
            self.hung.append((step.at, None))
        elif step.work in {Work.RESTARTED, Work.OPENED, Work.OILED} and self.stands:
            self.hung[-1] = (self.hung[-1][0], step.at)

    @property
    def stands(self) -> bool:
        """Whether the clock stands still so far as the story has come."""
        return bool(self.hung) and self.hung[-1][1] is None


def _bump_sd(history: History) -> float:
    return _BUMP_BALANCE_SD_S if history.traits.oscillator == "balance" else _BUMP_SD_S


def timeline_of(history: History) -> Timeline:
    """The filter's nodes for `history`; linear in its readings and works."""
    readings = history.readings
    curved, lossy = _curved(history), _lossy(history)
    traits = history.traits
    start = history.clock.on_stand_at or (readings[0].at if readings else history.now)
    curve = wind_curve(history, days(start)) if curved or lossy else None
    making = _Making(history, curve, lossy, traits.q1_s**2, traits.q2_s**2)
    events: list[tuple[datetime, int, int, int]] = []  # time, order, reading before work before settling, place
    events += [(v.at, v.order, 0, place) for place, v in enumerate(readings)]
    events += [(b.at, b.order, 1, place) for place, b in enumerate(history.breaks)]
    events += [(at, _AFTER_ALL, 2, -1) for at in history.bumps]
    openers = [b for b in history.breaks if b.opens_rate]
    # a rate that settled by `now` begins anew; before its first reading at that instant
    events += [(at, -1, 3, -1) for b in openers if (at := settled_from(b)) > b.at and at <= history.now]
    for at, _, what, place in sorted(events):
        if what == 0:
            making.add(at, visit=readings[place], source=place)
        elif what == 1:
            making.work(history.breaks[place])
        elif what == 2:
            making.add(at, Jump(var=_bump_sd(history) ** 2))
        else:
            making.add(at, Jump(y_new=True))
    opener = max(openers, key=settled_from) if openers else None
    return Timeline(
        nodes=tuple(making.nodes),
        days_at=tuple(node.day for node in making.nodes),
        visits=readings,
        prior=prior_of(history),
        curve=curve,
        curved=curved,
        lossy=lossy,
        q1=making.q1,
        q2=making.q2,
        rate_since=settled_from(opener) if opener else (readings[0].at if readings else None),
        opener=opener,
        hung=tuple(making.hung),
    )
