"""Random ledgers for property tests: any kind, read and worked on in any way a shop could, with what can go wrong.

A `Ledger` is a clock's rows in order of time; it can be moved in time, mirrored, cut short and shuffled, and makes the
History it tells. `any_ledger` is wild: every work told or untold, blunders, bumps, gaps, two readings within a minute,
told doubts, other ways of reading, temperatures, an absence at the owner's. `kept_ledger` is a clock as it is kept: one
reading a round, scatter within its kind's noise, no work but what is asked for.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo
from typing import cast
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from standwatch.estimate.history import History, history_of
from standwatch.estimate.together import Common, Heating, ReferenceJump
from standwatch.horology.kinds import Traits, traits_of
from standwatch.model.facts import CheckIn, Clock, Handover
from standwatch.model.records import Record, build
from standwatch.model.words import KindName, Work

START = datetime(2026, 1, 5, 8, tzinfo=UTC)
DAY_S = 86400
UTC_ZONE = ZoneInfo("UTC")
POSITION = "B2"
SIX_HOURS_S = 21600.0

Cells = dict[str, object]
_ODD = frozenset({Work.HANDS_SET, Work.NUT})
"""Works whose amount has the error's or the rate's sign."""


@dataclass(frozen=True, slots=True)
class Row:
    """One ledger row: seconds after the ledger's start, and its cells."""

    second: int
    cells: Cells


