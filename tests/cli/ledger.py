"""Ledgers as lines (tests/stories.py), taken in by the command line's own import, and what `status --json` says."""

from __future__ import annotations

import shlex
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from tests.cli.conftest import Program
from tests.shop import Row, write_ledger
from tests.stories import at

MET, MISSED, OPEN, NONE = "met", "missed", "not-yet-known", "not-applicable"


def checkins(lines: str | Iterable[str], tag: str = "T1") -> list[Row]:
    """The rows of checkins.csv that the lines tell, in their order."""
    told = lines.splitlines() if isinstance(lines, str) else list(lines)
    rows: list[Row] = []
    for line in told:
        if not line.strip() or line.strip().startswith("#"):
            continue
        day, time, *cells = shlex.split(line)
        values = {name: text for name, _, text in (cell.partition("=") for cell in cells)}
        rows.append({"at": at(f"{day} {time}"), "tag": tag, **values})
    return rows


def folder(program: Program) -> Path:
    """A folder of its own for one more ledger."""
    place = program.book.parent
    return place / f"ledger-{sum(1 for _ in place.glob('ledger-*'))}"


def keep(
    program: Program, kind: str, lines: str | Iterable[str], *, now: str, tag: str = "T1", **columns: object
) -> None:
    """Import one clock and its rows."""
    clock: Row = {"tag": tag, "kind": kind, **columns}
    program("import", write_ledger(folder(program), [clock], checkins(lines, tag)), now=moment(now))


def add(program: Program, lines: str | Iterable[str], *, now: str, tag: str = "T1") -> None:
    """Import further rows of a clock that is there already."""
    program("import", write_ledger(folder(program), [], checkins(lines, tag)) / "checkins.csv", now=moment(now))


def moment(text: str) -> datetime:
    """ "11-20 08:20" of 2026, in London."""
    return at(text)


@dataclass(frozen=True)
class Seen:
    """One clock of `status --json`."""

    told: Any

    @property
    def standing(self) -> str:
        """Its standing."""
        return str(self.told["standing"])

    @property
    def next(self) -> str:
        """The code of its next step."""
        return str(self.told["next"]["code"])

    def __getitem__(self, name: str) -> Any:
        return self.told[name]

    def requirement(self, name: str) -> Any:
        """One requirement, whole."""
        return next(each for each in self.told["requirements"] if each["name"] == name)

    def outcome(self, name: str) -> str:
        """The outcome of one requirement."""
        return str(self.requirement(name)["outcome"])

    def observed(self, name: str) -> Any:
        """What was observed of one requirement."""
        return self.requirement(name)["observed"]

    @property
    def outcomes(self) -> dict[str, str]:
        """Every requirement's outcome."""
        return {each["name"]: each["outcome"] for each in self.told["requirements"]}


def seen(program: Program, now: str, tag: str = "T1") -> Seen:
    """The clock as `status --json` shows it at `now`."""
    [clock] = program("status", tag, "--json", now=moment(now)).json["clocks"]
    return Seen(clock)


def story(program: Program, kind: str, lines: str | Iterable[str], *, now: str, **columns: Any) -> Seen:
    """Import a ledger and look at its clock."""
    keep(program, kind, lines, now=now, **columns)
    return seen(program, now)


def after(seen_at: str, told: Any) -> float:
    """Hours from a time of the story to an ISO time that the program told."""
    return (datetime.fromisoformat(told) - at(seen_at)).total_seconds() / 3600
