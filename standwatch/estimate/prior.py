"""What is known of a clock before any reading: its kind's limits and noise, its rod, what winding and nut may do."""

from __future__ import annotations

from dataclasses import dataclass

from standwatch.estimate.breaks import WIND_LOSS_S
from standwatch.estimate.grid import AS_THE_KIND
from standwatch.estimate.history import History
from standwatch.estimate.learned import Learned, NoiseShift
from standwatch.estimate.room import Room, root_mean_square
from standwatch.horology.pendulum import turn_s_per_day
from standwatch.horology.warmth import warmth_of
from standwatch.model.units import days
from standwatch.model.words import Drive, Work

ERROR_SD_S = 12000.0
"""How far off, in s, a clock may be that was never read, or whose error began anew: anywhere on its dial."""
REFERENCE_RATE_SD = 100.0
"""The rate in s/day of what has no limit, before any reading."""
REFERENCE_STRAY_SD = 0.0005
"""s/day by which a standard's rate strays over some days, as the Earth's does with the tides of weeks and the air
(0.3 to 0.4 ms a day; from memory)."""
CURVE_SD = 20.0
"""Standard deviation of a spring's wind curve, in s/day from fully wound to run down (common practice)."""
LOSS_SD_S = 7.0
"""How much the loss of a whole wind differs from clock to clock: standard deviation in s (common practice)."""
_ALL_LOGGED, _MOSTLY_LOGGED = 0.999, 0.5
"""Shares of a clock's time whose temperature is known: all of it; enough to refer its rate to 20 deg C."""
_ANY_TURN = 600.0
"""s/day that a told turn of an index or disc may make either way, whose unit nobody knows, until it has taught."""
_UNTOLD_TURN = 60.0
"""s/day that a turn (a mark) of an index or disc may make either way (common practice)."""


@dataclass(frozen=True, slots=True)
class Prior:
    """The states of one clock by name, with their means and variances; x and y come first.

    x error (s), y rate (s/day), v how the rate strays with a temperature nobody logged (s/day), b s/day lost a deg C
    warmer, c the wind's curve (s/day) or a wind's loss (s), s s/day of one turn of the nut.
    `mean` and `variance` are in `names`' order; `q1` (s^2/day) and `q2` ((s/day)^2/day) are the kind's noise and
    `noise` the factors on it; `stray_sd` is v's own standard deviation; `curved` and `lossy` say what c is. `turn` is
    what a turn that nobody logged may have done (s/day, 0 where there is no nut), `turn_scale` what one told turn does,
    roughly; `held_sd` s by which the error steps meanwhile.
    """

    names: tuple[str, ...]
    mean: tuple[float, ...]
    variance: tuple[float, ...]
    curved: bool
    lossy: bool
    stray_sd: float
    q1: float
    q2: float
    noise: NoiseShift
    turn: float
    turn_scale: float
    held_sd: float

    def has(self, name: str) -> bool:
        """Whether the clock has this state."""
        return name in self.names

    def place(self, name: str) -> int:
        """The state's place."""
        return self.names.index(name)

    def of(self, name: str) -> tuple[float, float]:
        """Mean and variance of a state; nought where the clock has none."""
        return (self.mean[self.place(name)], self.variance[self.place(name)]) if self.has(name) else (0.0, 0.0)


def prior_of(history: History, learned: Learned, room: Room) -> Prior:
    """What is known of the clock before any reading, with what the shop's own clocks have taught.

    v is there where some time between readings has no logged temperature, b where the room tells anything at all, c for
    springs and for weights without maintaining power, s where a turn was told. All are independent at the start.
    """
    traits, clock = history.traits, history.clock
    limit = traits.usual.mean_rate_limit
    rate_sd = REFERENCE_RATE_SD if traits.reference or not limit else 3 * limit
    b, b_sd = warmth_of(clock, traits)
    strays = REFERENCE_STRAY_SD if traits.reference else root_mean_square(b, b_sd) * room.sd_c
    states = {"x": (0.0, ERROR_SD_S**2), "y": (0.0, rate_sd**2)}
    read = history.readings
    logged = room.logged_share(days(read[0].at), days(read[-1].at)) if read else 0.0
    if strays and logged < _ALL_LOGGED:
        states["v"] = (0.0, strays**2)
    if b_sd and (logged >= _MOSTLY_LOGGED or room.warmer_c):
        states["b"] = (b, b_sd**2)
    # a torsion pendulum is watched for a month of a year's wind: its curve can't be told from its rate
    curved = traits.drive is Drive.SPRING and traits.oscillator != "torsion"
    lossy = traits.weights and not traits.maintaining
    if curved:
        states["c"] = (0.0, CURVE_SD**2)
    elif lossy:
        step = learned.winding
        states["c"] = (step.seconds, step.doubt_s**2) if step else (WIND_LOSS_S, LOSS_SD_S**2)
    physics = turn_s_per_day(clock, traits)
    if any(b.work is Work.NUT and b.amount is not None for b in history.breaks):
        states["s"] = (physics[0], physics[1] ** 2) if physics else (0.0, _ANY_TURN**2)
    return Prior(
        names=tuple(states),
        mean=tuple(mean for mean, _ in states.values()),
        variance=tuple(variance for _, variance in states.values()),
        curved=curved,
        lossy=lossy,
        stray_sd=strays if "v" in states else 0.0,
        q1=traits.q1_s**2,
        q2=traits.q2_s**2,
        noise=learned.noise.get(traits.kind.name, AS_THE_KIND),
        turn=0.0 if traits.reference else physics[0] if physics else _UNTOLD_TURN,
        turn_scale=physics[0] if physics else _UNTOLD_TURN,
        held_sd=2.0 if traits.oscillator == "balance" else 15.0,
    )
