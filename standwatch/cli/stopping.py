"""Stops as plain text: when a clock found hanging may have stopped, and what is known of each."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from standwatch.cli import words
from standwatch.judge.assessment import Assessment
from standwatch.judge.chiming import silences_told
from standwatch.judge.stopping import nearest_minute, odds_words, stops_told

SHOWN = 0.01
"""Candidates under these odds are only counted."""


_EVEN_WEIGHT = "The dial alone leaves every half-day alike: how far its weights have fallen would tell."
_EVEN_READ = "Where its weights hang fits no half-day better than another: wound since, and not told?"
_EVEN_SPRING = "A spring's dial leaves every half-day alike: whoever heard it later rules out the earlier ones."
MOST = 3
"""Of more stops that want explaining the rest are counted."""


def stops(found: Assessment) -> list[str]:
    """The stops that want something, and the chime's silences that nobody explained, as lines of a clock's page."""
    told = stops_told(found.estimates.history, found.going)
    lines = [line for each in told[:MOST] for line in (f"  stop        {each.text}", f"              {each.mend}")]
    more = [f"  stop        {len(told) - MOST} more before these, not explained"] if len(told) > MOST else []
    silences = [line for text, mend in silences_told(found.estimates.history)[:MOST]
                for line in (f"  silent      {text}", f"              {mend}")]  # fmt: skip
    return [line for line in [*lines, *more, *silences] if line.strip()]


def candidates(found: Sequence[tuple[datetime, float]], zone: ZoneInfo, *, weights: bool, read: bool = False) -> str:
    """Candidate times with their odds, and what would tell more where they are even.

    `weights` drive the clock; `read`: how far they have fallen was told.
    """
    if not found:
        return "no time since it was last seen going fits this dial: were its hands moved?"
    rows = [(words.when(nearest_minute(at), zone), odds_words(odds)) for at, odds in found if odds >= SHOWN]
    lines = [words.table(("STOPPED AT", "ODDS"), rows, right=("ODDS",))]
    if len(rows) < len(found):
        lines.append(f"and {len(found) - len(rows)} more, each under 1 %")
    if len(found) > 1 and found[0][1] - found[-1][1] < SHOWN:
        lines.append((_EVEN_READ if read else _EVEN_WEIGHT) if weights else _EVEN_SPRING)
    return "\n".join(lines)
