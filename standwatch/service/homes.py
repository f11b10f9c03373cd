"""What the follow-ups of clocks gone home have taught of moves, each worked out once as long as its facts stay."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from standwatch.estimate.history import History
from standwatch.estimate.owners_place import owner_site
from standwatch.horology.gravity import Site
from standwatch.model.facts import Handover
from standwatch.model.records import Record
from standwatch.service.office.shelf import ClockFacts

if TYPE_CHECKING:  # numpy, which tags are shown without
    from standwatch.estimate.answers import Timekeeping
    from standwatch.estimate.at_home import FollowUp

MOST_GONE = 60
"""So many clocks that move alike teach of moves, those that went home last: enough, and as the shop moves them now."""
Known = Callable[[Sequence[ClockFacts]], "Sequence[tuple[History, Timekeeping]]"]
"""The History and timekeeping of clocks by these facts."""


@dataclass(frozen=True, slots=True)
class _Kept:
    """What one stay at its owner's taught, by `counted` errors told there, the shop's place taken to be `shop`."""

    facts: ClockFacts
    counted: int
    shop: Site | None
    follow_up: FollowUp | None


@dataclass(frozen=True, slots=True)
class _Stay:
    """One stay at its owner's from `gone` on, its facts up to the stay's end, of which `counted` are errors told."""

    all_facts: ClockFacts
    gone: datetime
    facts: ClockFacts
    counted: int

    @property
    def place(self) -> tuple[str, datetime]:
        """Whose stay it is, and which."""
        return self.facts.clock.body.tag, self.gone


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
        stays = [
            _Stay(facts, gone, stay, counted)
            for tag, facts in sorted(clocks.items())
            for gone, stay in _stays(facts, now)
            # how it was left, and how it was found
            if (tag, gone) != here and (counted := _told(stay, gone)) >= 2
        ]
        new = [stay for stay in stays if not self._still_good(stay, shop)]
        for stay, (there, time) in zip(new, known([stay.facts for stay in new]) if new else (), strict=True):
            self._kept[stay.place] = _Kept(stay.all_facts, stay.counted, shop, _taught(there, time, shop))
        kept = [self._kept[stay.place].follow_up for stay in stays]
        return [follow_up for follow_up in kept if follow_up is not None]

    def _still_good(self, stay: _Stay, shop: Site | None) -> bool:
        kept = self._kept.get(stay.place)
        return kept is not None and kept.facts is stay.all_facts and (kept.counted, kept.shop) == (stay.counted, shop)


def _taught(history: History, time: Timekeeping, shop: Site | None) -> FollowUp | None:
    from standwatch.estimate.at_home import AtHome, moves_of  # noqa: PLC0415  # tags are shown before the estimators are loaded

    return AtHome(history, time, moves_of("pendulum"), shop=shop, owner=owner_site(history.clock)).follow_up


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
