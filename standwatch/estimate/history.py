"""From a clock's facts to its History: current facts in order, errors resolved, breaks named.

Everything below the faces stands on this one function, `history_of`. It decides what a row *shows* (an error from a
dial, against which civil time, with which doubt) and what a piece of work *breaks* (TRADE's table of works); it
judges nothing.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from statistics import median
from types import MappingProxyType
from zoneinfo import ZoneInfo

from standwatch.estimate.breaks import Break, back_from_owner, break_of
from standwatch.estimate.slots import bumps_of, rail_of, slots_of
from standwatch.estimate.together import NOTHING_SHARED, Common
from standwatch.horology.kinds import NONE_OF_ITS_OWN, OTHER_HAND_DOUBT_S, Traits, traits_of
from standwatch.model.facts import CheckIn, Clock, Handover, Waiver
from standwatch.model.records import Record, Stepped
from standwatch.model.units import HOUR_S, dial_seconds, wrap_dial
from standwatch.model.words import Chime, KindName, ReadBy, Work

__all__ = ["HUNG", "History", "Visit", "at_owner", "dial_error", "doubts_of", "history_of", "rail_of"]

NO_LIMITS: Mapping[KindName, Mapping[str, float]] = MappingProxyType({})
HUNG = frozenset({Work.STOPPED, Work.RAN_OUT})
"""Works whose row tells dial and falls as the clock hung: no reading of a going clock."""


@dataclass(frozen=True, slots=True)
class Visit:
    """One current check-in as it counts.

    `error_s` is the clock's error, + fast, resolved from a dial where need be; None where none was read or the clock
    hung. `doubt_s` is its standard doubt, everything included. `order` breaks ties of one time.
    """

    id: str
    at: datetime
    order: int
    row: CheckIn
    error_s: float | None
    doubt_s: float | None
    read_by: ReadBy
    work: Work | None = field(init=False, repr=False, compare=False)
    """The work done after reading, if any."""
    shows_going: bool = field(init=False, repr=False, compare=False)
    """A fact that shows the clock going: error, dial or blows, a chime heard, or seen going."""

    def __post_init__(self) -> None:
        work = self.row.work
        object.__setattr__(self, "work", work)
        object.__setattr__(self, "shows_going", self.error_s is not None or _shows_going(self.row))


def _shows_going(row: CheckIn) -> bool:
    """Whether a row without an error shows its clock going."""
    heard = row.blows is not None or row.chime in {Chime.IN_STEP, Chime.OUT_OF_STEP}
    return row.work is Work.SEEN_GOING or (heard and row.work not in HUNG)


@dataclass(frozen=True, slots=True)
class History:
    """One clock's current facts up to `now`, in order. `visits` are on the stand, `at_home` after delivery.

    `bumps` are the times its rail was bumped, by whichever clock's row; `temperatures` what the stand's thermometer
    showed (deg C), on whichever clock's row; `common` what all clocks of the stand share. `usual_read_by` and
    `usual_doubt_s` say how the next reading will be taken, as far as one can tell.
    """

    clock: Clock
    traits: Traits
    zone: ZoneInfo
    now: datetime
    position: str
    visits: tuple[Visit, ...]
    at_home: tuple[Visit, ...]
    breaks: tuple[Break, ...]
    bumps: tuple[datetime, ...]
    temperatures: tuple[tuple[datetime, float], ...]
    common: Common
    handovers: tuple[Handover, ...]
    waivers: tuple[Waiver, ...]
    usual_read_by: ReadBy
    usual_doubt_s: float

    readings: tuple[Visit, ...] = field(init=False, repr=False, compare=False)
    """The visits with a time error, in order."""
    worked: tuple[Visit, ...] = field(init=False, repr=False, compare=False)
    """The visits with work, in order."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "readings", tuple(visit for visit in self.visits if visit.error_s is not None))
        object.__setattr__(self, "worked", tuple(visit for visit in self.visits if visit.work is not None))

    def works(self, *kinds: Work) -> tuple[Visit, ...]:
        """The visits whose work is one of `kinds`, in order."""
        return tuple(visit for visit in self.worked if visit.work in kinds)

    @property
    def opened_at(self) -> datetime | None:
        """When the movement was last opened or oiled; every requirement counts only what came after."""
        opened = [b for b in self.breaks if b.opens_all]
        return opened[-1].at if opened else None

    @property
    def since_opened(self) -> tuple[Visit, ...]:
        """The visits after the last opening or oiling (all of them where there was none)."""
        opened = [(b.at, b.order) for b in self.breaks if b.opens_all]
        return tuple(v for v in self.visits if (v.at, v.order) > opened[-1]) if opened else self.visits

    @property
    def home_since(self) -> datetime | None:
        """When it was delivered; None while it is on the stand."""
        away = _away(self.handovers)
        return away[-1][0] if away and away[-1][1] is None else None

    @property
    def came_back(self) -> datetime | None:
        """When it last came back from its owner's."""
        return max((back for _, back in _away(self.handovers) if back), default=None)

    def went_home(self, start: datetime, end: datetime) -> datetime | None:
        """When it was first delivered between two times on the stand: who wound it in between is known to nobody."""
        return next((left for left, _ in _away(self.handovers) if start <= left < end), None)

    @property
    def rail(self) -> str:
        """The slot's letters."""
        return rail_of(self.position)

    @property
    def rails(self) -> frozenset[str]:
        """Every rail on which it ever hung."""
        return frozenset(rail_of(slot) for _, slot in slots_of(self.clock, [v.row for v in self.visits]))


