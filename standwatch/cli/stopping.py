"""When a clock found hanging may have stopped, as plain text."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from standwatch.cli import words

SHOWN = 0.01
"""Candidates under these odds are only counted."""


def candidates(found: Sequence[tuple[datetime, float]], zone: ZoneInfo) -> str:
    """Candidate times with their odds, and what would tell more where they are even."""
    if not found:
        return "no time since it was last seen going fits this dial: were its hands moved?"
    rows = [(words.when(at, zone), f"{odds * 100:.0f} %") for at, odds in found if odds >= SHOWN]
    lines = [words.table(("STOPPED AT", "ODDS"), rows, right=("ODDS",))]
    if len(rows) < len(found):
        lines.append(f"and {len(found) - len(rows)} more, each under 1 %")
    if len(found) > 1 and found[0][1] - found[-1][1] < SHOWN:
        lines.append("The dial alone leaves every half-day alike: a weight as it hangs, or a moon, would tell.")
    return "\n".join(lines)
