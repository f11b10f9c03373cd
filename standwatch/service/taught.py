"""What the shop's own clocks taught, in words."""

from __future__ import annotations

from standwatch.estimate.breaks import WIND_LOSS_S
from standwatch.estimate.learned import Learned, NoiseShift, WindingStep
from standwatch.horology.kinds import KINDS
from standwatch.model.answers import Z95
from standwatch.model.units import round_to_doubt

_USUAL = "as usual"


def taught(learned: Learned) -> tuple[str, ...]:
    """A line for each default that was replaced: by how much, and how many clocks taught it."""
    lines = []
    for kind, shift in sorted(learned.noise.items(), key=lambda pair: KINDS[pair[0]].title):
        one = f"{shift.clocks} {KINDS[kind].title} clock" + ("s" if shift.clocks != 1 else "")
        lines.append(f"learned from {one}: {_noise(shift)}")
    if learned.winding is not None:
        lines.append(_winding(learned.winding))
    return tuple(lines)


def _noise(shift: NoiseShift) -> str:
    white, walk, reading = _factor(shift.white), _factor(shift.walk), _factor(shift.reading)
    wander = white if white == walk else f"{white} from day to day and {walk} from week to week"
    return f"they wander {wander} and are {'read' if reading == _USUAL else 'misread'} {reading}"


def _factor(value: float) -> str:
    told = f"{value:.1f}" if value >= 0.5 else f"{value:.2f}"
    return _USUAL if float(told) == 1 else f"{told} times the usual"


def _winding(step: WindingStep) -> str:
    value, doubt = round_to_doubt(abs(step.seconds), Z95 * step.doubt_s, most_decimals=1)
    what = "costs" if step.seconds <= 0 else "gains"
    clocks = f"{step.clocks} clock" + ("s" if step.clocks != 1 else "")
    return f"a wind {what} {value} ± {doubt} s (from {clocks}; usual {abs(WIND_LOSS_S):.0f})"
