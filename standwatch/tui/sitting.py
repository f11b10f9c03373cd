"""What is remembered from one page to the next while the screens are open, and nowhere else."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
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


def assessed(stand: Stand, tags: Iterable[str], now: datetime) -> dict[str, Assessment]:
    """Those of the clocks `tags` that are still in the book, worked out."""
    found = {}
    for tag in tags:
        with suppress(BadValue):  # it was taken back elsewhere
            found[tag] = stand.assess(tag, now)
    return found
