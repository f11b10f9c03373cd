"""The morning round: which clock next, what it is read for, how far one is, and what is left at its end. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Literal

from standwatch.estimate.answers import TrainRun
from standwatch.estimate.going import Stop
from standwatch.estimate.history import Visit
from standwatch.judge.assessment import Assessment
from standwatch.judge.phases import Phase, phase_of
from standwatch.model.answers import Moment
from standwatch.model.text import natural
from standwatch.model.words import ReadBy, Work
from standwatch.service.round.asking import TEMPERATURE, Wanted, swing_wanted, warmth_told, weights_wanted
from standwatch.service.round.crossing import way_of
from standwatch.service.views import StandView

State = Literal["to-do", "read", "suspect", "stands", "going", "skipped"]

_SECONDS = {ReadBy.SECONDS_HAND: 40, ReadBy.MINUTE_HAND: 65, ReadBy.FIRST_BLOW: 65, ReadBy.ESTIMATE: 30}
"""Seconds that a reading takes with the walk to it and the wait for the hand, by its way: thirty clocks take 25 to 40
minutes (common practice)."""
_EACH_FIGURE_S = 10
_HUNG_S = 90


@dataclass(frozen=True, slots=True)
class Spot:
    """One clock of the round, in its slot, and where the round is with it."""

    tag: str
    slot: str
    rail: str
    state: State


@dataclass(frozen=True, slots=True)
class Reckoned:
    """What one assessment gives for the round: its clock, where that comes, and how long it takes, in seconds."""

    assessment: Assessment
    skipped: bool
    day: date
    spot: Spot
    order: tuple[object, ...]
    takes_s: int


@dataclass(frozen=True, slots=True)
class Round:
    """The round: its clocks in the order in which they are gone to and as they hang, and how long the rest takes."""

    spots: tuple[Spot, ...]
    by_slot: tuple[Spot, ...]
    minutes_left: int

    @property
    def left(self) -> tuple[Spot, ...]:
        """The clocks still to be gone to."""
        return tuple(spot for spot in self.spots if spot.state == "to-do")

    def marked(self, states: Mapping[str, State]) -> Round:
        """The same with other states, by tag."""
        if not states:
            return self

        def told(spots: tuple[Spot, ...]) -> tuple[Spot, ...]:
            return tuple(replace(s, state=states[s.tag]) if s.tag in states else s for s in spots)

        return replace(self, spots=told(self.spots), by_slot=told(self.by_slot))

    def next_after(self, tag: str | None, but: frozenset[str] = frozenset()) -> Spot | None:
        """The clock to go to after `tag`: the next that is left, then those left before it; None at the end.

        None of `but`.
        """
        tags = [spot.tag for spot in self.spots]
        here = tags.index(tag) + 1 if tag in tags else 0
        ordered = (*self.spots[here:], *self.spots[:here])
        return next((s for s in ordered if s.state == "to-do" and s.tag != tag and s.tag not in but), None)

    def number(self, tag: str) -> int:
        """How many clocks one is at, the clock `tag` included."""
        done = sum(spot.state != "to-do" and spot.tag != tag for spot in self.spots)
        return done + 1


def on_round(assessment: Assessment) -> bool:
    """Whether a clock is gone to: on the stand, and not let go of."""
    return phase_of(assessment.estimates.history.handovers) is Phase.ON_STAND


def round_of(
    view: StandView,
    now: datetime,
    *,
    newer: Mapping[str, Assessment] | None = None,
    skipped: frozenset[str] = frozenset(),
    kept: dict[str, Reckoned] | None = None,
) -> Round:
    """The round at `now`. `newer` are assessments made since the view was, `skipped` what was passed over today.

    What stands still and was not told of yet comes first: a restart destroys what its dial and weights tell.
    `kept` is what was reckoned before, clock by clock; it is taken where nothing changed, and filled.
    """
    kept = {} if kept is None else kept
    day = now.astimezone(view.shop.zone).date()
    found = []
    for told in view.assessments:
        assessment = (newer or {}).get(told.tag, told)
        passed = assessment.tag in skipped
        known = kept.get(assessment.tag)
        if known is None or known.assessment is not assessment or (known.skipped, known.day) != (passed, day):
            if not on_round(assessment):
                continue
            known = kept[assessment.tag] = _reckoned(assessment, view, now, day, skipped=passed)
        found.append(known)
    by_slot = sorted(found, key=lambda each: each.order)
    gone_to = sorted(
        by_slot, key=lambda each: not (each.spot.state == "to-do" and each.assessment.going.hangs is not None)
    )
    seconds = sum(each.takes_s for each in found)
    return Round(tuple(e.spot for e in gone_to), tuple(e.spot for e in by_slot), -(-seconds // 60))


def _reckoned(assessment: Assessment, view: StandView, now: datetime, day: date, *, skipped: bool) -> Reckoned:
    history = assessment.estimates.history
    state = state_of(assessment, now, skipped=skipped)
    spot = Spot(assessment.tag, history.position, history.rail, state)
    order = (not spot.slot, natural(spot.slot), natural(spot.tag))
    takes = _takes_s(assessment, view, now) if state == "to-do" else 0
    return Reckoned(assessment, skipped, day, spot, order, takes)


def state_of(assessment: Assessment, now: datetime, *, skipped: bool = False) -> State:
    """Where the round is with one clock, from its facts of today."""
    history = assessment.estimates.history
    hangs = assessment.going.hangs
    if hangs is not None:
        return "stands" if skipped or hung_told(assessment, hangs) else "to-do"
    today = now.astimezone(history.zone).date()
    read = [v for v in history.readings if v.at.astimezone(history.zone).date() == today]
    if read and not wants_once_more(assessment, now):
        doubted = {s.id for s in assessment.estimates.time.suspects}
        return "suspect" if read[-1].id in doubted else "read"
    going = [v for v in history.works(Work.SEEN_GOING) if v.at.astimezone(history.zone).date() == today]
    if going and not read:
        return "going"
    return "skipped" if skipped else "to-do"


def wants_once_more(assessment: Assessment, now: datetime) -> bool:
    """Whether the nut or the beat was touched today and the clock not read since: the pendulum was held."""
    history = assessment.estimates.history
    today = now.astimezone(history.zone).date()
    touched = [v for v in history.works(Work.NUT, Work.BEAT_SET) if v.at.astimezone(history.zone).date() == today]
    read = [v for v in history.readings if touched and (v.at, v.order) > (touched[-1].at, touched[-1].order)]
    return bool(touched) and not read


def hung_row(assessment: Assessment, hangs: Stop) -> Visit | None:
    """The row in which the stop was found."""
    return next((v for v in assessment.estimates.history.visits if v.id == hangs.id), None)


def hung_told(assessment: Assessment, hangs: Stop) -> bool:
    """Whether the dial of a clock that hangs was told, and its weights where it has any."""
    row = hung_row(assessment, hangs)
    if row is None or row.row.dial is None:
        return False
    traits = assessment.estimates.history.traits
    return not traits.weights or any(row.row.fall_mm(train) is not None for train in traits.trains)


def _takes_s(assessment: Assessment, view: StandView, now: datetime) -> int:
    if assessment.going.hangs is not None:
        return _HUNG_S
    figures = len(weights_wanted(assessment, view.shop, now)) + len(swing_wanted(assessment, view.shop, now))
    return _SECONDS[way_of(assessment.estimates.history)] + _EACH_FIGURE_S * figures


def wanted_of(
    assessment: Assessment,
    view: StandView,
    now: datetime,
    *,
    others: tuple[Assessment, ...],
    surprised: bool = False,
    warm: bool = True,
) -> tuple[Wanted, ...]:
    """What is asked of a clock beside its dial, in order. `warm`: nobody has passed over the rail's temperature."""
    found = (
        *weights_wanted(assessment, view.shop, now, surprised=surprised),
        *swing_wanted(assessment, view.shop, now),
    )
    rail = assessment.estimates.history.rail
    if warm and rail and not warmth_told(others, rail, now):
        return (*found, TEMPERATURE)
    return found


def ran_out_likely(assessment: Assessment, now: datetime, falls: Mapping[str, float]) -> bool:
    """Whether a clock found hanging looks run out: a weight at its floor, or a run-down that was due by now.

    `falls` are the mm read of its weights, by train.
    """
    runs: tuple[TrainRun, ...] = assessment.estimates.power.trains
    going = next((run for run in runs if run.train.value == "going"), None)
    if going is None:
        return False
    if going.floor_mm is not None and "going" in falls:
        return falls["going"] >= going.floor_mm - _AT_FLOOR_MM
    return isinstance(going.runs_out, Moment) and going.runs_out.at <= now


_AT_FLOOR_MM = 20.0
"""A weight this near its floor has come down (common practice)."""
