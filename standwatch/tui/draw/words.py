"""Numbers and times as the screen says them: signs and units in words, doubt beside, unknown said and never guessed.

Times are shown in the shop's zone.
"""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from standwatch.estimate.answers import Estimates, TrainRun
from standwatch.judge.assessment import Assessment, Need
from standwatch.judge.unlogged import unlogged_of
from standwatch.model.answers import Answer, Moment, NotYetKnown, Quantity
from standwatch.model.units import MINUS, error_words, round_to_doubt, signed, span_words
from standwatch.model.words import Drive, Requirement, Standing
from standwatch.tui.draw.paint import WARNING, Lines, wrapped

MARKS = {Standing.ATTENTION: "■", Standing.SETTLING: "◌", Standing.READY: "◆", Standing.RELEASED: "▸"}
NO_READING = "·"
UNKNOWN = "?"
NOT_APPLICABLE = "–"

REQUIREMENTS = {
    Requirement.CONTINUOUS_RUNNING: "running",
    Requirement.FULL_DURATION: "full run",
    Requirement.WEIGHT_PASSAGE: "past bob",
    Requirement.MEAN_RATE: "mean rate",
    Requirement.DAY_RANGE: "day spread",
    Requirement.AMPLITUDE: "swing",
    Requirement.BEAT: "beat",
    Requirement.TWELVE_COUNTS: "counts",
    Requirement.CHIME_STEP: "chime step",
    Requirement.MIS_SET: "mis-set",
    Requirement.TUNES: "tunes",
    Requirement.MOON: "moon",
    Requirement.OIL: "oil",
    Requirement.OWN_CASE: "own case",
    Requirement.SAFETY: "safety",
}


def day_words(at: datetime, zone: ZoneInfo) -> str:
    """ "Fri 20 Nov"."""
    local = at.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b}"


def time_words(at: datetime, zone: ZoneInfo) -> str:
    """ "Fri 20 08:07"."""
    local = at.astimezone(zone)
    return f"{local:%a} {local.day:>2} {local:%H:%M}"


