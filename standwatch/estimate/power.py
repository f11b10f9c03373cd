"""The wind-down of each train: where its weight is, how fast it falls, and when it runs out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from standwatch.estimate.answers import Power, TrainRun
from standwatch.estimate.falls import Weight
from standwatch.estimate.history import History
from standwatch.estimate.learned import DEFAULTS, Learned, SpringRuns
from standwatch.estimate.legs import Leg, Legs, legs_of
from standwatch.estimate.springs import USUAL, Spring
from standwatch.estimate.trainclock import TrainClock, train_clock
from standwatch.estimate.winding import winds
from standwatch.horology.hanging import one_weight, wound_by
from standwatch.model.answers import Answer, Moment, NotYetKnown, Quantity
from standwatch.model.words import Train, Work

BOW_SD = 0.04
"""How much faster a weight falls at the bottom of its way than at the top: a line builds up layers on its barrel."""
CHAIN_BOW_SD = 0.01
RECENT = 40
"""Falls of a train that are looked at."""
SETTLING_WINDS = 8
"""Winds to the top after which it doesn't matter where a weight was before."""
_OPENS = frozenset({Work.OPENED, Work.OILED})


def power_of(history: History, learned: Learned = DEFAULTS) -> Power:
    """The wind-down of each train of `history`'s clock now, in the trains' order; none for a reference.

    `learned` tells how long springs of its kind run in this shop.
    """
    traits = history.traits
    if traits.reference:
        return Power(())
    if one_weight(traits):
        one = _weight_run(history, _as_read(history))
        return Power(tuple(replace(one, train=train) for train in traits.trains))
    if traits.weights:
        return Power(tuple(_weight_run(history, train) for train in traits.trains))
    runs = learned.springs.get(traits.kind.name, USUAL)
    return Power(tuple(_spring_run(history, train, runs) for train in traits.trains))


def _as_read(history: History) -> Train:
    """As which train's the one weight of an endless chain is mostly read."""
    trains = history.traits.trains
    return max(trains, key=lambda train: sum(v.row.fall_mm(train) is not None for v in history.visits))


def _wound_at(history: History, train: Train) -> datetime | None:
    opened = history.opened_at
    told = [at for at, _ in winds(history, train) if opened is None or at >= opened]
    return told[-1] if told else None


def _nothing_told(history: History, what: str) -> NotYetKnown:
    opened, back = history.opened_at, history.came_back
    if back is not None and (opened is None or opened < back):
        return NotYetKnown(f"no {what} told since it came back")
    return NotYetKnown(f"no {what} told since it was opened" if opened else f"no {what} told yet")


def _moment(clock: TrainClock, since: datetime, days: tuple[float, float, float]) -> Moment:
    low, middle, high = (clock.after(since, day) for day in days)
    return Moment(at=middle, low=low, high=high)


def fall_expected(history: History, train: Train, at: datetime) -> Answer:
    """How far `train`'s weight has fallen by `at`, in mm, the clock going on from the last fact of `history`."""
    weight, _, legs, clock = _weight_of(history, train)
    if legs.stands or not weight.placed:
        return NotYetKnown(legs.stands) if legs.stands else _nothing_told(history, "wind and no fall")
    weight.advance(clock.days(legs.since, at))
    return weight.fall()


def fall_densities(history: History, train: Train, reading: float, ats: Sequence[datetime]) -> tuple[float, ...]:
    """How likely `reading` (mm fallen) is, had the clock stopped at each of `ats`, as a density per mm.

    The clock is taken to have gone on from the last fact of `history`. Empty where nothing is known of the weight.
    """
    weight, _, legs, clock = _weight_of(history, train)
    if legs.stands or not weight.placed:
        return ()
    lands = train is not Train.GOING
    return tuple(weight.density_ahead(clock.days(legs.since, at), reading, lands=lands) for at in ats)


class _Sooner:
    """The run-down as it was before winds near the top: a later wind never shortens a run."""

    def __init__(self) -> None:
        self.days: tuple[float, float, float] | None = None

    def keep(self, days: tuple[float, float, float]) -> None:
        """This is when it would run out if it were not wound now."""
        self.days = self.at_least(days)

    def advance(self, days: float) -> None:
        """Time goes on for it too."""
        if self.days is not None:
            self.days = (self.days[0] - days, self.days[1] - days, self.days[2] - days)

    def at_least(self, days: tuple[float, float, float]) -> tuple[float, float, float]:
        """`days`, or what was so before the winds where that is later."""
        if self.days is None:
            return days
        return max(days[0], self.days[0]), max(days[1], self.days[1]), max(days[2], self.days[2])


def _weight_of(history: History, train: Train) -> tuple[Weight, _Sooner, Legs, TrainClock]:
    """`train`'s weight as it was at the end of its last leg, with its legs and the clock it falls by.

    Where nobody told how far it can fall, it is never placed.
    """
    traits = history.traits
    clock = train_clock(history, train)
    bow = CHAIN_BOW_SD if wound_by(traits) == "chain" else BOW_SD
    floor, lowest = traits.usable_mm[train], traits.possible_mm[train]
    weight = Weight(floor, lowest, traits.fall_mm_per_day or lowest / traits.full_run_h * 24, bow)
    legs = legs_of(history, train, clock)
    sooner = _Sooner()
    for leg in _recent(legs.legs, train) if floor > 0 else ():
        _follow(weight, sooner, leg, train)
    return weight, sooner, legs, clock


