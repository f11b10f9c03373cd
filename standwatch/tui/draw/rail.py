"""Who swings alike beside a clock on its rail, in full."""

from __future__ import annotations

from standwatch.judge.assessment import Assessment
from standwatch.judge.beside import beside_words
from standwatch.tui.draw.paint import MUTED, PLAIN, Lines, line, rule, wrapped

_MOST_LINES = 3


def rail_in_full(told: Assessment, width: int) -> Lines:
    """A section with the near-equal neighbours; empty where none hangs beside it."""
    said = [words for each in told.estimates.beside if (words := beside_words(each))]
    if not said:
        return []
    lines: Lines = [line(("", PLAIN)), rule("RAIL", width, line(("swings alike", MUTED)))]
    for words in said:
        for n, part in enumerate(wrapped(words, width - 2, _MOST_LINES)):
            lines.append(line(("· " if n == 0 else "  ", MUTED), part))
    return lines
