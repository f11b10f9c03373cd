"""Signs, units and the words for them, in one place.

error = clock - reference, in seconds, + fast. rate = its slope in s/day, + gaining. Falls are mm from fully wound,
+ down. Turns of a rating nut are + where they raise the bob (or go towards faster). Times are aware, in UTC.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta

DAY_S = 86400.0
HOUR_S = 3600.0
HALF_DIAL_S = 6 * HOUR_S
DIAL_S = 12 * HOUR_S
MINUS = "−"

_EPOCH = datetime(2000, 1, 1, tzinfo=UTC)


def days(at: datetime) -> float:
    """`at` as days since 2000-01-01 UTC, the time axis of every estimate."""
    return (at - _EPOCH) / timedelta(days=1)


def days_of(times: Iterable[datetime]) -> list[float]:
    """`days` of many times."""
    day = timedelta(days=1)
    return [(at - _EPOCH) / day for at in times]


def moment(day: float) -> datetime:
    """The time at `day` days since 2000-01-01 UTC; the inverse of `days`, to the microsecond."""
    return _EPOCH + timedelta(days=day)


def wrap_dial(seconds: float) -> float:
    """A time error as a 12-hour dial can show it: in (-6 h, +6 h]. 11:59 at 12:01 is 0:02 slow."""
    return HALF_DIAL_S - (HALF_DIAL_S - seconds) % DIAL_S


def dial_seconds(dial: str) -> float:
    """Seconds past twelve that "H:MM" or "H:MM:SS" shows; the dial has twelve hours."""
    hours, minutes, *rest = (int(part) for part in dial.split(":"))
    return (hours % 12) * HOUR_S + minutes * 60.0 + (rest[0] if rest else 0)


def round_to_doubt(value: float, doubt: float, *, digits: int = 2, most_decimals: int = 9) -> tuple[str, str]:
    """Value and doubt as text, the doubt to `digits` significant digits (GUM 7.2.6: at most two), the value to match.

    A doubt that begins with 3 to 9 keeps one digit less than asked for, since the second tells nothing there.
    Both use a full stop and ASCII digits; the value has a real minus and no plus.
    """
    if not (math.isfinite(value) and math.isfinite(doubt)):
        raise ValueError("a value and its doubt must be finite")
    if doubt <= 0:
        return _plain(value, min(most_decimals, 3)), "0"
    keep = digits if doubt / 10 ** math.floor(math.log10(doubt)) < 3 else max(1, digits - 1)
    decimals = keep - 1 - math.floor(math.log10(doubt))
    if keep == digits and round(doubt, decimals) >= 10 ** (keep - decimals):  # 0.96 at one digit rounds up to 1
        decimals -= 1
    decimals = min(decimals, most_decimals)
    return _plain(value, decimals), _plain(doubt, decimals)


def _plain(value: float, decimals: int) -> str:
    rounded = round(value, decimals) + 0.0  # + 0.0 turns -0.0 into 0.0
    text = f"{abs(rounded):.{max(decimals, 0)}f}"
    return f"{MINUS}{text}" if rounded < 0 else text


def signed(value: float, decimals: int = 1) -> str:
    """ "+6.2", "−0.3", "0.0": with a real minus, and a leading zero kept."""
    text = _plain(value, decimals)
    return text if text.startswith(MINUS) or float(text) == 0 else f"+{text}"


def error_words(error_s: float, *, tenths: bool = False) -> str:
    """A time error as said aloud: "0:14 fast", "1:02:30 slow", "right"; in tenths "2.1 s slow" up to a minute."""
    side = "fast" if error_s > 0 else "slow"
    if tenths and abs(error_s) < 60:
        text = f"{abs(error_s):.1f}"
        return "right" if float(text) == 0 else f"{text} s {side}"
    whole = round(abs(error_s))
    if whole == 0:
        return "right"
    return f"{clock_words(whole)} {side}"


def clock_words(seconds: float) -> str:
    """A span as minutes and seconds, with hours where there are any: "0:14", "1:02:30"."""
    whole = round(abs(seconds))
    hours, rest = divmod(whole, 3600)
    minutes, secs = divmod(rest, 60)
    return f"{hours}:{minutes:02}:{secs:02}" if hours else f"{minutes}:{secs:02}"


def rate_words(rate_s_per_day: float, decimals: int = 1) -> str:
    """A rate as said aloud: "gains 6.2 a day", "loses 0.3 a day", "keeps time"."""
    text = _plain(abs(rate_s_per_day), decimals)
    if float(text) == 0:
        return "keeps time"
    return f"{'gains' if rate_s_per_day > 0 else 'loses'} {text} a day"


def reached(span: timedelta, wanted: timedelta) -> bool:
    """Whether `span` is as long as `wanted`; short by an hour at most, where a day or more is wanted.

    A round reads before it winds, and never at the same minute.
    """
    return span >= (wanted - timedelta(hours=1) if wanted >= timedelta(days=1) else wanted)


def span_words(hours: float) -> str:
    """How long, for a narrow column: "3h", "1d20h", "19d"."""
    whole = max(0, round(hours))
    if whole < 24:
        return f"{whole}h"
    day, hour = divmod(whole, 24)
    return f"{day}d{hour:02}h" if day < 10 else f"{round(hours / 24)}d"
