"""What the clocks of a kind truly are: drawn from the spread that the trade knows, one value a clock.

Noise: the kind's defaults times the clock's own multipliers, lognormal with standard deviations 0.40 (white frequency
noise), 0.45 (random walk) and 0.22 (reading). `scale` multiplies all of them, for a shop where the defaults are wrong.
Warmth, s/day lost a degree: a regulator's rod 0.05 +- 0.05, steel or unknown 0.40 +- 0.25, a plain balance
10.5 +- 1.5, cut 0.5 +- 1, alloy 0.3 +- 0.4, unknown 0.5 +- 0.5. The wind's curve of a spring +- 20 s/day from full to
run down (a fusee takes nearly all of it away). A key-wound weight clock without maintaining power loses 10 +- 8 s a
wind. All common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standwatch.horology.kinds import KINDS
from standwatch.model.words import Drive, KindName, ReadBy
from tests.simulated.physics import Floats
from tests.simulated.reading import WAYS

SPREAD = (0.40, 0.45, 0.22)
"""Log standard deviations of a clock's own multipliers of q1, q2 and the reading's doubt."""
BALANCES = {"plain": (10.5, 1.5), "cut": (0.5, 1.0), "alloy": (0.3, 0.4), None: (0.5, 0.5)}
_BY_SECONDS = {KindName.REGULATOR, KindName.LONGCASE}
_LOSES_AT_THE_KEY = {KindName.LONGCASE, KindName.FLOOR_CHIMING}
_FIRST_ERROR_S = 30.0


@dataclass(frozen=True)
class Natures:
    """Many clocks of one kind; each array has one value a clock.

    `q1_s`, `q2_s`, `reading_s` are standard deviations; `rate` s/day at 20 deg C and mean over a wind, at the first
    reading; `warmth` s/day lost a deg C; `curve` s/day from fully wound to run down; `loss_s` what a whole wind does to
    the error, with `loss_scatter_s` from one wind to the next; `turn` s/day gained for a turn that raises the bob.
    """

    kind: KindName
    balance: str | None
    read_by: ReadBy
    wound_every_d: int
    q1_s: Floats
    q2_s: Floats
    reading_s: Floats
    error_s: Floats
    rate: Floats
    warmth: Floats
    curve: Floats
    loss_s: Floats
    loss_scatter_s: float
    turn: Floats

    @property
    def clocks(self) -> int:
        """How many."""
        return len(self.rate)

    @property
    def limit(self) -> float:
        """The kind's mean rate limit, s/day."""
        return KINDS[self.kind].mean_rate_limit or 1.0

    @property
    def swings(self) -> bool:
        """Goes by a pendulum."""
        return KINDS[self.kind].oscillator == "pendulum"

    @property
    def weights(self) -> bool:
        """Driven by weights."""
        return KINDS[self.kind].drive is Drive.WEIGHT


def draw(
    kind: KindName,
    clocks: int,
    rng: np.random.Generator,
    *,
    scale: float = 1.0,
    rate_spread: float = 1.0,
    balance: str | None = None,
) -> Natures:
    """`clocks` clocks of `kind`, roughly regulated: rates +- `rate_spread` times the kind's limit."""
    row = KINDS[kind]
    read_by = ReadBy.SECONDS_HAND if kind in _BY_SECONDS else ReadBy.MINUTE_HAND
    own = np.exp(np.array(SPREAD)[:, None] * rng.standard_normal((3, clocks)))
    swings = row.oscillator == "pendulum"
    mean, sd = (0.05, 0.05) if kind is KindName.REGULATOR else (0.40, 0.25) if swings else BALANCES[balance]
    spring = row.drive is Drive.SPRING
    curve_sd = 0.0 if not spring or row.oscillator == "torsion" else 2.0 if kind is KindName.BRACKET else 20.0
    loses = kind in _LOSES_AT_THE_KEY
    metre = 993.621386 * (3600 / row.beats_per_hour) ** 2 / 1000
    # a turn is the thread's pitch, 0.5 to 0.8 mm, of which the bob follows eight to ten tenths (common practice)
    turn = 43.2 * rng.uniform(0.5, 0.8, clocks) * rng.uniform(0.8, 1.0, clocks) / metre
    return Natures(
        kind=kind,
        balance=balance,
        read_by=read_by,
        wound_every_d=7 if row.duration_h >= 168 else 1,
        q1_s=scale * own[0] * row.q1_s,
        q2_s=scale * own[1] * row.q2_s,
        reading_s=scale * own[2] * WAYS[read_by].doubt_s,
        error_s=_FIRST_ERROR_S * rng.standard_normal(clocks),
        rate=rate_spread * (row.mean_rate_limit or 1.0) * rng.standard_normal(clocks),
        warmth=mean + sd * rng.standard_normal(clocks),
        curve=curve_sd * rng.standard_normal(clocks),
        loss_s=(-10.0 + 7.5 * rng.standard_normal(clocks)) if loses else np.zeros(clocks),
        loss_scatter_s=2.5 if loses else 0.0,
        turn=turn,
    )
