"""What the shop's own clocks have taught, in place of a default; worked out from facts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from standwatch.model.words import KindName


@dataclass(frozen=True, slots=True)
class NoiseShift:
    """How much more (or less) than the table says the clocks of a kind wander and are misread: factors on the sd.

    `white` is of q1, `walk` of q2, `reading` of the reading's doubt; `clocks` how many taught it.
    """

    white: float
    walk: float
    reading: float
    clocks: int


@dataclass(frozen=True, slots=True)
class WindingStep:
    """What a whole wind without maintaining power does to the error in this shop: seconds and standard doubt."""

    seconds: float
    doubt_s: float
    clocks: int


@dataclass(frozen=True, slots=True)
class SpringRuns:
    """How long springs of a kind really run: mean and standard deviation of log(real run / rated).

    `clocks` is how many taught it.
    """

    mean: float
    sd: float
    clocks: int


@dataclass(frozen=True, slots=True)
class Learned:
    """Defaults that the shop's own clocks have replaced; empty where none has."""

    noise: Mapping[KindName, NoiseShift] = field(default_factory=dict)
    winding: WindingStep | None = None
    springs: Mapping[KindName, SpringRuns] = field(default_factory=dict)


DEFAULTS = Learned()
