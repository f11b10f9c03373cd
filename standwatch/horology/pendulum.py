"""The pendulum: length and beats, circular error, and what a turn of the rating nut does.

Lengths are of the simple pendulum in mm (not what is stamped on a pendulum, which is its overall length), at standard
gravity unless said otherwise; half-swings in degrees; rates in s/day, + gaining.
"""

from __future__ import annotations

import math

from standwatch.horology.kinds import Traits
from standwatch.model.facts import Clock
from standwatch.model.units import DAY_S

SECONDS_PENDULUM_MM = 993.621386
"""Length of the seconds pendulum at standard gravity: 9.80665 m/s^2 / pi^2."""
NUT_PITCH_MM = 0.65
"""Middle of the usual threads of a rating nut (common practice)."""
USUAL_PITCHES_MM = (0.5, 0.8)
"""The finest and the coarsest usual thread; old ones may be coarser."""
NUT_SHARE = 0.9
"""How much of the bob's travel is travel of the centre of oscillation (common practice: 0.8 to 1)."""
AIR_S_PER_DAY_PER_HPA = 0.011
"""s/day lost a hPa: denser air carries more of the bob."""
NUT_DOUBT = 0.25
"""Relative standard doubt of a turn's effect until the clock's own turns have taught it (common practice)."""


def length_mm(beats_per_hour: float) -> float:
    """Length in mm of a pendulum that beats so often an hour: L = 993.621386 (3600/n)^2."""
    return SECONDS_PENDULUM_MM * (3600.0 / beats_per_hour) ** 2


def beats_per_hour(length_mm: float) -> float:
    """Beats an hour of a pendulum of `length_mm`; the inverse of `length_mm`."""
    return 3600.0 * math.sqrt(SECONDS_PENDULUM_MM / length_mm)


def s_per_day_per_mm(length_mm: float) -> float:
    """s/day gained by shortening a pendulum by one mm: 43200/L (E. Beckett, Clocks, Watches and Bells, 1903, p. 50)."""
    return DAY_S / 2 / length_mm


def period_ratio(half_swing_deg: float) -> float:
    """Period at `half_swing_deg` over the period of a vanishing swing, exact: (2/pi) K(m), m = sin^2(theta/2).

    By the arithmetic-geometric mean, K(m) = pi / (2 agm(1, sqrt(1 - m))) (Abramowitz & Stegun 17.6.3; DLMF 19.8.5).
    Takes 0 <= half-swing < 180 degrees; raises ValueError elsewhere.
    """
    if not 0 <= half_swing_deg < 180:
        raise ValueError("a half-swing lies from 0 to under 180 degrees")
    return 1.0 / _agm(1.0, math.cos(math.radians(half_swing_deg) / 2))


def circular_error_s_per_day(half_swing_deg: float) -> float:
    """s/day lost at `half_swing_deg` against a vanishing swing: 86400 (1 - 1/r), r the `period_ratio`; + loses."""
    return DAY_S * (1.0 - 1.0 / period_ratio(half_swing_deg))


def half_swing_deg(circular_error_s_per_day: float) -> float:
    """The half-swing in degrees whose circular error is so many s/day lost; the inverse, by bisection."""
    if not 0 <= circular_error_s_per_day < DAY_S:
        raise ValueError("a circular error lies from 0 to under 86400 s/day")
    wanted = 1.0 - circular_error_s_per_day / DAY_S
    low, high = 0.0, math.pi / 2  # of theta/2
    for _ in range(60):
        middle = (low + high) / 2
        if _agm(1.0, math.cos(middle)) > wanted:
            low = middle
        else:
            high = middle
    return math.degrees(low + high)


def added_mass_s_per_day(mass_ratio: float, depth: float = 0.5) -> float:
    """s/day gained by a small mass laid on the rod, `mass_ratio` of the bob's, at `depth` of the length.

    43200 (m/M) x (1 - x); half-way down it is 10800 m/M (E. Beckett 1903, p. 51).
    """
    return DAY_S / 2 * mass_ratio * depth * (1.0 - depth)


def pressure_loss_s_per_day(rise_hpa: float) -> float:
    """s/day lost where the air's pressure rises by `rise_hpa` (+ loses): about 0.011 a hPa.

    Encyclopaedia Britannica, 11th ed. 1911, "Clock", gives 0.0113 and 0.0109 of two pendulums; by bob and case it is
    0.005 to 0.015.
    """
    return AIR_S_PER_DAY_PER_HPA * rise_hpa


def seconds_hand_turn_s(beats_per_hour: float, escape_teeth: int = 30) -> float:
    """Seconds in which a hand on the escape wheel's arbor goes round: two beats a tooth, exact.

    60 at 3600 beats an hour and the usual 30 teeth; 54.5 at 3960, where it shows no seconds.
    """
    return 2 * escape_teeth * 3600.0 / beats_per_hour


def exchange_hours(beats_per_hour: float, difference_s_per_day: float) -> float:
    """Hours in which two near-equal pendulums on one support pass their swing to each other and back.

    The beat of two coupled oscillators: 86400 T / |difference| seconds, T = 7200/beats the period in s (any text on
    coupled oscillations). Raises ValueError where they do not differ.
    """
    if difference_s_per_day == 0:
        raise ValueError("two pendulums that keep the same time have no beat")
    return DAY_S * (7200.0 / beats_per_hour) / abs(difference_s_per_day) / 3600.0


def turn_s_per_day(clock: Clock, traits: Traits) -> tuple[float, float] | None:
    """s/day gained by one turn of the rating nut that raises the bob, and its standard doubt.

    S = 43200 pitch k / L with k = 0.9, doubt 25 % (common practice). None where no bob hangs on a nut: balances,
    torsion pendulums, a reference.
    """
    if traits.oscillator != "pendulum" or traits.reference:
        return None
    pitch = clock.nut_pitch_mm or NUT_PITCH_MM
    turn = s_per_day_per_mm(length_mm(traits.beats_per_hour)) * pitch * NUT_SHARE
    return turn, NUT_DOUBT * turn


def _agm(a: float, b: float) -> float:
    """Arithmetic-geometric mean of two numbers over or at 0."""
    while abs(a - b) > 1e-15 * a:
        a, b = (a + b) / 2, math.sqrt(a * b)
    return (a + b) / 2
