"""What a clock is read for beside its dial this morning: only what would change something. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from standwatch.estimate.answers import TrainRun
from standwatch.estimate.history import History, Visit
from standwatch.estimate.winding import wind_hours
from standwatch.horology.hanging import one_weight, weight_sides
from standwatch.horology.kinds import Oscillator
from standwatch.horology.limits import FALL_MOST, PENDULUM_MOST_DEG, check_possible
from standwatch.judge.assessment import Assessment
from standwatch.judge.case import Case
from standwatch.judge.settling import settling_until
from standwatch.judge.swing import is_late, wants_swing
from standwatch.model.answers import Moment, NotYetKnown
from standwatch.model.errors import BadValue
from standwatch.model.facts import CheckIn
from standwatch.model.records import build
from standwatch.model.words import Outcome, Requirement, Train, Work
from standwatch.service.readings import fallen_mm, scale_reads, scale_zero, swing_deg
from standwatch.service.round.crossing import dial_complete, dial_of_digits
from standwatch.service.shop import Shop

What = Literal[
    "weight", "swing-mm", "swing", "overswing-left", "overswing-right", "temperature", "dial", "which", "when"
]

TWICE_A_WEEK = 3
"""Civil days after which a weight is read again (common practice: twice a week)."""
_DAY = timedelta(days=1)
_WIDEST = 3.0
"""A swing is no wider than so many times what is usual for its kind, or was read of the clock."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """One figure that is asked: its short name, the question in words, its unit, and why it is asked.

    `most` is the greatest figure that can be; where `whole`, a figure is taken as soon as no further could follow.
    """

    what: What
    name: str
    ask: str
    unit: str
    because: str
    most: float
    whole: bool
    train: Train | None = None

    def complete(self, typed: str) -> bool:
        """Whether `typed` is a whole figure to which no further could be added."""
        if self.what == "dial":
            return dial_complete(typed)
        if self.what == "which":
            return typed in {"1", "2"}
        return self.whole and typed.isdigit() and int(typed) > 0 and int(typed) * 10 > self.most


def weights_wanted(assessment: Assessment, shop: Shop, now: datetime, *, surprised: bool = False) -> tuple[Wanted, ...]:
    """The weights to read, left to right, where that would change something: see `_why_weight`."""
    history = assessment.estimates.history
    if not history.traits.weights:
        return ()
    runs = {run.train: run for run in assessment.estimates.power.trains}
    found = []
    for side, train in weight_sides(history.traits.trains, history.clock.weight_order).items():
        if one_weight(history.traits) and train is not Train.GOING:
            continue
        why = _why_weight(history, runs.get(train), train, shop, now, surprised=surprised)
        if why:
            found.append(weight_of(history, side, train, why))
    return tuple(found)


def weights_hung(history: History) -> tuple[Wanted, ...]:
    """Every weight of a clock that hangs, left to right."""
    if not history.traits.weights:
        return ()
    sides = weight_sides(history.traits.trains, history.clock.weight_order)
    one = one_weight(history.traits)
    return tuple(weight_of(history, s, t, "") for s, t in sides.items() if not one or t is Train.GOING)


def weight_of(history: History, side: str, train: Train, why: str) -> Wanted:
    """One weight as it is asked, on the slot's scale where there is one."""
    clock, lowest = history.clock, FALL_MOST * history.traits.possible_mm[train]
    on_scale = scale_zero(clock, train) is not None
    if one_weight(history.traits):
        name, whose = "weight", "the weight"
    else:
        name, whose = f"{side}, {train}", f"{train}, {side}"
    ask = f"{whose}: on the slot's scale" if on_scale else f"{whose}: fallen from fully wound"
    most = max(scale_reads(clock, train, 0.0), scale_reads(clock, train, lowest))
    return Wanted("weight", name, ask, "mm", why, most, True, train)


