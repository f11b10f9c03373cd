"""A stop: what to read of a clock that hangs, in the order in which it is lost; when it stopped; where stops gather."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from standwatch.estimate.clusters import Cluster
from standwatch.estimate.going import Stop
from standwatch.estimate.history import History
from standwatch.horology.limits import check_possible
from standwatch.judge.assessment import Assessment
from standwatch.judge.stopping import ran_down
from standwatch.model.answers import Quantity
from standwatch.model.errors import BadValue
from standwatch.model.facts import CheckIn
from standwatch.model.records import build
from standwatch.model.words import Drive, Train, Work
from standwatch.service.round.asking import HUNG_DIAL, WHICH, Wanted, cells_for, read_words, weights_hung

TICKS = (
    "nothing moves",
    "swings when pushed, then dies",
    "swings on, the escape wheel stands",
    "strike or chime stands in its warning",
    "hands touch",
    "a weight or its line touches",
)
"""Where a train is caught, a figure each (common practice); other words do as well."""
BOTTOM_MM = 20.0
"""A weight so near its floor has run out, as far as a scale tells."""


@dataclass(frozen=True, slots=True)
class Question:
    """One thing to read of a clock that hangs: `name` for the list, `ask` with what may be typed."""

    kind: Literal["dial", "weight", "moon", "which", "tick"]
    name: str
    ask: str
    wanted: Wanted | None = None

    def complete(self, typed: str) -> bool:
        """Whether nothing more can follow what is typed."""
        if self.kind == "tick":
            return typed.isdigit() and 1 <= int(typed) <= len(TICKS)
        return self.wanted is not None and self.wanted.complete(typed)


_DIAL = Question("dial", "dial", "the dial as it hangs, in figures: 347 is 3:47", HUNG_DIAL)
_MOON = Question("moon", "moon", "the moon's age as its dial shows it, in days")
_WHICH = Question("which", "which", "1 stopped, with power left   2 ran out", WHICH)
_TICK = Question("tick", "caught", "   ".join(f"{n} {said}" for n, said in enumerate(TICKS, start=1)))


def questions_of(history: History) -> tuple[Question, ...]:
    """Dial, weights left to right, moon, whether it ran out, and where it was caught: before anything is touched."""
    weights = [Question("weight", each.name, each.ask, each) for each in weights_hung(history)]
    moon = [_MOON] if history.traits.moon else []
    return (_DIAL, *weights, *moon, _WHICH, _TICK)


def left_to_ask(history: History, row: CheckIn | None) -> tuple[Question, ...]:
    """Of a stop that is recorded already (`row`), what it doesn't tell; all of it where nothing is recorded."""
    if row is None:
        return questions_of(history)
    return tuple(each for each in questions_of(history) if not _told(each, row))


def _told(question: Question, row: CheckIn) -> bool:
    match question.kind:
        case "dial":
            return row.dial is not None
        case "weight":
            return question.wanted is not None and row.fall_mm(question.wanted.train or Train.GOING) is not None
        case "moon":
            return row.moon_age_d is not None
        case "tick":
            return row.note is not None
        case _:
            return True


def usual_answer(question: Question, history: History, told: Mapping[str, object]) -> str:
    """The answer that what was told suggests, as it is typed; empty where nothing does.

    A going weight at its floor has run out; one well above it has not.
    """
    fall = told.get("going_mm")
    floor = history.traits.usable_mm.get(Train.GOING)
    if question.kind != "which" or not isinstance(fall, int | float) or floor is None:
        return ""
    return "2" if fall >= floor - BOTTOM_MM else "1"


def answer(question: Question, typed: str, history: History) -> tuple[dict[str, object], str]:
    """What was typed as the ledger's cells and in words; raises BadValue with the mend where it can't be."""
    cells, said = _answer(question, typed, history)
    row = build(CheckIn, {"work": Work.STOPPED, **cells, "tag": history.clock.tag, "at": history.now})
    check_possible(row, history.clock, now=history.now)
    return cells, said


def _answer(question: Question, typed: str, history: History) -> tuple[dict[str, object], str]:
    text = typed.strip()
    if question.kind == "tick":
        said = TICKS[int(text) - 1] if text.isdigit() and 1 <= int(text) <= len(TICKS) else text
        return {"note": said}, said
    if question.kind == "moon":
        try:
            age = float(text)
        except ValueError:
            raise BadValue(f"{text!r} is no age; give days since new moon, 0 to 30", column="moon_age_d") from None
        return {"moon_age_d": age}, f"{age:g} d"
    if question.kind == "which" and text not in {"1", "2"}:
        raise BadValue("1 stopped or 2 ran out", column="work")
    if question.wanted is None:
        raise BadValue(f"{question.name} is not asked")
    plain = text.replace(":", "").replace(".", "") if question.kind == "dial" else text
    return cells_for(question.wanted, plain, history), read_words(question.wanted, plain, history)


@dataclass(frozen=True, slots=True)
class StopShown:
    """One stop as it is listed: what was read of it, and the times that leaves, likeliest first.

    `said` is the note of its row. `seen` is when it was last shown going before.
    """

    id: str
    train: Train
    found_at: datetime
    dial: str | None
    falls: tuple[tuple[Train, float], ...]
    said: str
    ran_out: bool
    in_time: bool
    explained: bool
    hangs: bool
    seen: datetime | None
    candidates: tuple[tuple[datetime, float], ...]

    @property
    def wanting(self) -> bool:
        """Nobody has explained it, and it is no run-out in time."""
        return not (self.in_time or self.explained)


