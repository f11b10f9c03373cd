"""What the follow-ups of clocks gone home have taught of moves, each worked out once as long as its facts stay."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import TYPE_CHECKING

from standwatch.estimate.history import History
from standwatch.service.shelf import ClockFacts

if TYPE_CHECKING:  # numpy, which tags are shown without
    from standwatch.estimate.answers import Timekeeping
    from standwatch.estimate.at_home import AtHome, FollowUp

Known = Callable[[ClockFacts], "tuple[History, Timekeeping]"]
"""A clock's History and timekeeping."""


class Homes:
    """The clocks at their owners', for the error of any one of them."""

    def __init__(self) -> None:
        self._kept: dict[str, tuple[ClockFacts, int, FollowUp | None]] = {}

    def at_home(
        self, history: History, time: Timekeeping, clocks: Mapping[str, ClockFacts], now: datetime, known: Known
    ) -> AtHome:
        """The error at home of the clock of `history`, by what the follow-ups of the others had taught by `now`."""
        from standwatch.estimate.at_home import AtHome, manner_of, moves_of  # noqa: PLC0415  # tags are shown before the estimators are loaded

        own = history.clock.tag
        told = [
            follow_up
            for tag, facts in sorted(clocks.items())
            if tag != own and (follow_up := self._follow_up(tag, facts, now, known)) is not None
        ]
        return AtHome(history, time, moves_of(manner_of(history.traits), told))

    def _follow_up(self, tag: str, facts: ClockFacts, now: datetime, known: Known) -> FollowUp | None:
        from standwatch.estimate.at_home import AtHome, moves_of  # noqa: PLC0415  # the same

        counted = _told_at_home(facts, now)
        if counted < 2:
            return None
        kept = self._kept.get(tag)
        if kept is None or kept[0] is not facts or kept[1] != counted:
            kept = (facts, counted, AtHome(*known(facts), moves_of("pendulum")).follow_up)
            self._kept[tag] = kept
        return kept[2]


def _told_at_home(facts: ClockFacts, now: datetime) -> int:
    """How many errors were told by `now` from the last delivery on; 0 for a clock that is not away."""
    steps = facts.steps(now)
    gone = [step.at for step in steps if step.what == "delivered"]
    if not gone or any(step.what == "reopened" and step.at >= gone[-1] for step in steps):
        return 0
    told = sum(step.error_s is not None and step.at >= gone[-1] for step in steps)
    read = [r.body for r in facts.check_ins if gone[-1] < r.body.at <= now]
    return told + sum(row.error_s is not None or row.dial is not None for row in read)
