"""Numbers with their doubt, or the reason why there is none yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class NotYetKnown:
    """No number, and why, in words that follow "not yet known:"."""

    because: str


@dataclass(frozen=True, slots=True)
class Quantity:
    """An estimate with its 95 % interval; the unit is in the name of what holds it."""

    estimate: float
    low: float
    high: float

    @property
    def doubt(self) -> float:
        """Half the 95 % interval's width, in the estimate's unit."""
        return (self.high - self.low) / 2

    @classmethod
    def normal(cls, mean: float, sd: float) -> Quantity:
        """Mean ± 1.96 standard deviations."""
        return cls(mean, mean - Z95 * sd, mean + Z95 * sd)


@dataclass(frozen=True, slots=True)
class Moment:
    """A time with its 95 % interval."""

    at: datetime
    low: datetime
    high: datetime


Z95 = 1.959963984540054
Answer = Quantity | NotYetKnown
