"""What is worth looking into at one clock: each lead as a sentence, never a verdict."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, WARNING, Lines, line, rule, strong, wrapped

if TYPE_CHECKING:  # a face shows its first lines before the estimators, and numpy, are loaded
    from standwatch.estimate.answers import Lead

TITLE = "LOOK INTO"
_MOST, _EACH = 2, 2


def likely(lead: Lead) -> str:
    """How strong, in few cells."""
    return f"{lead.odds:.0%}".replace("%", " %")


def lead_lines(leads: Sequence[Lead], width: int) -> Lines:
    """A section with the two strongest leads in at most two lines each; empty where there is none."""
    if not leads:
        return []
    more = f" all {len(leads)}" if len(leads) > _MOST else " in full"
    lines = [rule(TITLE, width, line(("n", strong(HERE)), (more, MUTED)))]
    for lead in leads[:_MOST]:
        lines += _told(lead, width, _EACH)
    return lines


def lead_line(leads: Sequence[Lead], width: int) -> Lines:
    """The strongest lead in two lines at most, so that where to look is read too; empty where there is none."""
    start = "look into  "
    body = wrapped(leads[0].text, width - len(start), _EACH) if leads else []
    return [
        line((start, strong(WARNING)) if n == 0 else (" " * len(start), PLAIN), part) for n, part in enumerate(body)
    ]


def leads_in_full(leads: Sequence[Lead], width: int) -> Lines:
    """A section with every lead, whole; empty where there is none."""
    if not leads:
        return []
    lines: Lines = [line(("", PLAIN)), rule(TITLE, width, line(("patterns, no verdicts", MUTED)))]
    for lead in leads:
        lines += _told(lead, width, 6)
    return lines


def _told(lead: Lead, width: int, most: int) -> Lines:
    """The likelihood, then the sentence, its further lines under its first."""
    start = f"{likely(lead):>5}  "
    body = wrapped(lead.text, width - len(start), most)
    return [
        line((start, strong(WARNING)) if n == 0 else (" " * len(start), PLAIN), part) for n, part in enumerate(body)
    ]
