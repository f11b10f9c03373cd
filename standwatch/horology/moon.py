"""The moon: its age for setting a dial, and how well a dial keeps it.

New moons by J. Meeus, Astronomical Algorithms, chapter 49 (mean phase 49.1, periodic and planetary terms), good to
some seconds over these centuries; terrestrial time to UT by the polynomials of Espenak and Meeus (Five Millennium
Canon of Solar Eclipses, NASA 2006), good to some seconds until 2050. Constants from memory, held by tests against
Meeus' examples 49.a and 49.b and an independent ephemeris.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from standwatch.model.errors import BadValue

MEAN_LUNATION_D = 29.530588853
"""Mean synodic month in days."""

FIRST_YEAR, LAST_YEAR = 1600, 2399
"""Years within which new moons are good to minutes; further off, the Earth's own turning is not known so well."""

_Term = tuple[float, int, int, int, int]
_JD_2000 = 2451544.5
_EPOCH = datetime(2000, 1, 1, tzinfo=UTC)

# days; power of E; multiples of M (sun), M' (moon), F (node)
_NEW: tuple[_Term, ...] = (
    (-0.40720, 0, 0, 1, 0),
    (0.17241, 1, 1, 0, 0),
    (0.01608, 0, 0, 2, 0),
    (0.01039, 0, 0, 0, 2),
    (0.00739, 1, -1, 1, 0),
    (-0.00514, 1, 1, 1, 0),
    (0.00208, 2, 2, 0, 0),
    (-0.00111, 0, 0, 1, -2),
    (-0.00057, 0, 0, 1, 2),
    (0.00056, 1, 1, 2, 0),
    (-0.00042, 0, 0, 3, 0),
    (0.00042, 1, 1, 0, 2),
    (0.00038, 1, 1, 0, -2),
    (-0.00024, 1, -1, 2, 0),
    (-0.00007, 0, 2, 1, 0),
    (0.00004, 0, 0, 2, -2),
    (0.00004, 0, 3, 0, 0),
    (0.00003, 0, 1, 1, -2),
    (0.00003, 0, 0, 2, 2),
    (-0.00003, 0, 1, 1, 2),
    (0.00003, 0, -1, 1, 2),
    (-0.00002, 0, -1, 1, -2),
    (-0.00002, 0, 1, 3, 0),
    (0.00002, 0, 0, 4, 0),
)
_QUARTER: tuple[_Term, ...] = (
    (-0.62801, 0, 0, 1, 0),
    (0.17172, 1, 1, 0, 0),
    (-0.01183, 1, 1, 1, 0),
    (0.00862, 0, 0, 2, 0),
    (0.00804, 0, 0, 0, 2),
    (0.00454, 1, -1, 1, 0),
    (0.00204, 2, 2, 0, 0),
    (-0.00180, 0, 0, 1, -2),
    (-0.00070, 0, 0, 1, 2),
    (-0.00040, 0, 0, 3, 0),
    (-0.00034, 1, -1, 2, 0),
    (0.00032, 1, 1, 0, 2),
    (0.00032, 1, 1, 0, -2),
    (-0.00028, 2, 2, 1, 0),
    (0.00027, 1, 1, 2, 0),
    (-0.00005, 0, -1, 1, -2),
    (0.00004, 0, 0, 2, 2),
    (-0.00004, 0, 1, 1, 2),
    (0.00004, 0, -2, 1, 0),
    (0.00003, 0, 1, 1, -2),
    (0.00003, 0, 3, 0, 0),
    (0.00002, 0, 0, 2, -2),
    (0.00002, 0, -1, 1, 2),
    (-0.00002, 0, 1, 3, 0),
)
_NODE_TERM = -0.00017
# days; degrees at k = 0; degrees a lunation. The first has a term in T^2 as well.
_PLANETS = (
    (0.000325, 299.77, 0.107408),
    (0.000165, 251.88, 0.016321),
    (0.000164, 251.83, 26.651886),
    (0.000126, 349.42, 36.412478),
    (0.000110, 84.66, 18.206239),
    (0.000062, 141.74, 53.303771),
    (0.000060, 207.14, 2.453732),
    (0.000056, 154.84, 7.306860),
    (0.000047, 34.52, 27.261239),
    (0.000042, 207.19, 0.121824),
    (0.000040, 291.34, 1.844379),
    (0.000037, 161.72, 24.198154),
    (0.000035, 239.56, 25.513099),
    (0.000023, 331.55, 3.592518),
)


def new_moon_jde(k: int) -> float:
    """The `k`-th new moon after that of 6 January 2000, as a Julian day in terrestrial time (Meeus 49.1)."""
    return _phase_jde(float(k), _NEW, 0.0)