def _why_weight(
    history: History, run: TrainRun | None, train: Train, shop: Shop, now: datetime, *, surprised: bool
) -> str:
    """Why a weight is worth reading; empty where it isn't. One read today is not read again."""
    zone = history.zone
    today = now.astimezone(zone).date()
    read = [v.at.astimezone(zone).date() for v in history.since_opened if v.row.fall_mm(train) is not None]
    if read and read[-1] == today:
        return ""
    if surprised:
        return "after a surprise"
    if run is None or isinstance(run.fall_mm, NotYetKnown) or not read:
        return "where it hangs is not known"
    following = shop.rounds.next_after(now)
    closed = (following.astimezone(zone).date() - today).days - 1
    if closed > 0 and not history.traits.daily:
        weekend = any((today + timedelta(days=n + 1)).weekday() >= 5 for n in range(closed))
        return "the weekend is near" if weekend else "closed days are near"
    if isinstance(run.runs_out, Moment) and run.runs_out.low < following < run.runs_out.high:
        return "it may run out before the next round"
    if (today - read[-1]).days >= TWICE_A_WEEK:
        return f"last read {read[-1]:%a}" if (today - read[-1]).days < 7 else "not read this week"
    return ""


def swing_wanted(assessment: Assessment, shop: Shop, now: datetime) -> tuple[Wanted, ...]:
    """The swing, where its reading is due: too few so far, or none late in a wind, and the clock has settled.

    Without its unlocking point a pendulum's swing can't be judged.
    """
    history = assessment.estimates.history
    case = Case(assessment.estimates, assessment.going, shop.rounds)
    unjudged = history.traits.oscillator == "pendulum" and history.clock.unlock_deg is None
    if history.traits.reference or unjudged or settling_until(case) is not None:
        return ()
    verdict = assessment.verdict(Requirement.AMPLITUDE)
    if verdict.outcome is not Outcome.NOT_YET_KNOWN or not wants_swing(case) or _swung_today(history, now):
        return ()
    late = is_late(case, wind_hours(history, now)) and history.traits.oscillator != "torsion"
    why = "late in its wind" if late else "three readings are wanted"
    return swing_of(assessment, why)


def _swung_today(history: History, now: datetime) -> bool:
    today = now.astimezone(history.zone).date()
    return any(v.at.astimezone(history.zone).date() == today and _swing_in(v) for v in reversed(history.visits))


def _swing_in(visit: Visit) -> bool:
    return visit.row.amplitude_deg is not None or visit.row.overswing_right_deg is not None


def swing_of(assessment: Assessment, why: str) -> tuple[Wanted, ...]:
    """The swing as it is asked of this clock: mm each side on its scale, degrees, or the overswing of each side."""
    history = assessment.estimates.history
    oscillator: Oscillator = history.traits.oscillator
    if oscillator == "torsion":
        return tuple(
            Wanted(what, f"overswing {side}", f"overswing {side}", "°", why, 180.0, False) for side, what in _SIDES
        )
    if oscillator == "balance":
        return (Wanted("swing", "swing", "swing of the balance", "°", why, 360.0, True),)
    scale = history.clock.swing_scale_mm
    if scale is None:
        return (Wanted("swing", "swing", "half-swing of the pendulum", "°", why, PENDULUM_MOST_DEG, False),)
    seen = max((r.degrees for r in assessment.estimates.swing.readings), default=0.0)
    widest = min(PENDULUM_MOST_DEG, _WIDEST * max(seen, history.traits.kind.half_swing_deg))
    most = scale * math.tan(math.radians(widest))
    return (Wanted("swing-mm", "swing", "swing: mm each side on its scale", "mm", why, most, True),)


_SIDES: tuple[tuple[str, What], ...] = (("left", "overswing-left"), ("right", "overswing-right"))

HUNG_DIAL = Wanted("dial", "dial", "the dial as it hangs, hour and minute", "", "", 0, True)
"""The dial of a clock that stands still: 3:47 in figures is 347."""
WHICH = Wanted("which", "how it ended", "1 stopped   2 ran out", "", "", 2, True)
WHEN = Wanted("when", "restarted", "when it was set going, hour and minute", "", "", 0, False)
"""When somebody set it going: figures of civil time, 750 is 7:50; nothing: nobody knows."""