def stops_of(told: Assessment) -> tuple[StopShown, ...]:
    """Every stop since the clock was opened, latest first; what hangs now among them."""
    history, going = told.estimates.history, told.going
    known = {stop.id: stop for stop in (*going.stops, *going.side_stops)}
    if going.hangs is not None:
        known[going.hangs.id] = going.hangs
    hanging = None if going.hangs is None else going.hangs.id
    shown = [_shown(history, stop, hangs=stop.id == hanging) for stop in known.values()]
    return tuple(sorted(shown, key=lambda stop: stop.found_at, reverse=True))


def _shown(history: History, stop: Stop, *, hangs: bool) -> StopShown:
    row = row_of(history, stop.id)
    falls = [] if row is None else [(t, mm) for t in history.traits.trains if (mm := row.fall_mm(t)) is not None]
    return StopShown(
        id=stop.id,
        train=stop.train,
        found_at=stop.found_at,
        dial=None if row is None else row.dial,
        falls=tuple(falls),
        said="" if row is None else row.note or "",
        ran_out=ran_down(history, stop),
        in_time=stop.in_time,
        explained=stop.explained,
        hangs=hangs,
        seen=stop.shown_until if not stop.candidates else _seen_before(history, stop.found_at),
        candidates=stop.candidates,
    )


def _seen_before(history: History, at: datetime) -> datetime | None:
    seen = [v.at for v in history.visits if v.at < at and (v.shows_going or v.work is Work.RESTARTED)]
    return seen[-1] if seen else None


def row_of(history: History, fact: str) -> CheckIn | None:
    """The check-in with the id `fact`; None where it counts no more."""
    return next((visit.row for visit in history.visits if visit.id == fact), None)


def what_would_tell(stop: StopShown, history: History) -> str:
    """What would narrow the times down, in words; empty where they are as narrow as they get."""
    if stop.train is not Train.GOING or (stop.candidates and stop.candidates[0][1] > 0.9):
        return ""
    if stop.dial is None:
        return "its dial would tell the time to twelve hours" if stop.hangs else ""
    if not stop.candidates:
        return "no time since it was last seen going fits this dial: were its hands moved?"
    if history.traits.weights and Train.GOING not in dict(stop.falls) and stop.hangs:
        return "the height of the going weight would tell which"
    if history.traits.drive is Drive.SPRING:
        return "a spring doesn't tell which: all are as likely"
    return ""


@dataclass(frozen=True, slots=True)
class Where:
    """Where one stop lies: seconds past twelve on its dial, and its weight in mm (of a spring hours since winding)."""

    stop: StopShown
    dial_s: float | None
    height: float | None


@dataclass(frozen=True, slots=True)
class Gathering:
    """Where the stops of the going train lie, latest first, where they gather, and what that speaks for.

    `top` is how far down the heights go: mm to the floor, of a spring hours of its rated run.
    """

    places: tuple[Where, ...]
    clusters: tuple[Cluster, ...]
    leads: tuple[str, ...]
    top: float
    weights: bool
    bob: float | None


def gathering_of(told: Assessment) -> Gathering:
    """Where the stops of a clock lie and gather. Throws dice for it where there are three or more: not in a frame."""
    from standwatch.estimate.gathered import gathered_of  # noqa: PLC0415  # numpy, which a list of stops needs not
    from standwatch.estimate.gone import gone_of, places_of  # noqa: PLC0415  # the same

    history, power = told.estimates.history, told.estimates.power
    shown = {stop.id: stop for stop in stops_of(told)}
    stops = [stop for stop in told.going.stops if not stop.in_time and stop.id in shown]
    if told.going.hangs is not None and told.going.hangs.id not in {stop.id for stop in stops}:
        stops += [told.going.hangs] if not told.going.hangs.in_time else []
    speeds = [r.speed_mm_per_day for r in power.trains if r.train is Train.GOING]
    learned = [speed.estimate for speed in speeds if isinstance(speed, Quantity)]
    gone = gone_of(history, told.going, learned[0] if learned else history.traits.fall_mm_per_day) if stops else None
    places = () if gone is None else places_of(history, stops, gone)
    where = [Where(shown[s.id], p.dial_s, p.height) for s, p in zip(stops, places, strict=False)]
    if gone is None:
        where = [Where(shown[stop.id], None, None) for stop in stops]
    weights = history.traits.weights
    return Gathering(
        places=tuple(reversed(where)),
        clusters=gathered_of(history, power, lambda: told.going).clusters,
        leads=tuple(lead.text for lead in told.estimates.leads if lead.code.startswith("stops-")),
        top=history.traits.usable_mm.get(Train.GOING, 0.0) if weights else history.traits.duration_h,
        weights=weights,
        bob=history.clock.bob_below_top_mm if weights else None,
    )


def with_reason(said: str, reason: str) -> str:
    """The note of a stop once it is explained: what was seen, then why."""
    return "; ".join(part for part in (said.strip(), reason.strip()) if part)


def first_wanting(stops: Iterable[StopShown]) -> int:
    """Which of `stops` to look at first: the latest that nobody has explained, else the latest."""
    return next((n for n, stop in enumerate(stops) if stop.wanting), 0)


def may_restart(told: Assessment, asked: Collection[Question]) -> str:
    """Why it should not be set going yet, in words; empty where nothing is lost by it."""
    lost = [question.name for question in asked if question.kind in {"dial", "weight", "moon"}]
    if told.going.hangs is None:
        return "it goes"
    return f"not read yet, and lost once it goes: {', '.join(lost)}" if lost else ""
