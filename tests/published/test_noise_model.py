"""The clock noise model: its covariance, against worked values and by direct integration."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad_vec

from standwatch.estimate.noise import process_noise


def test_the_worked_values() -> None:
    # the three-state clock model's Q (computed; relative 1e-9)
    got = process_noise(1e-2, 1e-4, 1e-8, 7)
    want = (0.08144173683333333, 0.00245300125, 5.716666666666667e-7, 7.011433333333e-4, 2.45e-7, 7e-8)
    assert got == pytest.approx(want, rel=1e-9)


_variance = st.floats(1e-8, 100)


@given(_variance, _variance, _variance, st.floats(0.01, 60))
def test_q_is_the_integral_of_the_driven_states(q1: float, q2: float, q3: float, tau: float) -> None:
    def spread(s: float) -> np.ndarray:
        f = np.array([[1, s, s * s / 2], [0, 1, s], [0, 0, 1]])
        return np.asarray(f @ np.diag([q1, q2, q3]) @ f.T)

    want, _ = quad_vec(spread, 0, tau, epsrel=1e-10)
    got = process_noise(q1, q2, q3, tau)
    assert got == pytest.approx(tuple(want[np.triu_indices(3)]), rel=1e-8)


@given(_variance, _variance, st.floats(0.1, 30), st.floats(0.1, 30))
def test_two_spans_make_one(q1: float, q2: float, first: float, second: float) -> None:
    a, b, whole = (process_noise(q1, q2, 0, t) for t in (first, second, first + second))
    carried = a[0] + 2 * second * a[1] + second**2 * a[3] + b[0]
    assert carried == pytest.approx(whole[0], rel=1e-9)


def test_allan_variance_of_the_model() -> None:
    # AVAR = q1/tau + q2 tau/3: from Q11, since the second difference of error is x(2t) - 2x(t) + x(0)
    q1, q2, tau = 1e-2, 1e-4, 7.0
    one, two = process_noise(q1, q2, 0, tau), process_noise(q1, q2, 0, 2 * tau)
    cov = one[0] + tau * one[1]  # of x(2 tau) with x(tau)
    avar = (two[0] + 4 * one[0] - 4 * cov) / (2 * tau * tau)
    assert avar == pytest.approx(q1 / tau + q2 * tau / 3, rel=1e-9)