TEMPERATURE = Wanted("temperature", "room", "temperature at this rail", "°C", "once a rail", 50.0, False)


def warmth_told(assessments: tuple[Assessment, ...], rail: str, now: datetime) -> bool:
    """Whether somebody has told the temperature of `rail` today."""
    for told in assessments:
        history = told.estimates.history
        if history.rail == rail:
            today = now.astimezone(history.zone).date()
            days = [v.at.astimezone(history.zone).date() for v in history.visits if v.row.temperature_c is not None]
            if days and days[-1] == today:
                return True
    return False


def cells_for(wanted: Wanted, typed: str, history: History) -> dict[str, object]:
    """What was typed, as the ledger's column; raises BadValue with the mend where it can't be, for this clock."""
    if wanted.what == "dial":
        return {"dial": _dial(typed)}
    if wanted.what == "which":
        return {"work": Work.RAN_OUT if typed == "2" else Work.STOPPED}
    cells = _column(wanted, typed, history)
    row = build(CheckIn, {"tag": history.clock.tag, "at": history.now, **cells})
    check_possible(row, history.clock, now=history.now)
    return cells


def _column(wanted: Wanted, typed: str, history: History) -> dict[str, object]:
    figure = _figure(wanted, typed)
    match wanted.what:
        case "weight":
            train = wanted.train or Train.GOING
            return {f"{train}_mm": round(fallen_mm(history.clock, train, figure), 1)}
        case "swing-mm":
            return {"amplitude_deg": round(swing_deg(history.clock, typed), 3)}
        case "swing":
            return {"amplitude_deg": figure}
        case "overswing-left":
            return {"overswing_left_deg": figure}
        case "overswing-right":
            return {"overswing_right_deg": figure}
        case _:
            return {"temperature_c": figure}


def _figure(wanted: Wanted, typed: str) -> float:
    try:
        return float(typed)
    except ValueError:
        raise BadValue(f"{typed!r} is no figure; give {wanted.unit or 'figures'}, or Enter alone") from None


def _dial(typed: str) -> str:
    seconds = dial_of_digits(typed)
    if seconds is None:
        raise BadValue(f"{typed!r} is not what a dial can show; give hour and minute in figures, such as 347")
    return f"{seconds // 3600 or 12}:{seconds // 60 % 60:02}"


def moment_of(typed: str, before: datetime, zone: ZoneInfo) -> datetime:
    """The last time before `before` at which civil time was `typed` ("750"); BadValue where it is no time of day."""
    if not typed.isascii() or not typed.isdigit() or not 3 <= len(typed) <= 4:
        raise BadValue(f"{typed!r} is no time of day; give hour and minute in figures, such as 750")
    hour, minute = int(typed[:-2]), int(typed[-2:])
    if hour > 23 or minute > 59:
        raise BadValue(f"{typed!r} is no time of day; give hour and minute in figures, such as 750")
    local = before.astimezone(zone).replace(hour=hour, minute=minute, second=0, microsecond=0)
    return local if local < before else local - timedelta(days=1)


def read_words(wanted: Wanted, typed: str, history: History) -> str:
    """What was taken, for the list: "826 mm", on a scale with what that is fallen, "31 mm, 1.8°"."""
    if wanted.what == "dial":
        return _dial(typed)
    if wanted.what == "which":
        return "ran out" if typed == "2" else "stopped"
    figure = float(typed)
    if wanted.what == "weight" and wanted.train is not None and scale_zero(history.clock, wanted.train) is not None:
        return f"{figure:g} mm, {fallen_mm(history.clock, wanted.train, figure):.0f} fallen"
    if wanted.what == "swing-mm":
        return f"{figure:g} mm, {swing_deg(history.clock, typed):.2f}°"
    return f"{figure:g} {wanted.unit}" if wanted.unit != "°" else f"{figure:g}°"