def near_words(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """A day as the shop says it: "today", "Fri 27" within two weeks, else "27 Nov" or, in another year, "Nov 27"."""
    local, today = at.astimezone(zone), now.astimezone(zone)
    if local.date() == today.date():
        return "today"
    if abs(local.date() - today.date()) < timedelta(days=14):
        return f"{local:%a} {local.day}"
    if local.year == today.year:
        return f"{local.day} {local:%b}"
    return f"{local:%b %Y}"


def round_words(at: datetime, now: datetime, zone: ZoneInfo) -> str:
    """When a round is: "today 08:00", "Mon 08:00", or with its date where the week doesn't tell."""
    local = at.astimezone(zone)
    days = (local.date() - now.astimezone(zone).date()).days
    name = "today" if days == 0 else f"{local:%a}" if 0 < days < 7 else f"{local:%a} {local.day} {local:%b}"
    return f"{name} {local:%H:%M}"


def error_short(error_s: float, *, tenths: bool = False) -> str:
    """A time error in at most ten cells: "0:14 fast", "2.1 s slow", "1h02 fast", "right"."""
    if abs(error_s) < 3599.5:
        return error_words(error_s, tenths=tenths and abs(error_s) < 9.95)
    minutes = round(abs(error_s) / 60)
    return f"{minutes // 60}h{minutes % 60:02} {'fast' if error_s > 0 else 'slow'}"


def fine(error: Answer) -> bool:
    """Known well enough for tenths of a second."""
    return isinstance(error, Quantity) and error.doubt < 2.0


def who_words(assessment: Assessment) -> str:
    """Slot and tag, "A1  2398"; the tag alone of a clock without a slot, or at its owner's."""
    history = assessment.estimates.history
    place = "" if history.home_since is not None else history.position
    return "  ".join(part for part in (place, assessment.tag) if part)


def error_cell(assessment: Assessment) -> tuple[str, str]:
    """ERROR as text and its manner: "read", "expected", "suspect", "none" or "unknown"."""
    error = assessment.error_s
    suspects = assessment.estimates.time.suspects
    if assessment.need is Need.SUSPECT and suspects:
        return f"{error_short(suspects[-1].error_s)}?", "suspect"
    if not assessment.estimates.history.readings:
        return NO_READING, "none"
    if isinstance(error, NotYetKnown):
        return UNKNOWN, "unknown"
    words = error_short(error.estimate, tenths=fine(error))
    if assessment.unread_today or assessment.estimates.history.home_since is not None:
        return f"≈{words}", "expected"
    return words, "read"


def rate_parts(rate: Answer) -> tuple[str, str]:
    """A rate in s/day and its doubt: ("+6.2", "±1.1"); ("?", "") where it is not known.

    Nine cells together. The doubt is never rounded down to nothing.
    """
    if isinstance(rate, NotYetKnown):
        return UNKNOWN, ""
    decimals = 1 if abs(rate.estimate) < 9.95 else 0
    value, doubt = round_to_doubt(rate.estimate, max(rate.doubt, 0.05 if decimals else 0.5), most_decimals=decimals)
    if not value.startswith(MINUS) and float(value) != 0:
        value = f"+{value}"
    return value, f"±{doubt if float(doubt) else '0.1' if decimals else '1'}"


def rate_text(rate: Answer) -> str:
    """ "gains 6.2 ±1.1", or why it is not known."""
    if isinstance(rate, NotYetKnown):
        return "rate not yet known"
    value, doubt = rate_parts(rate)
    bare = value.lstrip(f"+{MINUS}")
    if float(bare) == 0:
        return f"keeps time {doubt}"
    return f"{'gains' if rate.estimate > 0 else 'loses'} {bare} {doubt}"


def unlogged_lines(assessment: Assessment, width: int, height: int, *, mend: bool = False) -> Lines:
    """The last work that the readings betray and nobody logged, wrapped; nothing where there is none.

    With `mend` how to log it, too. In few words where the next step says all that.
    """
    found = unlogged_of(assessment.estimates)
    if not found:
        return []
    last = found[-1]
    text = f"{last.text}; {last.mend}" if mend else last.text
    text = last.brief if last.text in assessment.next.text else text
    earlier = f" ({len(found) - 1} more before)" if len(found) > 1 else ""
    return wrapped(f"{text}{earlier}", width, height, WARNING)


def falling(estimates: Estimates) -> bool:
    """The swing falls at equal wind: by over 2 % a week, and surely."""
    trend = estimates.swing.trend_pct_per_week
    return isinstance(trend, Quantity) and trend.estimate < -2 and trend.high < 0


def swing_text(estimates: Estimates) -> str:
    """The swing: "31%↓" to spare over a pendulum's unlocking point, else degrees; "·" where none was read."""
    swing = estimates.swing
    fall = "↓" if falling(estimates) else ""
    if isinstance(swing.spare_pct, Quantity):
        return f"{round(swing.spare_pct.estimate)}%{fall}".replace("-", MINUS)
    if isinstance(swing.amplitude, Quantity):
        degrees = swing.amplitude.estimate
        return f"{degrees:.0f}°{fall}" if degrees >= 20 else f"{degrees:.1f}°{fall}"
    return UNKNOWN if swing.readings else NO_READING


def moment_words(moment: Moment, now: datetime, zone: ZoneInfo, drive: Drive) -> str:
    """A run-out with its doubt: a weight's has an hour ("Sun 04:30 ±40m"), a spring's a day ("Sun 22 ±1 d")."""
    half = (moment.high - moment.low) / 2
    if drive is Drive.SPRING or half >= timedelta(days=1):
        return f"{near_words(moment.at, now, zone)} ±{max(1, math.ceil(half / timedelta(days=1) - 0.25))} d"
    local = moment.at.astimezone(zone)
    rounded = moment.at + timedelta(minutes=5)
    tens = rounded.astimezone(zone).replace(minute=rounded.astimezone(zone).minute // 10 * 10)
    soon = abs(moment.at - now) < timedelta(days=6)
    name = f"{tens:%a}" if soon else f"{tens:%a} {tens.day}" if local.year == tens.year else f"{tens.day} {tens:%b}"
    minutes = half / timedelta(minutes=1)
    doubt = f"±{max(1, round(minutes / 10)) * 10}m" if minutes < 90 else f"±{round(minutes / 60)}h"
    return f"{name} {tens:%H:%M} {doubt}"


def left_words(run: TrainRun | NotYetKnown, now: datetime, drive: Drive) -> str:
    """Time left of a train: "1d20h" of a weight, "5d±1" of a spring, "due" once past, "?" where not known."""
    if isinstance(run, NotYetKnown) or isinstance(run.runs_out, NotYetKnown):
        return UNKNOWN
    moment = run.runs_out
    hours = (moment.at - now) / timedelta(hours=1)
    if hours <= 0:
        return "due"
    half_days = (moment.high - moment.low) / timedelta(days=2)
    if drive is Drive.SPRING and hours < 100 * 24:
        return f"{max(0, round(hours / 24))}d±{max(1, math.ceil(half_days - 0.25))}"
    return span_words(hours)


def runs_out_before(run: TrainRun | NotYetKnown, until: datetime) -> bool:
    """It may run out before `until`."""
    return not isinstance(run, NotYetKnown) and isinstance(run.runs_out, Moment) and run.runs_out.low < until


def plus(value: float, decimals: int = 1) -> str:
    """A signed number with a real minus."""
    return signed(value, decimals)
