"""How steadily the clock goes, under the chart of its rate."""

from __future__ import annotations

from standwatch.judge.assessment import Assessment
from standwatch.model.answers import NotYetKnown
from standwatch.service.steadiness import brief, daily_words, stability, through_a_wind
from standwatch.tui.draw.paint import MUTED, PLAIN, Lines, line, strong

_HEAD, _SPAN = 8, 13
_ROOMY = 68
_UNKNOWN = MUTED
_LEAST_CHART = 7
"""Lines that a chart keeps, whatever else there is to say."""


def steadiness_lines(told: Assessment, width: int, height: int) -> Lines:
    """What fits under a chart of `height` lines in all: two lines, and with room the daily rates summed up."""
    if not told.estimates.history.readings or height - 2 < _LEAST_CHART:
        return []
    found = stability(told)
    first = found.points[0].deviation
    spans = [(span, said, _UNKNOWN if said.startswith("not") else strong(PLAIN)) for span, said in brief(found)]
    if isinstance(first, NotYetKnown) and all(style == _UNKNOWN for _, _, style in spans):
        because = f": {first.because}" if width > _ROOMY else ""
        lines = [line(("wanders".ljust(_HEAD), MUTED), (f"not yet known{because}", _UNKNOWN))]
    else:
        lines = [
            line((("" if n else "wanders").ljust(_HEAD), MUTED), (span.ljust(_SPAN), MUTED), (said, style))
            for n, (span, said, style) in enumerate(spans)
        ]
    if width > _ROOMY and height - 3 >= _LEAST_CHART and not isinstance(found.daily, NotYetKnown):
        more = ", for comparison" if width > _ROOMY + 20 else ""
        lines.append(line(("ISO 3159".ljust(_HEAD + 1), MUTED), (f"{daily_words(found.daily)}{more}", PLAIN)))
    wind = through_a_wind(told)
    if wind and height - len(lines) - 1 >= _LEAST_CHART and len(wind) + _HEAD <= width:
        lines.append(line(("winding".ljust(_HEAD), MUTED), (wind, PLAIN)))
    return lines
