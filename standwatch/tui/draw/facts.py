"""One fact of the ledger as a sentence: what was read, heard and done."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from standwatch.estimate.history import History, Visit
from standwatch.horology.hanging import weight_sides
from standwatch.model.facts import CheckIn
from standwatch.model.units import MINUS, error_words
from standwatch.model.words import Chime, Work
from standwatch.service.work_words import work_words
from standwatch.tui.draw import words
from standwatch.tui.draw.paint import MUTED, PLAIN, Lines, fit, line, wrapped

_CHIME = {
    Chime.IN_STEP: "in step",
    Chime.OUT_OF_STEP: "out of step",
    Chime.SILENT: "chime silent",
    Chime.NOT_RUNNING: "chime should have sounded, didn't",
}


def fact_words(visit: Visit, history: History) -> str:
    """What one visit tells, readings first, then the work done after."""
    row = visit.row
    told: list[str] = []
    if visit.error_s is not None:
        told.append(f"read {error_words(visit.error_s, tenths=(visit.doubt_s or 9) < 1)}")
    elif row.dial is not None:
        told.append(f"hung at {row.dial}")
    told += _swing_words(row) + _fall_words(row, history) + _sound_words(row)
    if row.moon_age_d is not None:
        told.append(f"moon {row.moon_age_d:g} d")
    if row.temperature_c is not None:
        told.append(f"{row.temperature_c:g} °C".replace("-", MINUS))
    if row.work is not None:
        told.append(work_words(row, history))
    if row.note is not None and row.work not in {Work.OIL_CHECKED, Work.SAFETY_CHECKED}:
        told.append(f"“{row.note}”")
    return ", ".join(told) or "a visit"


def _swing_words(row: CheckIn) -> list[str]:
    told = []
    if row.amplitude_deg is not None:
        told.append(f"swing {row.amplitude_deg:g}°")
    if row.overswing_left_deg is not None or row.overswing_right_deg is not None:
        sides = [("left", row.overswing_left_deg), ("right", row.overswing_right_deg)]
        told.append("overswing " + " ".join(f"{side} {value:g}°" for side, value in sides if value is not None))
    if row.beat_error_pct is not None:
        told.append(f"beat {row.beat_error_pct:g} %")
    if row.beat_error_ms is not None:
        told.append(f"beat {row.beat_error_ms:g} ms")
    return told


def _fall_words(row: CheckIn, history: History) -> list[str]:
    """The falls, left to right as the weights hang; one alone by its train's name."""
    sides = weight_sides(history.traits.trains, history.clock.weight_order)
    falls = [(train, row.fall_mm(train)) for train in sides.values()]
    told = [(train, fall) for train, fall in falls if fall is not None]
    if len(told) == 1:
        return [f"{told[0][0]} weight {told[0][1]:.0f} mm"]
    shown = " ".join(words.NO_READING if fall is None else f"{fall:.0f}" for _, fall in falls)
    return [f"weights {shown} mm"] if told else []


def _sound_words(row: CheckIn) -> list[str]:
    told = []
    if row.chime is not None:
        quarter = f" at quarter {row.quarter}" if row.quarter else ""
        told.append(f"{_CHIME[row.chime]}{quarter}")
    if row.blows is not None:
        blows = "1 blow" if row.blows == 1 else f"{row.blows or 'no'} blows"
        told.append(f"{blows} at {row.hour}" if row.hour else blows)
        if row.staged:
            told.append("staged")
    if row.strike_s is not None:
        told.append(f"striking {row.strike_s:g} s")
    return told


def fact_lines(history: History, zone: ZoneInfo, width: int, *, ids: bool) -> Lines:
    """The facts, latest first; with their ids (as `standwatch correct` takes them) where asked for."""
    lines: Lines = []
    visits = sorted((*history.visits, *history.at_home), key=lambda v: (v.at, v.order), reverse=True)
    for visit in visits:
        when = words.time_words(visit.at, zone)
        told = fact_words(visit, history)
        if not ids:
            lines.append(line((fit(when, 14), MUTED), (fit(told, width - 14), PLAIN)))
            continue
        short = visit.id[:10]
        lead = fit(f"{visit.at.astimezone(zone):%d %b %H:%M}  {short}", 26)
        for n, part in enumerate(wrapped(told, width - 26, 3) or []):
            lines.append(line((lead if n == 0 else " " * 26, MUTED), part))
    if not lines:
        lines.append(line(("no fact yet", MUTED)))
    return lines
