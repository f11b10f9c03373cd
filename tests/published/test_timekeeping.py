"""Error, rate and drift as the stand answers them, against published worked examples of slope and curvature.

The example's data become the readings of a `reference`, a clock that hardly wanders (0.00014 s/day per root day) and
whose doubt is told with each reading: then the estimate of its rate is that of a line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist

import numpy as np
import pytest

from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.model.answers import Answer, Quantity
from standwatch.model.words import KindName
from tests.estimate.ledgers import DAY_S, Ledger, Row
from tests.published.test_statistics import GUM_B, GUM_T

# fmt: off
# NIST StRD, linear regression, Pontius (calibration of a load cell): load / 150000, deflection. From memory; that the
# pairs are right shows in the certified values below, which CHECKS' tables give: B0, B1, B2 and the residual sd.
PONTIUS_X = tuple(range(1, 21)) * 2
PONTIUS_Y = (
    0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146,
    1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
    0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150,
    1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
)
# fmt: on
LOAD = 150_000.0
CERTIFIED = (0.673565789473684e-3, 0.732059160401003e-6, -0.316081871345029e-14)
CERTIFIED_SD = 0.205177424076185e-3


def reference(days: Sequence[float], errors: Sequence[float], doubt: float, *, end: float | None = None) -> Ledger:
    """A reference read on `days` with one told doubt, asked on the day `end`."""
    pairs = sorted(zip(days, errors, strict=True))
    rows = tuple(Row(round(day * DAY_S), {"error_s": error, "error_u_s": doubt}) for day, error in pairs)
    return Ledger(KindName.REFERENCE, rows, idle_s=round(end * DAY_S) - rows[-1].second if end is not None else 0)


def known(answer: Answer) -> Quantity:
    assert isinstance(answer, Quantity), answer
    return answer


def sd(answer: Quantity) -> float:
    """Standard uncertainty from the 95 % interval."""
    return answer.doubt / 1.96


def test_gum_h3_slope_and_predicted_value() -> None:
    """JCGM 100:2008 (GUM) H.3: y2 0.00218 (0.00067) per deg C; b(20) -0.1712 (0.0029), b(30) -0.1494 (0.0041).

    A degree is a day and a thousandth a second; s = 0.0035 is the readings' told doubt. b(20) is a forecast of the
    same clock run backwards.
    """
    errors = [1000 * b for b in GUM_B]
    forth = reference([t - 20 for t in GUM_T], errors, 3.5, end=10.0)
    back = reference([30 - t for t in GUM_T], errors, 3.5, end=10.0)
    ahead, behind = timekeeping_of(forth.history()), timekeeping_of(back.history())
    rate = known(ahead.rate)
    assert rate.estimate == pytest.approx(2.18, abs=0.06)  # the readings' true doubt is learned a little, too
    assert sd(rate) == pytest.approx(0.67, rel=0.15)
    assert known(behind.rate).estimate == pytest.approx(-rate.estimate, abs=0.01)
    at_30, at_20 = known(ahead.error_at(forth.now)), known(behind.error_at(back.now))
    assert (at_30.estimate, at_20.estimate) == pytest.approx((-149.4, -171.2), abs=0.4)
    assert sd(at_30) == pytest.approx(4.1, rel=0.15)
    assert sd(at_20) == pytest.approx(2.9, rel=0.15)


def test_pontius_pairs_are_the_certified_ones() -> None:
    """NIST StRD Pontius, certified values to 1e-7."""
    x = LOAD * np.asarray(PONTIUS_X, dtype=float)
    y = np.asarray(PONTIUS_Y)
    fitted = np.polynomial.Polynomial.fit(x, y, 2)
    assert tuple(fitted.convert().coef) == pytest.approx(CERTIFIED, rel=1e-7)
    assert math.sqrt(float(np.sum((y - fitted(x)) ** 2)) / 37) == pytest.approx(CERTIFIED_SD, rel=1e-7)


def test_pontius_curvature_is_the_drift() -> None:
    """A step of load is a day, a tenth of deflection a second: drift = 2 B2, for two readings a day.

    Over twenty days the rate changes by 28 ms/day, many times what a reference wanders; so the drift is told, and its
    doubt is the wandering's, far more than the certified fit's.
    """
    seconds = [10 * y for y in PONTIUS_Y]
    drift = known(timekeeping_of(reference(PONTIUS_X, seconds, 10 * CERTIFIED_SD).history()).drift)
    assert drift.estimate == pytest.approx(20 * CERTIFIED[2] * LOAD**2, rel=0.05)
    assert drift.low < 20 * CERTIFIED[2] * LOAD**2 < drift.high < 0


@pytest.mark.parametrize(
    ("low", "high", "y", "u", "published"),
    [
        (-math.inf, -5.40, -5.47, 0.05, 0.92),
        (490.0, math.inf, 509.7, 8.6, 0.99),
        (12.5, 16.3, 13.6, 1.8, 0.66),
    ],
)
def test_jcgm_106_conformance_of_a_rate(low: float, high: float, y: float, u: float, published: float) -> None:
    """JCGM 106:2012, clause 7, worked examples (values from memory, arithmetic recomputed), told of a rate.

    The clock's readings are given the slope that puts its rate as far from |rate| <= limit, in its own doubt, as the
    example's value lies from its tolerance. One-sided: the other limit is far away.
    """
    steps = range(12)
    u_here = sd(known(timekeeping_of(reference(steps, [0.0] * 12, 0.5).history()).rate))
    to_low, to_high = (y - low) / u * u_here, (high - y) / u * u_here
    if math.isinf(to_low) or math.isinf(to_high):
        near = min(to_low, to_high)
        limit, rate = 20.0, 20.0 - near
    else:
        limit = (to_low + to_high) / 2
        rate = limit - to_high
    keeping = timekeeping_of(reference(steps, [rate * day for day in steps], 0.5).history())
    assert known(keeping.rate).estimate == pytest.approx(rate, abs=0.02 * u_here)
    assert keeping.rate_within(limit) == pytest.approx(published, abs=0.02)


@pytest.mark.parametrize("limit", [0.02, 0.3, 1.0, 1.4, 3.0])
def test_conformance_is_that_of_the_interval(limit: float) -> None:
    """For a state of knowledge near normal, P(|rate| <= limit) follows from the estimate and its 95 % interval."""
    rng = np.random.default_rng(106)
    keeping = timekeeping_of(
        reference(range(12), [1.2 * d + float(rng.normal(0, 0.5)) for d in range(12)], 0.5).history()
    )
    rate = known(keeping.rate)
    normal = NormalDist(rate.estimate, sd(rate))
    assert keeping.rate_within(limit) == pytest.approx(normal.cdf(limit) - normal.cdf(-limit), abs=0.02)