@dataclass(frozen=True, slots=True)
class Ledger:
    """One clock's rows in order of time; ties keep their order. `idle_s` after the last row it is asked.

    `away` is from when until when (seconds after the start) it was at its owner's; `jump_s` a step of the reference,
    `warmer_c` a warmth that all clocks share, both from the middle row on.
    """

    kind: KindName
    rows: tuple[Row, ...]
    columns: tuple[tuple[str, object], ...] = ()
    idle_s: int = 0
    start: datetime = START
    tag: str = "T1"
    away: tuple[int, int] | None = None
    jump_s: float = 0.0
    warmer_c: float = 0.0

    @property
    def clock(self) -> Clock:
        """The clock's own facts."""
        return build(Clock, {"tag": self.tag, "kind": self.kind, "position": POSITION, **dict(self.columns)})

    @property
    def traits(self) -> Traits:
        """What holds for the clock."""
        return traits_of(self.clock)

    @property
    def now(self) -> datetime:
        """When it is asked."""
        return self.at(self.rows[-1].second + self.idle_s if self.rows else self.idle_s)

    def at(self, second: int) -> datetime:
        """The time of a row."""
        return self.start + timedelta(seconds=second)

    def later(self, by: timedelta) -> Ledger:
        """Everything the same, `by` later."""
        return replace(self, start=self.start + by)

    def off_the_edges(self) -> Ledger:
        """Some seconds later, each time by more: no two facts lie exactly an hour or a day apart.

        Where a rule asks for an hour at least, an hour exactly may be one or not by the rounding of its date.
        """
        times = sorted({row.second for row in self.rows})
        moved = {second: second + 17 * place + 3 * place**2 for place, second in enumerate(times)}
        rows = tuple(Row(moved[row.second], row.cells) for row in self.rows)
        return replace(self, rows=rows, idle_s=self.idle_s + 7)

    def upto(self, count: int) -> Ledger:
        """Its first `count` rows, asked right after the last of them."""
        return replace(self, rows=self.rows[:count], idle_s=0)

    def mirrored(self) -> Ledger:
        """Fast for slow, gaining for losing: errors, hands-sets and turns change their sign."""
        return replace(self, rows=tuple(Row(row.second, _mirrored(row.cells)) for row in self.rows))

    def history(self, *, order: Sequence[int] | None = None, zone: tzinfo = UTC_ZONE) -> History:
        """The History it tells; its rows handed over in `order`, if one is given."""
        records = [self._record(place, row) for place, row in enumerate(self.rows)]
        bumps = [("B", r.body.at) for r in records if r.body.work is Work.BUMPED]
        warmth = [(r.body.at, c) for r in records if (c := r.body.temperature_c) is not None]
        given_over = records if order is None else [records[place] for place in order]
        return history_of(
            self.clock,
            given_over,
            now=self.now,
            zone=cast("ZoneInfo", zone),
            rail_bumps=bumps,
            temperatures=warmth,
            common=self._common(),
            handovers=self._handovers(),
        )

    def _record(self, place: int, row: Row) -> Record[CheckIn]:
        body = build(CheckIn, {"at": self.at(row.second), "tag": self.tag, **row.cells})
        return Record(f"r{place}", body, place, place, None, body.at)

    def _common(self) -> Common:
        middle = self.at(self.rows[len(self.rows) // 2].second if self.rows else 0)
        jumps = (ReferenceJump(middle, self.jump_s, 0.3, 6),) if self.jump_s else ()
        heating = Heating(middle, 0.5 * self.warmer_c, self.warmer_c, 0.7, 6) if self.warmer_c else None
        return Common(jumps, heating)

    def _handovers(self) -> list[Record[Handover]]:
        if self.away is None:
            return []
        steps = zip(("delivered", "reopened"), self.away, strict=True)
        bodies = [build(Handover, {"at": self.at(second), "tag": self.tag, "what": what}) for what, second in steps]
        return [Record(f"h{n}", body, 1000 + n, 1000 + n, None, body.at) for n, body in enumerate(bodies)]


def _mirrored(cells: Cells) -> Cells:
    turned = dict(cells)
    if isinstance(error := cells.get("error_s"), int | float):
        turned["error_s"] = -error
    if cells.get("work") in _ODD and isinstance(amount := cells.get("amount"), int | float):
        turned["amount"] = -amount
    return turned


# --- wild -----------------------------------------------------------------------------------------------------------

_GAPS_S = [DAY_S] * 30 + [82800, 90000, 43200, 3600, 59, 30, 1, 0, 2 * DAY_S, 3 * DAY_S, 8 * DAY_S, 45 * DAY_S]
_WORKS: list[Cells] = [
    {"work": "wound"},
    {"work": "wound"},
    {"work": "wound", "amount": 7},
    {"work": "wound", "train": "strike"},
    {"work": "hands-set", "amount": -35},
    {"work": "hands-set", "amount": 120},
    {"work": "hands-set"},
    {"work": "hours-shifted", "amount": 3},
    {"work": "summer-time", "amount": 3600},
    {"work": "held", "amount": 60},
    {"work": "held"},
    {"work": "seen-going"},
    {"work": "nut", "amount": 0.5},
    {"work": "nut", "amount": -2},
    {"work": "nut"},
    {"work": "beat-set"},
    {"work": "levelled"},
    {"work": "moved"},
    {"work": "moved", "note": "C1"},
    {"work": "bumped"},
    {"work": "cased"},
    {"work": "stopped"},
    {"work": "stopped", "explained": "yes"},
    {"work": "ran-out"},
    {"work": "ran-out", "train": "strike"},
    {"work": "restarted"},
    {"work": "opened"},
    {"work": "oiled"},
    {"work": "oil-checked", "amount": 0, "note": "K"},
    {"work": "mis-set", "amount": 2},
    {"work": "tune", "amount": 1},
    {"work": "chime-set"},
    {"work": "strike-set"},
    {"work": "safety-checked", "note": "K"},
]
_SIGNED_WORKS = [cells for cells in _WORKS if cells["work"] != "held" or "amount" not in cells]
_DOUBTS = [1e-6, 0.1, 3, 600]
_BLUNDERS_S = [60, -60, 120, -600, 3600, -21600]
_ROOM_C = [12.0, 18.5, 20.0, 24.5, -3.0]
_UNREAD: Cells = {"unread": True}


@st.composite
def columns(draw: st.DrawFn, kind: KindName) -> tuple[tuple[str, object], ...]:
    """Columns that the estimate of error and rate looks at."""
    told: Cells = {}
    if draw(st.integers(0, 2)) == 0:
        told["rod"] = draw(st.sampled_from(["steel", "wood", "brass", "invar", "who knows"]))
        told["balance"] = draw(st.sampled_from(["plain", "cut", "alloy"]))
        told["maintaining"] = draw(st.sampled_from(["yes", "no"]))
        told["nut_pitch_mm"] = draw(st.sampled_from([0.5, 0.8]))
        told["beats_per_hour"] = draw(st.sampled_from([3600, 4650, 8400]))
    if kind is KindName.REFERENCE and draw(st.booleans()):
        told["mean_rate_limit"] = 2
    return tuple(told.items())


@st.composite
def any_ledger(
    draw: st.DrawFn,
    kinds: Sequence[KindName] = tuple(KindName),
    *,
    most: int = 14,
    least: int = 0,
    signed: bool = False,
    shared: bool = True,
) -> Ledger:
    """Whatever could have been written down of a clock of one of `kinds`.

    `signed` leaves out what is not the same fast and slow: a loss at winding, a hold, temperatures, and with `shared`
    False what all clocks of the stand share.
    """
    kind = draw(st.sampled_from(list(kinds)))
    told = draw(columns(kind))
    if signed:
        told = (*(pair for pair in told if pair[0] != "maintaining"), ("maintaining", "yes"))
    count = draw(st.integers(least, most))
    gaps = draw(st.lists(st.sampled_from(_GAPS_S), min_size=count, max_size=count))
    happened = draw(st.dictionaries(st.integers(0, most), _events(signed=signed), max_size=6))
    errors = draw(_errors(kind, gaps))
    rows: list[Row] = []
    second = 0
    for number, (gap, error) in enumerate(zip(gaps, errors, strict=True)):
        second += gap
        rows += _written(second, error, happened.get(number, {}))
    away = draw(st.sampled_from([None, None, None, (second // 3 + 1, 2 * second // 3 + 1)]))
    return Ledger(
        kind,
        tuple(rows),
        told,
        idle_s=draw(st.sampled_from([0, 60, 3600, DAY_S, 9 * DAY_S])),
        away=away if second > 10 else None,
        jump_s=draw(st.sampled_from([0.0] * 4 + [7.0, -30.0])) if shared else 0.0,
        warmer_c=draw(st.sampled_from([0.0] * 4 + [4.0])) if shared else 0.0,
    )


def _events(*, signed: bool) -> st.SearchStrategy[Cells]:
    """What is out of the ordinary at one visit, as cells; "off" is by how much it was misread, "apart" says that its
    work is in a row of its own.
    """
    works = st.builds(
        lambda work, apart: {**work, "apart": apart},
        st.sampled_from(_SIGNED_WORKS if signed else _WORKS),
        st.booleans(),
    )
    blunders = st.sampled_from([{"off": off} for off in _BLUNDERS_S])
    ways = st.sampled_from([{"read_by": way} for way in ("minute-hand", "first-blow", "estimate", "seconds-hand")])
    doubts = st.sampled_from([{"error_u_s": doubt} for doubt in _DOUBTS])
    room = st.sampled_from([{"temperature_c": warm} for warm in _ROOM_C])
    events: st.SearchStrategy[Cells] = st.one_of(works, works, blunders, ways, doubts, st.just(_UNREAD))
    return events if signed else st.one_of(events, room)


@st.composite
def _errors(draw: st.DrawFn, kind: KindName, gaps: Sequence[int]) -> list[float]:
    """An error walking on at about one rate, with a scatter from a tenth of the kind's noise to ten times it."""
    traits = traits_of(build(Clock, {"tag": "T1", "kind": kind}))
    rate = draw(st.floats(-4, 4)) * (traits.mean_rate_limit or 5.0)
    noise = math.hypot(traits.q1_s, traits.reading_doubt_s(traits.usual_read_by))
    scatter = draw(st.sampled_from([0.0, 0.1, 1.0, 1.0, 10.0])) * noise
    offs = draw(st.lists(st.integers(-20, 20), min_size=len(gaps), max_size=len(gaps)))
    error, errors = float(draw(st.integers(-300, 300))), []
    for gap, off in zip(gaps, offs, strict=True):
        error += rate * gap / DAY_S
        errors.append(error + scatter * off / 10)
    return errors


def _written(second: int, error: float, event: Cells) -> list[Row]:
    """The visit's row or, where its work goes in a row of its own, two of one time."""
    told = {name: value for name, value in event.items() if name not in {"off", "apart", "unread"}}
    read: Cells = {}
    if not event.get("unread"):
        shown = error + float(str(event.get("off", 0.0)))
        read["error_s"] = round(max(-SIX_HOURS_S, min(SIX_HOURS_S, shown)), 2)
    if event.get("apart"):
        return [Row(second, read), Row(second, told)]
    return [Row(second, {**read, **told})]


# --- as it is kept ----------------------------------------------------------------------------------------------------


@st.composite
def kept_ledger(
    draw: st.DrawFn,
    kinds: Sequence[KindName] = tuple(KindName),
    *,
    least: int = 3,
    most: int = 14,
    calm: float = 1.0,
    gaps: bool = True,
) -> Ledger:
    """A clock read once a round, its scatter `calm` times its kind's noise and reading doubt at most; never touched.

    The mean of a daily reading's scatter is nought, and no reading is off by more than the kind allows.
    """
    kind = draw(st.sampled_from(list(kinds)))
    ledger = Ledger(kind, ())
    traits = ledger.traits
    rate = draw(st.floats(-2, 2)) * (traits.mean_rate_limit or 5.0)
    count = draw(st.integers(least, most))
    wanders = math.hypot(traits.q1_s, traits.reading_doubt_s(traits.usual_read_by)) * calm
    offs = draw(st.lists(st.integers(-10, 10), min_size=count, max_size=count))
    waits = draw(st.lists(st.sampled_from([1, 1, 1, 1, 2, 3] if gaps else [1]), min_size=count, max_size=count))
    minutes = draw(st.lists(st.integers(-20, 20), min_size=count, max_size=count))
    rows = []
    day = 0
    for off, wait, late in zip(offs, waits, minutes, strict=True):
        second = day * DAY_S + 60 * late
        rows.append(Row(second, {"error_s": round(12.0 + rate * second / DAY_S + wanders * off / 10, 3)}))
        day += wait
    return replace(ledger, rows=tuple(rows))
