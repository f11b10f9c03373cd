"""A fact in a few words, for receipts and lists."""

from __future__ import annotations

from standwatch.horology.kinds import KINDS
from standwatch.model.facts import Body, CheckIn, Clock, Handover, Waiver
from standwatch.model.units import error_words
from standwatch.model.words import Train, Work

_AMOUNT_UNIT = {
    Work.HANDS_SET: "s",
    Work.HELD: "s",
    Work.SUMMER_TIME: "s",
    Work.HOURS_SHIFTED: "h",
    Work.NUT: "turns",
}


def describe(body: Body) -> str:
    """What the fact says, on one line: "reading 0:14 fast; wound", "clock 2417, floor chiming"."""
    match body:
        case Clock():
            slot = f", slot {body.position}" if body.position else ""
            return f"clock {body.tag}, {KINDS[body.kind].title}{slot}"
        case CheckIn():
            return "; ".join(_visit_parts(body)) or "visit"
        case Handover():
            return "; ".join(part for part in (body.what, body.by, body.code, *left_parts(body), body.reason) if part)
        case Waiver():
            return f"waived {body.requirement}: {body.reason} ({body.by})"


def left_parts(step: Handover) -> list[str]:
    """What a step of handing over tells of the clock at its owner's: error, swing, beat, weights, wall, who winds."""
    parts = [] if step.error_s is None else [error_words(step.error_s, tenths=True)]
    parts += [*_swing_parts(step), *_fall_parts(step)]
    if step.stopped:
        parts.append("stopped")
    if step.chime is not None:
        parts.append(f"chime {step.chime}")
    if step.fixed_to_wall is not None:
        parts.append("fixed to the wall" if step.fixed_to_wall else "not fixed to the wall")
    if step.wound_by:
        parts.append(f"wound by {step.wound_by}")
    return parts


def _swing_parts(row: CheckIn | Handover) -> list[str]:
    parts = [] if row.amplitude_deg is None else [f"swing {row.amplitude_deg:g}°"]
    beat = row.beat_error_pct if row.beat_error_pct is not None else row.beat_error_ms
    if beat is not None:
        parts.append(f"beat error {beat:g} {'%' if row.beat_error_pct is not None else 'ms'}")
    return parts


def _fall_parts(row: CheckIn | Handover) -> list[str]:
    return [f"{train} {mm:g} mm down" for train in Train if (mm := getattr(row, f"{train}_mm")) is not None]


def _visit_parts(row: CheckIn) -> list[str]:
    parts = []
    if row.error_s is not None:
        parts.append(f"reading {error_words(row.error_s, tenths=True)}")
    if row.dial is not None:
        parts.append(f"dial {row.dial}")
    parts += _swing_parts(row)
    if row.overswing_left_deg is not None or row.overswing_right_deg is not None:
        sides = (row.overswing_left_deg, row.overswing_right_deg)
        parts.append("overswing " + ", ".join("?" if side is None else f"{side:g}°" for side in sides))
    parts += [*_fall_parts(row), *_heard_parts(row)]
    if row.moon_age_d is not None:
        parts.append(f"moon {row.moon_age_d:g} days")
    if row.temperature_c is not None:
        parts.append(f"{row.temperature_c:g} °C")
    if row.work is not None:
        parts.append(_work_words(row, row.work))
    if row.note and row.work is not Work.MOVED:
        parts.append(row.note)
    return parts


def _heard_parts(row: CheckIn) -> list[str]:
    parts = []
    if row.chime is not None:
        parts.append(f"chime {row.chime}" + (f" at quarter {row.quarter}" if row.quarter else ""))
    if row.blows is not None:
        at = f" at {row.hour}" if row.hour else ""
        blows = "1 blow" if row.blows == 1 else f"{row.blows or 'no'} blows"
        parts.append(f"{blows}{at}" + (" (staged)" if row.staged else ""))
    if row.strike_s is not None:
        parts.append(f"striking {row.strike_s:g} s")
    return parts


def _work_words(row: CheckIn, work: Work) -> str:
    words = [str(work)]
    if row.train is not None:
        words.append(str(row.train))
    if row.work is Work.MOVED and row.note:
        words.append(f"to {row.note}")
    if row.amount is not None and work is Work.MIS_SET:
        words.append("1 quarter" if row.amount == 1 else f"{row.amount:g} quarters")
    elif row.amount is not None:
        words.append(f"{row.amount:+g} {_AMOUNT_UNIT[work]}" if work in _AMOUNT_UNIT else f"{row.amount:g}")
    if row.explained is not None:
        words.append("explained" if row.explained else "not explained")
    return " ".join(words)
