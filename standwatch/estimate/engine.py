"""The engine: many clocks' steps run through the Gaussian sum side by side, each going on from where it was left.

One clock costs the same alone as in a crowd and gives the same answer, bit for bit; so does going on from a posterior
that was kept, against working it out from nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from standwatch.estimate.batch import Batch, Posterior
from standwatch.estimate.decisions import Chances, chances
from standwatch.estimate.grid import Grid, grid
from standwatch.estimate.room import Room
from standwatch.estimate.timeline import Timeline

_KEPT = 3


@dataclass(slots=True)
class Memory:
    """Posteriors kept between questions, by clock, and rooms by what they are made of. It costs time alone to lose."""

    kept: dict[str, list[Posterior]] = field(default_factory=dict)
    rooms: dict[object, Room] = field(default_factory=dict)

    def before(self, key: str, line: Timeline, members: Grid) -> Posterior | None:
        """The latest kept posterior of the clock whose steps begin `line`'s."""
        fitting = [one for one in self.kept.get(key, ()) if _begins(one, line, members)]
        return max(fitting, key=lambda one: len(one.line.steps), default=None)

    def keep(self, key: str, one: Posterior) -> None:
        """Keep a posterior beside the last ones."""
        others = [other for other in self.kept.get(key, ()) if len(other.line.steps) != len(one.line.steps)]
        self.kept[key] = [*others, one][-_KEPT:]


def _begins(one: Posterior, line: Timeline, members: Grid) -> bool:
    count = len(one.line.steps)
    return (
        count <= len(line.steps)
        and one.line.prior == line.prior
        and one.grid.log_prior.tobytes() == members.log_prior.tobytes()
        and one.line.steps.tobytes() == line.steps[:count].tobytes()
    )


def posteriors(
    lines: Sequence[Timeline],
    *,
    keys: Sequence[str] = (),
    memory: Memory | None = None,
    grids: Sequence[Grid] = (),
    likely: Chances | None = None,
) -> list[Posterior]:
    """What is believed of each clock after its last step, in the order of `lines`.

    `keys` name the clocks in `memory`; `grids` replace the grid about what each prior says of the noise.
    """
    likely = likely or chances()
    of = list(grids) or _grids(lines)
    found: list[Posterior | None] = [None] * len(lines)
    groups: dict[tuple[int, bool, bool, int], list[int]] = {}
    earlier: list[Posterior | None] = [None] * len(lines)
    for number, line in enumerate(lines):
        before = memory.before(keys[number], line, of[number]) if memory is not None else None
        if before is not None and len(before.line.steps) == len(line.steps):
            found[number] = Posterior(
                line, before.grid, before.belief, before.odds, before.expected, before.expected_sd, before.log_evidence
            )
            continue
        earlier[number] = before
        names = line.prior.names
        groups.setdefault((len(names), "v" in names, "s" in names, of[number].members), []).append(number)
    for members in groups.values():
        batch = Batch([lines[n] for n in members], [of[n] for n in members], [earlier[n] for n in members], likely)
        for number, posterior in zip(members, batch.run(), strict=True):
            found[number] = posterior
    told = [one for one in found if one is not None]
    if memory is not None:
        for key, one in zip(keys, told, strict=True):
            memory.keep(key, one)
    return told


def _grids(lines: Sequence[Timeline]) -> list[Grid]:
    made: dict[object, Grid] = {}
    return [made.setdefault(line.prior.noise, grid(line.prior.noise)) for line in lines]