def history_of(
    clock: Clock,
    rows: Iterable[Record[CheckIn]],
    *,
    now: datetime,
    zone: ZoneInfo,
    rail_bumps: Sequence[tuple[str, datetime]] = (),
    temperatures: Sequence[tuple[datetime, float]] = (),
    common: Common = NOTHING_SHARED,
    handovers: Iterable[Record[Handover]] = (),
    waivers: Iterable[Record[Waiver]] = (),
    limits: Mapping[KindName, Mapping[str, float]] = NO_LIMITS,
) -> History:
    """The History of `clock` from its current facts, of which those after `now` don't count.

    `rows` may come in any order; ties of one `at` go by the records' place. `rail_bumps` are (rail, time) of every
    `bumped` row of the stand, `temperatures` (time, deg C) of every row on the stand that tells one, in order. `limits`
    is what the shop asks of each kind, by the names of `horology.kinds.Limits`.
    """
    traits = traits_of(clock, limits.get(clock.kind, NONE_OF_ITS_OWN))
    records = sorted((r for r in rows if r.body.at <= now), key=lambda r: (r.body.at, r.place))
    steps = sorted((h for h in handovers if h.body.at <= now), key=lambda h: (h.body.at, h.place))
    away = _away([h.body for h in steps])
    stand = [r for r in records if not _within(r.body.at, away)] if away else records
    left = away[-1][0] if away and away[-1][1] is None else now  # nothing of the stand is the clock's from then on
    usual = _usual_read_by(traits, [r.body for r in stand])
    shown = _errors_shown(stand, zone)
    home = [r for r in records if _within(r.body.at, away)] if away else []
    doubts = doubts_of(traits, usual)
    visits = tuple([_visit(r, shown[r.id], traits, doubts) for r in stand])
    slots = slots_of(clock, [r.body for r in stand])
    return History(
        clock=clock,
        traits=traits,
        zone=zone,
        now=now,
        position=slots[-1][1],
        visits=visits,
        at_home=tuple(_visit(r, _home_error(r.body, zone), traits, doubts) for r in home),
        breaks=_breaks(visits, away, traits),
        bumps=bumps_of([r.body for r in stand], slots, rail_bumps, now),
        temperatures=_log_until(temperatures, left),
        common=common.until(left),
        handovers=tuple(h.body for h in steps),
        waivers=tuple(w.body for w in sorted(waivers, key=lambda w: (w.body.at, w.place)) if w.body.at <= now),
        usual_read_by=usual,
        usual_doubt_s=_usual_doubt(visits, traits, usual),
    )


def _log_until(temperatures: Sequence[tuple[datetime, float]], now: datetime) -> tuple[tuple[datetime, float], ...]:
    """The log up to `now`; the clocks of a stand share it."""
    if isinstance(temperatures, tuple) and (not temperatures or temperatures[-1][0] <= now):
        return temperatures
    return tuple(temperatures[: bisect_right(temperatures, now, key=lambda told: told[0])])


def at_owner(at: datetime, steps: Sequence[Stepped]) -> bool:
    """Whether a clock with these handovers, in order, was at its owner's at `at`."""
    return _within(at, _away(steps))


def _away(steps: Sequence[Stepped]) -> list[tuple[datetime, datetime | None]]:
    """The spans in which the clock was at its owner's: from delivered until reopened."""
    spans: list[tuple[datetime, datetime | None]] = []
    for step in steps:
        if step.what == "delivered":
            spans.append((step.at, None))
        elif step.what == "reopened" and spans and spans[-1][1] is None:
            spans[-1] = (spans[-1][0], step.at)
    return spans


