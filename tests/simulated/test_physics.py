"""The simulator against what is published of its noise, and against direct integration; fixed seeds."""

from __future__ import annotations

import allantools
import numpy as np
import pytest
from scipy.integrate import quad

from tests.simulated.physics import settling_lag, travelled, wander, wind_gain


def test_the_spread_of_increments_is_q() -> None:
    # the worked values of the clock noise model at q1 1e-2, q2 1e-4, 7 days, less the part of q3 = 1e-8 (computed):
    # q3 tau^5/20, q3 tau^4/8, q3 tau^3/3
    want = np.array([0.08144173683 - 1e-8 * 7**5 / 20, 0.00245300125 - 1e-8 * 7**4 / 8, 7.011433e-4 - 1e-8 * 7**3 / 3])
    clocks = 200_000
    one = np.full(clocks, 1e-2), np.full(clocks, 1e-4), np.full((clocks, 1), 7.0)
    error, rate = (part[:, 0] for part in wander(*one, np.random.default_rng(1)))
    got = np.array([np.mean(error**2), np.mean(error * rate), np.mean(rate**2)])
    # four standard errors: of a variance sqrt(2/n), of this covariance somewhat more
    assert got == pytest.approx(want, rel=4 * np.sqrt(2 / clocks) * 2)
    assert np.mean(error) == pytest.approx(0, abs=4 * np.sqrt(want[0] / clocks))


def test_many_short_gaps_spread_like_one_long_one() -> None:
    clocks, parts = 40_000, 14
    q1, q2 = np.full(clocks, 0.25), np.full(clocks, 0.01)
    gaps = np.full((clocks, parts), 0.5)
    errors, rates = travelled(np.zeros(clocks), np.zeros(clocks), gaps, *wander(q1, q2, gaps, np.random.default_rng(2)))
    d = 7.0
    assert np.var(errors[:, -1]) == pytest.approx(0.25 * d + 0.01 * d**3 / 3, rel=0.03)
    assert np.var(rates[:, -1]) == pytest.approx(0.01 * d, rel=0.03)


@pytest.mark.parametrize(("q1", "q2"), [(1.0, 0.0), (0.04, 1e-4), (0.0, 0.01)])
def test_allan_variance_is_the_law(q1: float, q2: float) -> None:
    # AVAR(tau) = q1/tau + q2 tau/3 (NIST SP 1065's white FM and random-walk FM), by allantools' overlapping estimator
    clocks, days = 200, 1024
    gaps = np.ones((clocks, days))
    noise = wander(np.full(clocks, q1), np.full(clocks, q2), gaps, np.random.default_rng(3))
    errors, _ = travelled(np.zeros(clocks), np.zeros(clocks), gaps, *noise)
    taus = [1.0, 4.0, 16.0, 64.0]
    each = [allantools.oadev(row, rate=1.0, data_type="phase", taus=taus)[1] ** 2 for row in errors]
    want = [q1 / tau + q2 * tau / 3 for tau in taus]
    assert np.mean(each, axis=0) == pytest.approx(want, rel=0.12)


@pytest.mark.parametrize(("since", "until"), [(0.0, 1.0), (0.0, 7.0), (6.0, 7.0), (2.5, 3.5)])
def test_the_wind_curve_is_the_integral(since: float, until: float) -> None:
    want, _ = quad(lambda u: 0.5 - u / 7, since, until)
    assert wind_gain(np.array([since]), np.array([until]), 7.0) == pytest.approx([want], abs=1e-12)


def test_settling_is_the_integral() -> None:
    want, _ = quad(lambda t: np.exp(-t / 0.2), 0, 1)
    assert settling_lag(np.array([1.0]), 0.2) == pytest.approx([want])


def test_without_noise_a_clock_runs_straight() -> None:
    gaps = np.array([[1.0, 2.0, 0.5]])
    nothing = np.zeros_like(gaps)
    errors, rates = travelled(np.array([5.0]), np.array([-2.0]), gaps, nothing, nothing)
    assert errors.tolist() == [[5.0, 3.0, -1.0, -2.0]]
    assert rates.tolist() == [[-2.0] * 4]
