"""What became of clocks after the stand: let go, taken home, called about, come back; and the year's seasons."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Sequence
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from unittest.mock import patch

from standwatch.bootstrap import open_stand
from standwatch.service.stand import Stand
from tests.demo.diary import NOW, Job, Row
from tests.demo.stand import ZONE, Room, civil

_OCTOBER = datetime(2026, 10, 1, tzinfo=UTC)
STEPS = ("releases.csv", "waivers.csv")
"""The files that the program itself writes, when its clocks are let go."""


class Seasons(Room):
    """The shop's temperature the year round; from October on it is that of the room that is told."""

    def __init__(self, seed: int, autumn: Room) -> None:
        super().__init__(seed)
        self._autumn = autumn
        rng = random.Random(f"{seed}/seasons")  # noqa: S311  # a simulation, no secret
        self._weather = [rng.gauss(0, 1.2) for _ in range(280)]

    def temperature(self, at: datetime) -> float:
        """deg C at `at`."""
        return self._autumn.temperature(at) if at >= _OCTOBER else super().temperature(at + timedelta(days=274))


@dataclass(frozen=True)
class Step:
    """One step after the stand, when it was taken."""

    at: datetime
    what: str
    cells: Row


@dataclass
class Past(Job):
    """A clock of earlier months, with what was done after its release."""

    steps: list[Step] = field(default_factory=list)

    def write(self, **cells: object) -> None:
        """One row of the ledger with an id of its own, which its release names."""
        chosen = random.Random(f"{self.tag}/{len(self.rows)}")  # noqa: S311  # no secret either
        fact = "".join(chosen.choices("23456789abcdefghijkmnpqrstuvwxyz", k=12))
        super().write(id=fact, **cells)

    def read(self, *whens: str, swing: bool = False, beat: bool = False, count: bool = False) -> None:
        """Read the error, and what else is said; `count`: the hour that strikes then, in the same row."""

        def event() -> None:
            cells: Row = {"error_s": self.clock.read_error(self.kit.how)}
            if count:
                hour, _ = self.clock.dial_quarter()
                cells |= {"hour": hour, "blows": hour}
            self.write(**cells, **(self._swing() if swing else {}), **(self._beat() if beat else {}))

        for when in whens:
            self.then(when, event)

    def _step(self, when: str, what: str, **cells: object) -> None:
        self.steps.append(Step(civil(when), what, cells))

    def released(self, when: str, by: str, **waive: str) -> None:
        """Let go by the program's own gate, with waivers where they are needed."""
        self.then(
            when, lambda: self._step(when, "release", by=by, waive={k.replace("_", "-"): v for k, v in waive.items()})
        )

    def delivered(self, when: str, *, move: float, said: str, wound_by: str = "", wall: bool | None = None) -> None:
        """Left at its owner's, where it goes `move` s/day faster than on the stand, and wound there from then on."""

        def event() -> None:
            self.clock.rate += move
            self.clock.error = self.clock.rng.gauss(0, 2)
            cells: Row = {"error_s": self.clock.read_error(self.kit.how), **self._swing(), **self._beat()}
            wanted = {"error_s", "amplitude_deg", "beat_error_pct", "beat_error_ms"}
            cells = {name: value for name, value in cells.items() if name in wanted} | {"reason": said}
            if wound_by:
                cells["wound_by"] = wound_by
            if wall is not None:
                cells["fixed_to_wall"] = "yes" if wall else "no"
            self._step(when, "deliver", **cells)

        self.then(when, event)
        at = civil(when)
        while (at := at + timedelta(days=1 if self.clock.nature.run_days < 2 else 7)) < NOW:
            self.then(at, lambda: self.clock.wind(("going", "strike", "chime")))

    def called(self, when: str, said: str, *, told: bool = True) -> None:
        """The owner was called, and told the time by the dial, to the five seconds."""

        def event() -> None:
            error = {"error_s": float(5 * round(self.clock.read_error("minute-hand") / 5))} if told else {}
            self._step(when, "call", reason=said, **error)

        self.then(when, event)

    def back(self, when: str, code: str, said: str, *, stopped: bool = False) -> None:
        """It came back, or somebody had to go to it."""

        def event() -> None:
            if stopped:
                self.clock.restart(0.0)
            self._step(when, "callback", code=code, reason=said, **({"stopped": "yes"} if stopped else {}))

        self.then(when, event)


def clock_id(tag: str) -> str:
    """The id of the fact that a clock of earlier months was put on the stand."""
    return f"clock-{tag}"


def let_go(ledger: Path, past: Sequence[Past], seed: int) -> dict[str, bytes]:
    """Each clock let go and called about at its own time by the program, from the rows in `ledger`; what it exports.

    The ids of the steps come from the seed, so that the same ledger gives the same bytes.
    """
    chosen = random.Random(f"{seed}/steps")  # noqa: S311  # no secret either
    with tempfile.TemporaryDirectory() as folder, patch("secrets.token_bytes", chosen.randbytes):
        with closing(open_stand(Path(folder) / "book.sqlite")) as stand:
            stand.import_ledger([ledger], NOW)
            for tag, step in sorted(
                ((each.tag, step) for each in past for step in each.steps), key=lambda pair: pair[1].at
            ):
                take(stand, tag, step)
            stand.export_ledger(Path(folder) / "out")
        return {name: (Path(folder) / "out" / name).read_bytes() for name in STEPS}


def take(stand: Stand, tag: str, step: Step) -> None:
    """One step by the use case that a person would take it by."""
    at = step.at.astimezone(ZONE)
    if step.what == "release":
        waive = step.cells["waive"]
        assert isinstance(waive, dict)
        stand.release(tag, by=str(step.cells["by"]), waive=waive, now=at)
    else:
        {"deliver": stand.deliver, "call": stand.call, "callback": stand.callback}[step.what](
            tag, {**step.cells, "at": at}, at
        )
