"""Numbers and times as papers say them: with their doubt, their unit and their side in words; unknown is said."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from types import MappingProxyType
from zoneinfo import ZoneInfo

from standwatch.horology.kinds import KINDS
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.facts import Clock
from standwatch.model.units import error_words, rate_words, round_to_doubt
from standwatch.model.words import Outcome

OUTCOMES = MappingProxyType(
    {
        Outcome.MET: "met",
        Outcome.MISSED: "MISSED",
        Outcome.NOT_YET_KNOWN: "NOT KNOWN",
        Outcome.WAIVED: "WAIVED",
        Outcome.NOT_APPLICABLE: "not applicable",
    }
)


def whose(clock: Clock) -> list[str]:
    """What it is and for whom, a line each."""
    kind = KINDS[clock.kind].title
    return [
        kind if clock.description is None else f"{kind}: {clock.description}",
        f"for {clock.owner}" if clock.owner else "owner not given",
    ]


def local(at: datetime, zone: str) -> str:
    """A time in the shop's civil time: "Fri 20 Nov 2026, 08:20"."""
    there = at.astimezone(ZoneInfo(zone))
    return f"{there:%a} {there.day} {there:%b %Y, %H:%M}"


def day(at: datetime, zone: str) -> str:
    """Its day alone: "Fri 20 Nov 2026"."""
    return local(at, zone).partition(",")[0]


def rate(value: Answer) -> str:
    """ "loses 3.4 ±1.1 s a day", or why it isn't known."""
    if isinstance(value, NotYetKnown):
        return unknown(value)
    told, doubt = round_to_doubt(abs(value.estimate), value.doubt, most_decimals=3)
    side = "gains" if value.estimate > 0 else "loses"
    return f"{side} {told} ±{doubt} s a day" if float(told) else f"keeps time, ±{doubt} s a day"


def at_which(rate: Answer, named: str) -> str:
    """Which temperature a rate holds for, to follow it: ", at 20 °C"; a paper has no present one."""
    if not named or isinstance(rate, NotYetKnown):
        return ""
    return f", {named.replace('the present temperature', 'the temperature of those days')}"


def error(value: Answer) -> str:
    """ "0:39 slow ±1.4 s", or why it isn't known."""
    if isinstance(value, NotYetKnown):
        return unknown(value)
    _, doubt = round_to_doubt(value.estimate, value.doubt, most_decimals=1)
    return f"{error_words(value.estimate, tenths=value.doubt < 3)} ±{doubt} s"


def between(value: Quantity) -> str:
    """The 95 % interval of an error: "0:42 slow to 2:10 fast"."""
    return f"{error_words(value.low)} to {error_words(value.high)}"


def degrees(value: Answer) -> str:
    """ "2.50° ±0.15°", or why it isn't known."""
    if isinstance(value, NotYetKnown):
        return unknown(value)
    told, doubt = round_to_doubt(value.estimate, value.doubt, most_decimals=2)
    return f"{told}° ±{doubt}°"


def number(value: Quantity, unit: str) -> str:
    """ "53 ±9 %", the value rounded to its doubt."""
    told, doubt = round_to_doubt(value.estimate, value.doubt, most_decimals=3)
    return f"{told} ±{doubt} {unit}".rstrip()


def unknown(value: NotYetKnown) -> str:
    """What is said where there is no number."""
    return f"not known: {value.because}"


def counted(count: int, one: str, many: str = "") -> str:
    """ "1 day", "3 days"."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def listed(parts: Sequence[str]) -> str:
    """ "a, b and c"."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""


def drift(value: Answer) -> str:
    """How fast the rate changes: "its rate rises by 0.02 ±0.20 s/day each day"."""
    if isinstance(value, NotYetKnown):
        return unknown(value)
    told, doubt = round_to_doubt(abs(value.estimate), value.doubt, most_decimals=3)
    if value.low <= 0 <= value.high:
        return f"none shown: {told} ±{doubt} s/day a day"
    return f"the rate {'rises' if value.estimate > 0 else 'falls'} by {told} ±{doubt} s/day a day"


def plain_rate(value: float) -> str:
    """A rate without its doubt: "gains 2.0 a day"."""
    return rate_words(value)
