"""Gravity by latitude and height, and what it does to a pendulum that moves house.

Normal gravity of the WGS 84 ellipsoid (NIMA TR8350.2, 3rd ed. as amended, equations 4-1 and 4-3). Real gravity
differs from it from place to place by up to about 100 mGal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from standwatch.model.errors import BadValue
from standwatch.model.units import DAY_S

_EQUATOR_M_S2 = 9.7803253359
_SOMIGLIANA_K = 0.00193185265241
_ECCENTRICITY_2 = 0.00669437999013
_SEMI_MAJOR_M = 6378137.0
_FLATTENING = 1 / 298.257223563
_M = 0.00344978650684
"""omega^2 a^2 b / GM."""
ANOMALY_M_S2 = 1e-3
"""100 mGal: how far real gravity may lie from the normal."""

_MEND = "give LAT,METRES, such as 51.5,30"


@dataclass(frozen=True, slots=True)
class Site:
    """A place: geodetic latitude in degrees (north +) and height in metres."""

    latitude_deg: float
    height_m: float


def parse_site(text: str, column: str = "site") -> Site:
    """The place that "LAT,METRES" names, such as "51.5,30" or "-33.9,50"; BadValue of `column` where it names none."""
    try:
        latitude, height = (float(part) for part in text.split(","))
    except ValueError:
        raise BadValue(f"{column} {text!r} is no place; {_MEND}", column=column) from None
    if not (abs(latitude) <= 90 and -500 <= height <= 9000):
        raise BadValue(
            f"{column} {text!r} is out of range: latitude -90 to 90, metres -500 to 9000; {_MEND}", column=column
        )
    return Site(latitude, height)


def gravity_m_s2(site: Site) -> float:
    """Normal gravity in m/s^2 at `site`: Somigliana's formula, and its second-order series in the height."""
    sin2 = math.sin(math.radians(site.latitude_deg)) ** 2
    ground = _EQUATOR_M_S2 * (1 + _SOMIGLIANA_K * sin2) / math.sqrt(1 - _ECCENTRICITY_2 * sin2)
    h = site.height_m / _SEMI_MAJOR_M
    return ground * (1 - 2 * (1 + _FLATTENING + _M - 2 * _FLATTENING * sin2) * h + 3 * h * h)


def site_change(start: Site, end: Site) -> tuple[float, float]:
    """s/day by which a pendulum's rate changes when moved from `start` to `end` (+ gains), and its doubt.

    86400 (sqrt(g2/g1) - 1); the doubt is that of a local anomaly of 100 mGal, about 4.4 s/day.
    """
    here, there = gravity_m_s2(start), gravity_m_s2(end)
    change = DAY_S * (math.sqrt(there / here) - 1)
    doubt = DAY_S * (math.sqrt(1 + ANOMALY_M_S2 / here) - 1)
    return change, doubt
