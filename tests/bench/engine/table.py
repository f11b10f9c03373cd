"""The table's rows, and how they are printed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from tests.bench.run import AnyRun


@dataclass(frozen=True)
class Row:
    """One figure against its goal. `reached` None: there is none. `missed_by` says how much is missing, if any is."""

    line: str
    figure: str
    goal: str
    reached: bool | None
    size: str
    missed_by: str = ""
    details: tuple[str, ...] = ()

    @property
    def verdict(self) -> str:
        """In words."""
        if self.reached is None:
            return "no goal"
        return "reached" if self.reached else f"MISSED{': ' + self.missed_by if self.missed_by else ''}"


@dataclass(frozen=True)
class Sizes:
    """How many clocks: a cell; of them for the straight lines and for the fitted trend; and so on."""

    clocks: int
    straight: int
    trend: int
    judged: int
    events: int
    quiet: int
    learned: int
    outside: int
    stand: int
    earth: bool


FULL = Sizes(
    clocks=1000,
    straight=200,
    trend=20,
    judged=500,
    events=500,
    quiet=2000,
    learned=1000,
    outside=500,
    stand=300,
    earth=True,
)
QUICK = Sizes(
    clocks=120,
    straight=40,
    trend=16,
    judged=30,
    events=90,
    quiet=300,
    learned=150,
    outside=100,
    stand=300,
    earth=False,
)


Run: TypeAlias = AnyRun[Sizes]


def text_of(rows: Iterable[Row]) -> str:
    """The rows as aligned text; details beneath their row."""
    listed = list(rows)
    widths = [max(len(getattr(row, name)) for row in listed) for name in ("line", "figure", "goal", "verdict")]
    lines = []
    for row in listed:
        cells = (row.line, row.figure, row.goal, row.verdict)
        lines.append("  ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)) + "  " + row.size)
        lines += [f"    {detail}" for detail in row.details]
    return "\n".join(lines)