def quarter_jde(k: float) -> float:
    """The quarter of lunation `k` (k.25 first, k.75 last), as a Julian day in terrestrial time (Meeus 49.1).

    Half the moon is lit then, as a dial shows it. Raises ValueError where `k` is no quarter.
    """
    share = k - math.floor(k)
    if share not in {0.25, 0.75}:
        raise ValueError("a quarter of the moon is k.25 or k.75")
    return _phase_jde(k, _QUARTER, 1.0 if share == 0.25 else -1.0)


def _phase_jde(k: float, terms: Sequence[_Term], first: float) -> float:
    """The mean phase with its terms; at a quarter W is added to the first and taken off the last."""
    t = k / 1236.85
    mean = 2451550.09766 + 29.530588861 * k + t * t * (0.00015437 + t * (-0.000000150 + t * 0.00000000073))
    sun = math.radians(2.5534 + 29.10535670 * k - t * t * (0.0000014 + 0.00000011 * t))
    moon = math.radians(201.5643 + 385.81693528 * k + t * t * (0.0107582 + t * (0.00001238 - t * 0.000000058)))
    node = math.radians(160.7108 + 390.67050284 * k - t * t * (0.0016118 + t * (0.00000227 - t * 0.000000011)))
    omega = math.radians(124.7746 - 1.56375588 * k + t * t * (0.0020672 + 0.00000215 * t))
    e = 1 - t * (0.002516 + 0.0000074 * t)
    periodic = sum(size * e**p * math.sin(s * sun + m * moon + n * node) for size, p, s, m, n in terms)
    planets = sum(
        size * math.sin(math.radians(start + step * k - (0.009173 * t * t if size == _PLANETS[0][0] else 0.0)))
        for size, start, step in _PLANETS
    )
    w = 0.00306 - 0.00038 * e * math.cos(sun) + 0.00026 * math.cos(moon) - 0.00002 * math.cos(moon - sun)
    w += 0.00002 * math.cos(moon + sun) + 0.00002 * math.cos(2 * node)
    return mean + periodic + _NODE_TERM * math.sin(omega) + planets + first * w


def new_moon_before(at: datetime) -> datetime:
    """The last new moon at or before `at`, in UTC. BadValue for a year outside FIRST_YEAR to LAST_YEAR."""
    return _utc(new_moon_jde(_lunation(at)))


def half_moons(at: datetime) -> tuple[datetime, datetime]:
    """When the moon of the lunation at `at` is half lit, growing and waning, in UTC. BadValue as `new_moon_before`."""
    k = _lunation(at)
    return _utc(quarter_jde(k + 0.25)), _utc(quarter_jde(k + 0.75))


def age_days(at: datetime) -> float:
    """Days since the last new moon at `at`: what a moon dial should show. BadValue as `new_moon_before`."""
    return (at - new_moon_before(at)) / timedelta(days=1)


def dial_gain_min_per_lunation(teeth: int = 59) -> float:
    """Minutes that a moon wheel moved by a tooth twice a day gains on the moon in one lunation.

    59 teeth make 29.5 days, 44 minutes short of a lunation (E. Beckett 1903, p. 140).
    """
    return (MEAN_LUNATION_D - teeth / 2) * 1440


def _lunation(at: datetime) -> int:
    """The lunation that `at` lies in, counted as Meeus does."""
    if not FIRST_YEAR <= at.year <= LAST_YEAR:
        raise BadValue(
            f"the moon of {at.year} is not worked out; give a time in {FIRST_YEAR} to {LAST_YEAR}", column="at"
        )
    k = math.floor((_julian_day(at) - 2451550.09766) / MEAN_LUNATION_D) + 1
    while _utc(new_moon_jde(k)) > at:
        k -= 1
    return k


def _utc(jde: float) -> datetime:
    """A Julian day in terrestrial time as UTC."""
    terrestrial = _EPOCH + timedelta(days=jde - _JD_2000)
    return terrestrial - timedelta(seconds=_delta_t_s(2000 + (jde - _JD_2000) / 365.25))


def _julian_day(at: datetime) -> float:
    return _JD_2000 + (at - _EPOCH) / timedelta(days=1)


def _delta_t_s(year: float) -> float:
    """Terrestrial time less UT in seconds (Espenak and Meeus 2006)."""
    t = year - 2000
    if 1961 <= year < 1986:
        u = year - 1975
        return 45.45 + 1.067 * u - u * u / 260 - u**3 / 718
    if 1986 <= year < 2005:
        return 63.86 + t * (0.3345 + t * (-0.060374 + t * (0.0017275 + t * (0.000651814 + t * 0.00002373599))))
    if 2005 <= year < 2050:
        return 62.92 + t * (0.32217 + 0.005589 * t)
    centuries = (year - 1820) / 100
    return -20 + 32 * centuries**2 - (0.5628 * (2150 - year) if 2050 <= year < 2150 else 0.0)
