"""What a clock's start sheet lacks, in full."""

from __future__ import annotations

from standwatch.judge.assessment import Assessment
from standwatch.judge.start_sheet import missing_of
from standwatch.tui.draw.paint import MUTED, PLAIN, WARNING, Lines, line, rule, strong, wrapped

_MOST_LINES = 3


def start_sheet_in_full(told: Assessment, width: int) -> Lines:
    """A section with everything that nobody told, what matters first; empty where nothing is missing."""
    missing = missing_of(told.estimates)
    if not missing:
        return []
    lines: Lines = [line(("", PLAIN)), rule("START SHEET", width, line(("what is missing", MUTED)))]
    for each in missing:
        mark = ("? ", strong(WARNING)) if each.pressing else ("· ", MUTED)
        for n, part in enumerate(wrapped(each.text, width - 2, _MOST_LINES)):
            lines.append(line(mark if n == 0 else ("  ", PLAIN), part))
    return lines