def _within(at: datetime, spans: Sequence[tuple[datetime, datetime | None]]) -> bool:
    return any(start < at and (end is None or at <= end) for start, end in spans)


def _usual_read_by(traits: Traits, rows: Sequence[CheckIn]) -> ReadBy:
    """How this clock is mostly read; its kind's way where nothing was read or two ways are equal."""
    usual = traits.usual_read_by
    ways = Counter([row.read_by or usual for row in rows if row.error_s is not None or row.dial])
    if not ways:
        return traits.usual_read_by
    most = max(ways.values())
    return traits.usual_read_by if ways[traits.usual_read_by] == most else next(w for w, n in ways.items() if n == most)


def _errors_shown(records: Sequence[Record[CheckIn]], zone: ZoneInfo) -> dict[str, float | None]:
    """Each row's error in seconds, a dial taken against the civil time the clock is kept to.

    From a civil change until the clock's `summer-time` row, that is the old civil time. Whole hours shifted are
    taken off; how many they were is told by the next dial where nobody said.
    """
    errors: dict[str, float | None] = {}
    offset: timedelta | None = None
    shifted_h, untold = 0.0, False
    for record in records:
        row = record.body
        offset = _civil(row.at, zone) if offset is None else offset
        if row.work in HUNG:
            errors[record.id] = None
        elif row.dial is not None:
            error_s = dial_error(row.dial, row.at, offset, shifted_h)
            whole = round(error_s / HOUR_S) if untold else 0
            shifted_h, untold = shifted_h + whole, False
            errors[record.id] = error_s - whole * HOUR_S
        else:
            errors[record.id] = row.error_s
        if row.work is Work.SUMMER_TIME:
            offset = _civil(row.at, zone) if row.amount is None else offset + timedelta(seconds=row.amount)
        elif row.work is Work.HOURS_SHIFTED:
            shifted_h, untold = shifted_h + (row.amount or 0.0), untold or row.amount is None
    return errors


def _civil(at: datetime, zone: ZoneInfo) -> timedelta:
    """Civil time less UTC."""
    return at.astimezone(zone).utcoffset() or timedelta()


def dial_error(dial: str, at: datetime, offset: timedelta, shifted_h: float = 0.0) -> float:
    """The error in seconds of a dial read at `at` against civil time `offset` from UTC, + fast, within six hours."""
    civil = at.replace(tzinfo=None) + offset
    midnight = civil.replace(hour=0, minute=0, second=0, microsecond=0)
    seconds = (civil - midnight).total_seconds()
    return wrap_dial(dial_seconds(dial) - seconds - shifted_h * HOUR_S)


def _home_error(row: CheckIn, zone: ZoneInfo) -> float | None:
    """At home the clock is set to the owner's civil time."""
    if row.work in HUNG:
        return None
    if row.dial is None:
        return row.error_s
    return dial_error(row.dial, row.at, _civil(row.at, zone))


def doubts_of(traits: Traits, usual: ReadBy) -> dict[ReadBy, float]:
    """The standard doubt of a reading by how it was taken; a clock's two hands disagree."""
    return {
        how: math.hypot(traits.reading_doubt_s(how), OTHER_HAND_DOUBT_S if how is not usual else 0.0) for how in ReadBy
    }


def _visit(record: Record[CheckIn], error_s: float | None, traits: Traits, doubts: dict[ReadBy, float]) -> Visit:
    row = record.body
    how = row.read_by or traits.usual_read_by
    doubt: float | None = None
    if error_s is not None:
        doubt = row.error_u_s if row.error_u_s is not None else doubts[how]
    return Visit(record.id, row.at, record.place, row, error_s, doubt, how)


def _usual_doubt(visits: Sequence[Visit], traits: Traits, usual: ReadBy) -> float:
    """The next reading's standard doubt: the clock's usual way, or the doubts told with its latest readings."""
    told = [v.row.error_u_s for v in visits if v.error_s is not None][-9:]
    known = [u for u in told if u is not None]
    if known and (traits.reference or len(known) == len(told)):
        return median(known)
    return traits.reading_doubt_s(usual)


def _breaks(
    visits: Sequence[Visit], away: Sequence[tuple[datetime, datetime | None]], traits: Traits
) -> tuple[Break, ...]:
    """The breaks in order; a clock that comes back from its owner keeps its rate and begins a new error."""
    breaks = [b for v in visits if v.work is not None and (b := break_of(v.row, v.order, traits)) is not None]
    breaks += [back_from_owner(back) for _, back in away if back]
    return tuple(sorted(breaks, key=lambda b: (b.at, b.order)))
