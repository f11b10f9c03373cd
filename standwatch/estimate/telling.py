"""One telling of where a weight is and how it falls.

Fall f, speed m (1 = the kind's), bow c (it falls faster below the middle of its way where the line builds up layers)
and parallax o (how far off the eye reads that scale) are kept as one Gaussian of four, moved on by
df = v m (1 + c (f/F - 1/2)) d theta and corrected by readings f + o + e (the extended Kalman filter).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

TOP_MM = 10.0
TOP_SD_MM = 6.0
"""How far from the top a weight is left by a wind to the top: anywhere from 0 to 20 mm (common practice)."""
LEAST_SPEED = 0.05
"""No weight is forecast slower than this share of the kind's speed: what stands still is a fault, not a speed."""
MOST_DAYS = 1000.0

_NORMAL = NormalDist()
_ROOT_HALF, _PEAK = math.sqrt(0.5), 1 / math.sqrt(2 * math.pi)
_LOG_TWO_PI = math.log(2 * math.pi)


@dataclass(slots=True)
class Row:
    """One telling of what happened: its log weight, its reading variance, and a Gaussian of (f, m, c, o)."""

    log_weight: float
    noise: float
    f: float
    m: float
    c: float
    o: float
    ff: float
    fm: float
    fc: float
    fo: float
    mm: float
    mc: float
    mo: float
    cc: float
    co: float
    oo: float

    def copy(self) -> Row:
        """The same telling, to go another way from here."""
        return Row(
            self.log_weight, self.noise, self.f, self.m, self.c, self.o, self.ff, self.fm, self.fc, self.fo,
            self.mm, self.mc, self.mo, self.cc, self.co, self.oo,
        )  # fmt: skip

    def ahead(self, step: float, floor: float) -> tuple[float, float, float, float]:
        """The fall after `step` mm at the kind's speed, and how it answers to f, m and c now."""
        m, c = self.m, self.c
        moved = step * max(m, LEAST_SPEED)
        share = (self.f + moved / 2) / floor - 0.5
        bent, more = c * share, moved * c / floor
        return self.f + moved * (1 + bent), 1 + more, step * (1 + bent + more / 2), moved * share

    def fall_ahead(self, step: float, floor: float) -> tuple[float, float]:
        """Mean and variance of the fall after `step` mm at the kind's speed."""
        fall, jf, jm, jc = self.ahead(step, floor)
        cross = jf * (jm * self.fm + jc * self.fc) + jm * jc * self.mc
        return fall, jf * jf * self.ff + jm * jm * self.mm + jc * jc * self.cc + 2 * cross

    def landed(self, step: float, floor: float, lowest: float, sd: float) -> float:
        """The probability that after `step` mm at the kind's speed it is at `lowest`, known to `sd` mm."""
        fall, variance = self.fall_ahead(step, floor)
        return 0.5 * math.erfc((lowest - fall) / math.sqrt(2 * (max(variance, 0.0) + sd * sd)))

    def advance(self, step: float, floor: float) -> None:
        """Let the weight fall `step` mm at the kind's speed."""
        fall, jf, jm, jc = self.ahead(step, floor)
        fm, fc, mc = self.fm, self.fc, self.mc
        to_f = jf * self.ff + jm * fm + jc * fc
        to_m = jf * fm + jm * self.mm + jc * mc
        to_c = jf * fc + jm * mc + jc * self.cc
        self.fo = jf * self.fo + jm * self.mo + jc * self.co
        self.f, self.ff, self.fm, self.fc = fall, jf * to_f + jm * to_m + jc * to_c, to_m, to_c

    def place(self, fall: float, variance: float) -> None:
        """Put the weight at `fall`, whatever was known of its place before."""
        self.f, self.ff, self.fm, self.fc, self.fo = fall, variance, 0.0, 0.0, 0.0

    def wind_up(self) -> None:
        """Wind to the top, which never lowers the weight: the lesser of where it was and the top (Clark 1961)."""
        top = TOP_SD_MM**2
        spread = math.sqrt(self.ff + top)
        z = (TOP_MM - self.f) / spread
        stays, density = 0.5 * math.erfc(-z * _ROOT_HALF), _PEAK * math.exp(-0.5 * z * z)
        mean = self.f * stays + TOP_MM * (1 - stays) - spread * density
        square = (self.f**2 + self.ff) * stays + (TOP_MM**2 + top) * (1 - stays)
        square -= (self.f + TOP_MM) * spread * density
        self.f, self.ff = mean, max(square - mean**2, 0.25)
        self.fm, self.fc, self.fo = self.fm * stays, self.fc * stays, self.fo * stays

    def miss(self, reading: float) -> tuple[float, float]:
        """How far a sound reading is from what was expected, and the variance of that."""
        return reading - self.f - self.o, self.ff + 2 * self.fo + self.oo + self.noise

    def observe(self, reading: float) -> None:
        """Take in one sound reading."""
        hf, hm, hc, ho = self.ff + self.fo, self.fm + self.mo, self.fc + self.co, self.fo + self.oo
        variance = hf + ho + self.noise
        gain = (reading - self.f - self.o) / variance
        self.f, self.m, self.c, self.o = self.f + hf * gain, self.m + hm * gain, self.c + hc * gain, self.o + ho * gain
        gf, gm, gc = hf / variance, hm / variance, hc / variance
        self.ff -= gf * hf
        self.fm -= gf * hm
        self.fc -= gf * hc
        self.fo -= gf * ho
        self.mm -= gm * hm
        self.mc -= gm * hc
        self.mo -= gm * ho
        self.cc -= gc * hc
        self.co -= gc * ho
        self.oo -= ho * ho / variance


def log_density(miss: float, variance: float) -> float:
    """The natural logarithm of a normal density at `miss` from its mean."""
    return -0.5 * (_LOG_TWO_PI + math.log(variance) + miss * miss / variance)


def crossing(chance: Callable[[float], float], wanted: float, least: float, usual: float) -> float:
    """Where the rising `chance` passes `wanted`, from `least` on, in units of which `usual` is a natural size."""

    def level(x: float) -> float:
        return _NORMAL.inv_cdf(min(max(chance(x), 1e-12), 1 - 1e-12)) - target

    target = _NORMAL.inv_cdf(min(max(wanted, 1e-12), 1 - 1e-12))
    low, at_low = least, level(least)
    if at_low >= 0:
        return least
    high = max(least, usual)
    at_high = level(high)
    while at_high < 0:
        if high > MOST_DAYS:
            return high
        low, at_low = high, at_high
        high += usual / 4
        usual *= 2
        at_high = level(high)
    side = 0
    for _ in range(40):  # false position, the end that stays halved (Illinois)
        middle = high - at_high * (high - low) / (at_high - at_low)
        at_middle = level(middle)
        if abs(high - low) < 1e-4 or abs(at_middle) < 1e-4:
            return middle
        if at_middle < 0:
            low, at_low = middle, at_middle
            at_high = at_high / 2 if side == -1 else at_high
            side = -1
        else:
            high, at_high = middle, at_middle
            at_low = at_low / 2 if side == 1 else at_low
            side = 1
    return (low + high) / 2
