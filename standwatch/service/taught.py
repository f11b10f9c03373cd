"""What the shop's own clocks taught, in words."""

from __future__ import annotations

import math

from standwatch.estimate.breaks import WIND_LOSS_S
from standwatch.estimate.learned import Learned, NoiseShift, SpringRuns, WindingStep
from standwatch.horology.kinds import KINDS
from standwatch.model.answers import Z95
from standwatch.model.units import round_to_doubt
from standwatch.model.words import KindName

_USUAL = "as usual"


def taught(learned: Learned) -> tuple[str, ...]:
    """A line for each default that was replaced: by how much, and how many clocks taught it."""
    lines = []
    for kind, shift in sorted(learned.noise.items(), key=lambda pair: KINDS[pair[0]].title):
        one = f"{shift.clocks} {KINDS[kind].title} clock" + ("s" if shift.clocks != 1 else "")
        lines.append(f"learned from {one}: {_noise(shift)}")
    if learned.winding is not None:
        lines.append(_winding(learned.winding))
    lines += [_springs(kind, runs) for kind, runs in sorted(learned.springs.items(), key=lambda p: KINDS[p[0]].title)]
    return tuple(lines)


def _noise(shift: NoiseShift) -> str:
    white, walk, reading = _factor(shift.white), _factor(shift.walk), _factor(shift.reading)
    wander = white if white == walk else f"{white} from day to day and {walk} from week to week"
    return f"they wander {wander} and are {'read' if reading == _USUAL else 'misread'} {reading}"


def _factor(value: float) -> str:
    told = f"{value:.1f}" if value >= 0.5 else f"{value:.2f}"
    return _USUAL if float(told) == 1 else f"{told} times the usual"


def _springs(kind: KindName, runs: SpringRuns) -> str:
    one = f"{runs.clocks} {KINDS[kind].title} clock" + ("s" if runs.clocks != 1 else "")
    low, high = (math.exp(runs.mean + side * Z95 * runs.sd) for side in (-1, 1))
    return f"learned from {one}: springs run {math.exp(runs.mean):.2f} times as rated ({low:.1f} to {high:.1f})"


def _winding(step: WindingStep) -> str:
    value, doubt = round_to_doubt(abs(step.seconds), Z95 * step.doubt_s, most_decimals=1)
    what = "costs" if step.seconds <= 0 else "gains"
    clocks = f"{step.clocks} clock" + ("s" if step.clocks != 1 else "")
    return f"a wind {what} {value} ± {doubt} s (from {clocks}; usual {abs(WIND_LOSS_S):.0f})"
