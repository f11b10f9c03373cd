"""The stops of one clock that want something: when each was, and how to explain it."""

from __future__ import annotations

from standwatch.judge.assessment import Assessment
from standwatch.judge.stopping import stops_told
from standwatch.tui.draw.paint import ERROR, MUTED, PLAIN, Lines, line, rule, strong, wrapped

_MOST_LINES = 4


def stops_in_full(told: Assessment, width: int) -> Lines:
    """A section with every stop that hangs or is not explained; empty where there is none."""
    stops = stops_told(told.estimates.history, told.going)
    if not stops:
        return []
    lines: Lines = [line(("", PLAIN)), rule("STOPS", width, line(("latest first", MUTED)))]
    for stop in stops:
        for n, part in enumerate(wrapped(stop.text, width - 2, _MOST_LINES)):
            lines.append(line(("■ " if n == 0 else "  ", strong(ERROR)), part))
        lines += [line(("  ", PLAIN), (part.plain, MUTED)) for part in wrapped(stop.mend, width - 2, _MOST_LINES)]
    return lines
