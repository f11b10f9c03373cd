"""What the follow-ups of clocks gone home have taught of moves, each worked out once as long as its facts stay."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from standwatch.estimate.history import History
from standwatch.estimate.owners_place import owner_site
from standwatch.horology.gravity import Site
from standwatch.model.facts import Handover
from standwatch.model.records import Record
from standwatch.service.shelf import ClockFacts

if TYPE_CHECKING:  # numpy, which tags are shown without
    from standwatch.estimate.answers import Timekeeping
    from standwatch.estimate.at_home import FollowUp

MOST_GONE = 40
"""So many clocks of a kind teach of moves, those that went home last."""
Known = Callable[[ClockFacts], "tuple[History, Timekeeping]"]
"""A clock's History and timekeeping by these facts."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """What one stay at its owner's taught, by `counted` errors told there, the shop's place taken to be `shop`."""

    facts: ClockFacts
    counted: int
    shop: Site | None
    follow_up: FollowUp | None


class Homes:
    """The clocks at their owners', and those that came back: what each stay told of moves."""

    def __init__(self) -> None:
        self._kept: dict[tuple[str, datetime], _Kept] = {}

    def follow_ups(
        self,
        history: History,
        clocks: Mapping[str, ClockFacts],
        now: datetime,
        known: Known,
        *,
        shop: Site | None = None,
    ) -> list[FollowUp]:
        """What every stay at an owner's had taught by `now`, but the one that the clock of `history` is on.

        `shop` is where the shop stands.
        """
        here = history.clock.tag, history.home_since
        return [
            follow_up
            for tag, facts in sorted(clocks.items())
            for gone, stay in _stays(facts, now)
            if (tag, gone) != here and (follow_up := self._follow_up(facts, gone, stay, known, shop)) is not None
        ]

    def _follow_up(
        self, facts: ClockFacts, gone: datetime, stay: ClockFacts, known: Known, shop: Site | None
    ) -> FollowUp | None:
        """What the stay from `gone` on taught; `facts` are all the clock's, `stay` those up to its end."""
        from standwatch.estimate.at_home import AtHome, moves_of  # noqa: PLC0415  # tags are shown before the estimators are loaded

        counted = _told(stay, gone)
        if counted < 2:  # how it was left, and how it was found
            return None
        place = facts.clock.body.tag, gone
        kept = self._kept.get(place)
        if kept is None or kept.facts is not facts or (kept.counted, kept.shop) != (counted, shop):
            there = AtHome(*known(stay), moves_of("pendulum"), shop=shop, owner=owner_site(facts.clock.body))
            kept = _Kept(facts, counted, shop, there.follow_up)
            self._kept[place] = kept
        return kept.follow_up


def _stays(facts: ClockFacts, now: datetime) -> Iterator[tuple[datetime, ClockFacts]]:
    """Each stay at its owner's begun by `now`: when it was delivered, and its facts up to the stay's end or `now`."""
    gone: datetime | None = None
    steps: list[Record[Handover]] = []
    for record in facts.handovers:
        step = record.body
        if step.at > now:
            break
        if step.what == "reopened" and gone is not None:
            yield gone, _until(facts, steps, step.at)
            gone = None
        steps.append(record)
        if step.what == "delivered":
            gone = step.at
    if gone is not None:
        yield gone, _until(facts, steps, now)


def _until(facts: ClockFacts, steps: list[Record[Handover]], end: datetime) -> ClockFacts:
    rows = tuple(record for record in facts.check_ins if record.body.at <= end)
    return replace(facts, check_ins=rows, handovers=tuple(steps))


def _told(stay: ClockFacts, gone: datetime) -> int:
    """How many errors were told from delivery on."""
    steps = [record.body for record in stay.handovers]
    told = sum(step.error_s is not None and step.at >= gone for step in steps)
    read = [record.body for record in stay.check_ins if record.body.at > gone]
    return told + sum(row.error_s is not None or row.dial is not None for row in read)
