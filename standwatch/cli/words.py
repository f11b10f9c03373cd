"""Assessments in a few words and in columns, for a terminal that shows plain text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from standwatch.judge.assessment import Assessment
from standwatch.judge.stopping import ran_down
from standwatch.model.answers import Answer, Moment, NotYetKnown, Quantity
from standwatch.model.text import columns
from standwatch.model.units import HOUR_S, error_words, round_to_doubt, signed, span_words

HEADS = ("SLOT", "TAG", "KIND", "NEXT", "ERROR", "RATE s/d", "SWING", "LEFT", "CHIME", "STANDING", "DAYS")
_RIGHT = {"ERROR", "RATE s/d", "SWING", "LEFT", "DAYS"}


def stand_rows(found: Iterable[Assessment], next_round: datetime) -> list[Sequence[str]]:
    """One row a clock, under `HEADS`."""
    return [_row(each, next_round) for each in found]


def _row(found: Assessment, next_round: datetime) -> Sequence[str]:
    history = found.estimates.history
    home = history.home_since is not None  # its slot is free, its rate and swing were the stand's
    return (
        "home" if home else history.position,
        found.tag,
        history.traits.kind.title,
        found.next.short,
        error_cell(found),
        "–" if home else rate_cell(found.estimates.time.rate),
        "–" if home else swing_cell(found),
        left_cell(found, next_round),
        found.chime_word,
        str(found.standing),
        f"{found.days_held:.0f}/{found.days_needed:.0f}",
    )


def error_cell(found: Assessment) -> str:
    """ "0:14 fast", "≈0:12 fast" where it is only expected (not read today, or at home), "?" where nobody can say."""
    error = found.error_s
    if isinstance(error, NotYetKnown):
        return "?"
    about = "≈" if found.unread_today or found.estimates.history.home_since is not None else ""
    return about + error_words(error.estimate, tenths=found.estimates.history.usual_doubt_s < 1)


def rate_cell(rate: Answer) -> str:
    """ "+6.2 ±1.1"."""
    if isinstance(rate, NotYetKnown):
        return "?"
    value, doubt = round_to_doubt(rate.estimate, rate.doubt, most_decimals=3)
    sign = "+" if rate.estimate > 0 and float(value.replace("−", "-")) != 0 else ""
    return f"{sign}{value} ±{doubt}"


def quantity_words(value: Answer, unit: str) -> str:
    """ "+6.2 ±1.1 s/day", or why it is not yet known."""
    return f"not yet known: {value.because}" if isinstance(value, NotYetKnown) else f"{rate_cell(value)} {unit}"


def error_in_words(value: Answer) -> str:
    """ "0:14 fast ±3 s", or why it is not yet known."""
    if isinstance(value, NotYetKnown):
        return f"not yet known: {value.because}"
    _, doubt = round_to_doubt(value.estimate, value.doubt, most_decimals=1)
    return f"{error_words(value.estimate, tenths=value.doubt < 3)} ±{doubt} s"


def swing_cell(found: Assessment) -> str:
    """Per cent over the unlocking point of a pendulum, degrees elsewhere; an arrow where it falls."""
    swing = found.estimates.swing
    trend = swing.trend_pct_per_week
    falls = "↓" if isinstance(trend, Quantity) and trend.high < 0 else ""
    if isinstance(swing.spare_pct, Quantity):
        return f"{swing.spare_pct.estimate:.0f}%{falls}"
    if isinstance(swing.amplitude, Quantity):
        return f"{swing.amplitude.estimate:.{1 if swing.amplitude.estimate < 45 else 0}f}°{falls}"
    return "·"


def left_cell(found: Assessment, next_round: datetime) -> str:
    """Time left of the soonest train, with ! where it may run out before the next round."""
    hangs = found.going.hangs
    if hangs is not None:
        return "ran out" if ran_down(found.estimates.history, hangs) else "stopped"
    if found.estimates.history.home_since is not None:
        return "–"  # its owner winds it
    soonest = found.estimates.running.soonest
    if isinstance(soonest, NotYetKnown) or not isinstance(soonest.runs_out, Moment):
        return "?"
    left = (soonest.runs_out.at - found.estimates.history.now).total_seconds() / HOUR_S
    return ("over" if left < 0 else span_words(left)) + (" !" if soonest.runs_out.low < next_round else "")


def when(at: datetime, zone: ZoneInfo) -> str:
    """A time in the shop's civil time: "Mon 30 Nov 2026 08:00"."""
    return f"{at.astimezone(zone):%a %d %b %Y %H:%M}"


def moment_words(moment: Moment, zone: ZoneInfo) -> str:
    """A time and its 95 % interval, to the minute, or to the day where it is sure to no more."""
    if moment.low == moment.high:
        return when(moment.at, zone)
    if moment.high - moment.low > timedelta(days=1):
        ends = [t.astimezone(zone) for t in (moment.low, moment.high)]
        years = " %Y" if any(end.year != moment.at.astimezone(zone).year for end in ends) else ""
        low, high = (f"{end:%d %b{years}}" for end in ends)
        return f"{moment.at.astimezone(zone):%a %d %b %Y} (95 %: {low} to {high})"
    low, high = (f"{t.astimezone(zone):%a %H:%M}" for t in (moment.low, moment.high))
    return f"{when(moment.at, zone)} (95 %: {low} to {high})"


def table(heads: Sequence[str], rows: Iterable[Sequence[str]], *, right: Iterable[str] = _RIGHT) -> str:
    """Columns of plain text under `heads`; `right` names those whose figures end in line."""
    lines = [list(heads), *(list(row) for row in rows)]
    widths = [max(columns(line[i]) for line in lines) for i in range(len(heads))]
    ends = {i for i, head in enumerate(heads) if head in right}
    told = []
    for line in lines:
        cells = [_pad(cell, widths[i], ends_in_line=i in ends) for i, cell in enumerate(line)]
        told.append("  ".join(cells).rstrip())
    return "\n".join(told)


def _pad(text: str, to: int, *, ends_in_line: bool) -> str:
    space = " " * (to - columns(text))
    return space + text if ends_in_line else text + space


def degrees(value: Answer) -> str:
    """ "2.41 ±0.07°", or why it is not yet known."""
    if isinstance(value, NotYetKnown):
        return f"not yet known: {value.because}"
    told, doubt = round_to_doubt(value.estimate, value.doubt, most_decimals=2)
    return f"{told} ±{doubt}°"


def seconds(value: float) -> str:
    """ "+2.5 s"."""
    return f"{signed(value, 1)} s"
