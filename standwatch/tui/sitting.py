"""What is remembered from one page to the next while the screens are open, and nowhere else."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import BadValue
from standwatch.model.words import Requirement
from standwatch.service.stand import Stand


@dataclass
class Sitting:
    """`papers`: the folder that is proposed for papers, None: none. `by`: the initials given last.

    `waiving`: reasons typed for waivers by tag, which are kept with the release and not before. `guests`: clocks that
    are looked at though the stand doesn't show them.
    """

    papers: Path | None = None
    by: str = ""
    waiving: dict[str, dict[Requirement, str]] = field(default_factory=dict)
    guests: dict[str, Assessment] = field(default_factory=dict)
    _cautioned: dict[str, date] = field(default_factory=dict)

    def first_on(self, today: date, about: str) -> bool:
        """Whether `today` is the first day, or a new one, on which cautions `about` something are shown; now it was."""
        before, self._cautioned[about] = self._cautioned.get(about), today
        return before != today

    def part(self, shown: Collection[str | None]) -> tuple[str, ...]:
        """Let the guests go of whom no page is `shown` any more; the tags of the others."""
        self.guests = {tag: told for tag, told in self.guests.items() if tag in shown}
        return tuple(self.guests)

    def welcome(self, guests: Mapping[str, Assessment | None]) -> None:
        """Guests as worked out anew; None for one that is not in the book any more."""
        for tag, told in guests.items():
            if told is None:
                self.guests.pop(tag, None)
            else:
                self.guests[tag] = told


def assessed(stand: Stand, tags: Iterable[str], now: datetime) -> dict[str, Assessment | None]:
    """The clocks `tags` worked out; None for one that was taken back elsewhere."""
    found: dict[str, Assessment | None] = dict.fromkeys(tags)
    for tag in found:
        with suppress(BadValue):
            found[tag] = stand.assess(tag, now)
    return found
