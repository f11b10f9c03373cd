"""The stops and silences of one clock that want something: when each was, and how to explain it."""

from __future__ import annotations

from collections.abc import Sequence

from standwatch.judge.assessment import Assessment
from standwatch.judge.chiming import silences_told
from standwatch.judge.stopping import stops_told
from standwatch.tui.draw.paint import ERROR, MUTED, PLAIN, Lines, line, rule, strong, wrapped

_MOST_LINES = 4


def stops_in_full(told: Assessment, width: int) -> Lines:
    """A section with every stop that hangs or is not explained, and with every silence of the chime; or none."""
    history = told.estimates.history
    stops = [(stop.text, stop.mend) for stop in stops_told(history, told.going)]
    return _section("STOPS", "latest first", stops, width) + _section("SILENT", "", silences_told(history), width)


def _section(title: str, aside: str, wanted: Sequence[tuple[str, str]], width: int) -> Lines:
    if not wanted:
        return []
    lines: Lines = [line(("", PLAIN)), rule(title, width, line((aside, MUTED)) if aside else None)]
    for text, mend in wanted:
        for n, part in enumerate(wrapped(text, width - 2, _MOST_LINES)):
            lines.append(line(("■ " if n == 0 else "  ", strong(ERROR)), part))
        lines += [line(("  ", PLAIN), (part.plain, MUTED)) for part in wrapped(mend, width - 2, _MOST_LINES)]
    return lines