def _weight_run(history: History, train: Train) -> TrainRun:
    if history.traits.usable_mm[train] <= 0:
        untold = NotYetKnown("how far its weight can fall was not told")
        return TrainRun(train, _wound_at(history, train), untold, None, untold, untold)
    weight, sooner, legs, clock = _weight_of(history, train)
    fall, runs_out = _weight_now(history, weight, sooner, legs, clock)
    speed: Answer = NotYetKnown("no fall read after a wind or another fall")
    if weight.speed_read:
        counted = weight.speed()
        speed = Quantity(*(clock.a_day * value for value in (counted.estimate, counted.low, counted.high)))
    return TrainRun(train, _wound_at(history, train), fall, history.traits.usable_mm[train], speed, runs_out)


def _recent(legs: tuple[Leg, ...], train: Train) -> tuple[Leg, ...]:
    """The legs that still tell: from the wind before the last RECENT falls on.

    Before the first fall ever read all that is to be known is where the weight was; a few winds to the top settle it.
    """
    read = [index for index, leg in enumerate(legs) if leg.visit.row.fall_mm(train) is not None]
    many = len(read) > RECENT
    first = read[-RECENT] if many else read[0] if read else len(legs)
    winds_before = [index for index in range(first) if legs[index].wound and (many or legs[index].to_top)]
    wanted = 1 if many else SETTLING_WINDS
    return legs[winds_before[-wanted] :] if len(winds_before) >= wanted else legs


def _follow(weight: Weight, sooner: _Sooner, leg: Leg, train: Train) -> None:
    """Take the weight along one leg, then read and work as its visit did."""
    visit = leg.visit
    raised, reading = visit.row.amount, visit.row.fall_mm(train)
    if leg.from_home:
        weight.lose()
        sooner.days = None
    matters = leg.wound and weight.placed and (raised is not None or weight.near_top(leg.ran))
    if matters and reading is None:
        sooner.keep(weight.run_down(-1.0 if leg.shown is None else leg.shown))
    weight.advance(leg.ran, leg.loose)
    sooner.advance(leg.ran)
    hangs = leg.ran_out or (reading is not None and train is not Train.GOING and reading >= weight.lowest - 10)
    if hangs and reading is not None and reading < weight.lowest - 10:
        weight.lose()  # it hangs, but not at its floor: the reading alone says where
    elif hangs:
        weight.land()
    if reading is not None:
        weight.read(reading)
    if reading is not None or leg.loose:
        sooner.days = None
    if visit.work in _OPENS:
        weight.lose()
        sooner.days = None
    elif visit.work in {Work.MOVED, Work.CASED}:
        weight.new_scale()
    elif leg.wound:
        if matters and reading is not None:
            sooner.keep(weight.run_down(0.0 if visit.shows_going else -1.0))
        weight.wind(raised)


def _weight_now(
    history: History, weight: Weight, sooner: _Sooner, legs: Legs, clock: TrainClock
) -> tuple[Answer, Moment | NotYetKnown]:
    """The fall now and when it runs out."""
    if not weight.placed:
        because = NotYetKnown(legs.stands) if legs.stands else _nothing_told(history, "wind and no fall")
        return because, because
    if legs.stands:
        return weight.fall(), NotYetKnown(legs.stands)
    gone_for = -1.0 if legs.shown is None else legs.shown
    if weight.landed_within(gone_for) > 0.999 and weight.lowest > weight.floor:
        weight.floor = weight.lowest  # past the floor of the customer's case, and going on
    if weight.landed_within(gone_for) > 0.999:
        runs_out: Moment | NotYetKnown = NotYetKnown(
            f"it still goes with its weight past {weight.floor:.0f} mm: measure how far it can fall"
        )
    else:
        runs_out = _moment(clock, legs.since, sooner.at_least(weight.run_down(gone_for)))
    weight.advance(clock.days(legs.since, history.now))
    return weight.fall(), runs_out


def spring_of(history: History, train: Train, runs: SpringRuns | None) -> tuple[Spring, Legs]:
    """`train`'s spring after all that is told of it, and its legs; `runs` as `Spring` takes it."""
    traits = history.traits
    spring = Spring(traits.duration_h / 24, traits.turns.get(train), runs)
    legs = legs_of(history, train, TrainClock(1.0, (), (), ()))
    for leg in legs.legs:
        if leg.from_home:
            spring.away()
        spring.advance(leg.ran, leg.loose, leg.shown)
        if leg.ran_out:
            spring.run_out(leg.loose)
        if leg.visit.work in _OPENS:
            spring.lose()
        elif leg.wound:
            spring.wind(leg.visit.row.amount)
    if not legs.stands:
        spring.advance(0.0, 0.0, legs.shown)
    return spring, legs


def _spring_run(history: History, train: Train, runs: SpringRuns) -> TrainRun:
    spring, legs = spring_of(history, train, runs)
    no_weight = NotYetKnown("a spring drives it: there is no weight to read")
    runs_out: Moment | NotYetKnown
    if legs.stands:
        runs_out = NotYetKnown(legs.stands)
    elif not spring.wound:
        runs_out = _nothing_told(history, "wind to the top")
    else:
        runs_out = _moment(TrainClock(1.0, (), (), ()), legs.since, spring.run_down())
    return TrainRun(train, _wound_at(history, train), no_weight, None, no_weight, runs_out)
