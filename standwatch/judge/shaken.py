"""A rail that was bumped: for a day, what its clocks show is told, and none is judged by it."""

from __future__ import annotations

from datetime import datetime

from standwatch.estimate.history import History
from standwatch.estimate.swing import IN_DOUBT


def bumped_words(history: History) -> str:
    """ "rail bumped Thu 19 Nov 10:00: in doubt until Fri 20 Nov 10:00, and not judged by it"; empty otherwise."""
    lately = [bump for bump in history.bumps if bump <= history.now < bump + IN_DOUBT]
    if not lately or history.home_since is not None:
        return ""
    last = lately[-1]
    return (
        f"rail bumped {_time(history, last)}: what is read until {_time(history, last + IN_DOUBT)} is in doubt, "
        "and nothing is judged by it"
    )


def _time(history: History, at: datetime) -> str:
    local = at.astimezone(history.zone)
    return f"{local:%a} {local.day} {local:%b} {local:%H:%M}"
