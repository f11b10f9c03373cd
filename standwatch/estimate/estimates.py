"""Everything that is estimated of each clock."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from standwatch.estimate.answers import Estimates, Timekeeping
from standwatch.estimate.beside import beside_of
from standwatch.estimate.engine import Memory
from standwatch.estimate.history import History
from standwatch.estimate.leads import leads_of
from standwatch.estimate.leads.evidence import Evidence, Neighbour
from standwatch.estimate.leads.falls import seem_stuck
from standwatch.estimate.learned import DEFAULTS, Learned
from standwatch.estimate.power import power_of
from standwatch.estimate.swing import swing_of
from standwatch.estimate.timekeeping import timekeepings_of
from standwatch.estimate.unlogged_winds import unlogged_winds


def estimates_of(
    histories: Sequence[History], *, learned: Learned = DEFAULTS, memory: Memory | None = None
) -> list[Estimates]:
    """The estimates of all clocks of a stand, in the order of `histories`, which are weighed in one go.

    `learned` replaces the kinds' defaults; `memory` spares what was worked out before.
    """
    times = timekeepings_of(histories, learned=learned, memory=memory)
    return [estimates_with(history, time, learned=learned) for history, time in zip(histories, times, strict=True)]


def estimates_with(
    history: History,
    time: Timekeeping,
    neighbours: Sequence[tuple[History, Timekeeping]] = (),
    *,
    learned: Learned = DEFAULTS,
) -> Estimates:
    """The estimates of one clock whose error and rate are known already; `neighbours` hang alike on its rail."""
    power, swing = power_of(history, learned), swing_of(history)
    evidence = Evidence(history, time, power, swing, tuple(Neighbour(*each) for each in neighbours))
    return Estimates(
        history,
        time,
        power,
        swing,
        partial(leads_of, evidence),
        lambda: evidence.going,
        find_winds=partial(unlogged_winds, history),
        find_stuck=partial(seem_stuck, evidence),
        beside=beside_of(history, time, neighbours),
    )
