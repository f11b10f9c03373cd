"""The table as Markdown, and the page that keeps it: what lies between two comments there is the command's own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from tests.bench.engine.bounds import Bound
from tests.bench.engine.table import Row

BEGIN, END = "<!-- figures: begin -->", "<!-- figures: end -->"


@dataclass(frozen=True)
class Ran:
    """What a whole run came to: the rows of each seed, the command that gave them, and what it took."""

    rows: Mapping[int, Sequence[Row]]
    command: str
    bound: Bound
    day: date
    minutes: float
    cores: int


def markdown_of(ran: Ran) -> str:
    """Figures of each seed side by side, a line each; beneath, what the rows say in detail."""
    seeds = list(ran.rows)
    by_line: dict[str, dict[int, Row]] = {}
    for seed, rows in ran.rows.items():
        for row in rows:
            by_line.setdefault(row.line, {})[seed] = row
    what = "**Quick run: few clocks, to be replaced by a full one.** " if ran.bound.quick else ""
    ran_on = f"`{ran.command}` on {ran.day.day} {ran.day:%B %Y}: {ran.minutes:.0f} minutes on {ran.cores} cores"
    lines = [
        f"{what}{ran_on}; {ran.bound.words}.",
        "",
        _cells("", "goal", *(f"seed {seed}" for seed in seeds), "", "of"),
        "|" + "---|" * (len(seeds) + 4),
    ]
    for line, told in by_line.items():
        figures = (told[seed].figure if seed in told else "–" for seed in seeds)
        any_row = next(iter(told.values()))
        lines.append(_cells(line, any_row.goal, *figures, _verdict(told), any_row.size))
    details = [
        f"- {line}{f', seed {seed}' if len(seeds) > 1 else ''}: {detail.strip()}"
        for line, told in by_line.items()
        for seed, row in told.items()
        for detail in row.details
    ]
    return "\n".join([*lines, *(["", "In detail:", "", *details] if details else [])])


def rewritten(page: str, part: str) -> str:
    """`page` with `part` between its two comments; ValueError where it has them not, or not once each, in order."""
    if page.count(BEGIN) != 1 or page.count(END) != 1 or page.index(BEGIN) > page.index(END):
        raise ValueError(f"the page wants one {BEGIN} and after it one {END}")
    before, _, rest = page.partition(BEGIN)
    return f"{before}{BEGIN}\n{part}\n{END}{rest.partition(END)[2]}"


def _verdict(told: Mapping[int, Row]) -> str:
    missed = {seed: row.missed_by for seed, row in told.items() if row.reached is False}
    if missed:
        said = "; ".join(f"{by} (seed {seed})" if len(told) > 1 else by for seed, by in missed.items())
        return f"**missed**: {said}" if any(missed.values()) else "**missed**"
    return "reached" if all(row.reached for row in told.values()) else "no goal"


def _cells(*cells: str) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"
