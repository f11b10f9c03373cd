"""Statistics against published values: NIST StRD, GUM H.3, JCGM 106, Sen 1968, and other libraries."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy.stats
from statsmodels.tsa.statespace.kalman_filter import KalmanFilter

from standwatch.estimate.conformance import conformance
from standwatch.estimate.filter import Forward, Node, Start, State, forward, gap_of
from standwatch.estimate.noise import process_noise

# NIST StRD, linear regression, Norris: pairs (x, y). Certified: B0, B1, their sd, residual sd.
# fmt: off
NORRIS_X: tuple[float, ...] = (
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4,
    0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3,
    0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
)
NORRIS_Y: tuple[float, ...] = (
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3,
    0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3,
    0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
)
# fmt: on

# JCGM 100:2008 (GUM), H.3, table H.6: thermometer readings t and corrections b, both in degrees C.
GUM_T = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
GUM_B = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)

# Sen, J. Am. Stat. Assoc. 63 (1968) 1379, the worked example.
SEN_T = (1.0, 2.0, 3.0, 4.0, 10.0, 12.0, 18.0)
SEN_Y = (9.0, 15.0, 19.0, 20.0, 45.0, 55.0, 78.0)


def line_filter(times: tuple[float, ...], values: tuple[float, ...], end: float) -> tuple[Forward, State]:
    """The filter without process noise and with next to nothing known before: a least-squares line, as of `end`.

    Readings have unit variance; times run towards `end`, backwards if it comes before them.
    """
    way = 1.0 if end >= max(times) else -1.0
    pairs = sorted(zip((way * t for t in times), values, strict=True))
    nodes = []
    before = pairs[0][0]
    for t, value in [*pairs, (way * end, None)]:
        nodes.append(Node(t, gap_of(t - before, 0.0, 0.0, 0.0), None, value, 1.0))
        before = t
    run = forward(nodes, Start(0.0, 1e16, 0.0, 1e14, 0.0, 0.0), {})
    return run, run.states[-1]


def residual_sd(run: Forward) -> float:
    """The standard deviation about the line, from the innovations after the two that fixed it."""
    used = [gain for gain in run.gains if gain is not None][2:]
    return math.sqrt(sum(gain.v**2 / gain.f for gain in used) / len(used))


def test_norris_line_by_the_filter() -> None:
    run, at_zero = line_filter(NORRIS_X, NORRIS_Y, 0.0)
    s = residual_sd(run)
    assert s == pytest.approx(0.884796396144373, rel=1e-7)
    assert at_zero.x == pytest.approx(-0.262323073774029, rel=1e-7)
    assert -at_zero.y == pytest.approx(1.00211681802045, rel=1e-9)
    assert s * math.sqrt(at_zero.x_var) == pytest.approx(0.232818234301152, rel=1e-7)
    assert s * math.sqrt(at_zero.y_var) == pytest.approx(0.429796848199937e-3, rel=1e-7)


def test_norris_line_by_regression() -> None:
    fitted = scipy.stats.linregress(NORRIS_X, NORRIS_Y)
    assert fitted.intercept == pytest.approx(-0.262323073774029, rel=1e-9)
    assert fitted.slope == pytest.approx(1.00211681802045, rel=1e-9)


def test_gum_h3_by_the_filter() -> None:
    run, at_20 = line_filter(GUM_T, GUM_B, 20.0)
    _, at_30 = line_filter(GUM_T, GUM_B, 30.0)
    s = residual_sd(run)
    cov = at_20.u12 * at_20.d2
    assert s == pytest.approx(0.0035, abs=5e-5)
    assert at_20.x == pytest.approx(-0.1712, abs=5e-5)
    assert s * math.sqrt(at_20.x_var) == pytest.approx(0.0029, abs=5e-5)
    assert -at_20.y == pytest.approx(0.00218, abs=5e-6)
    assert s * math.sqrt(at_20.y_var) == pytest.approx(0.00067, abs=5e-6)
    assert -cov / math.sqrt(at_20.x_var * at_20.y_var) == pytest.approx(-0.930, abs=5e-4)
    assert at_30.x == pytest.approx(-0.1494, abs=5e-5)
    assert s * math.sqrt(at_30.x_var) == pytest.approx(0.0041, abs=5e-5)


def test_gum_h3_by_regression_agrees_with_the_filter_to_nine_digits() -> None:
    t = np.asarray(GUM_T) - 20.0
    design = np.column_stack([np.ones_like(t), t])
    inverse = np.linalg.inv(design.T @ design)
    y1, y2 = inverse @ design.T @ np.asarray(GUM_B)
    run, at_20 = line_filter(GUM_T, GUM_B, 20.0)
    s2 = float(np.sum((np.asarray(GUM_B) - design @ np.array([y1, y2])) ** 2)) / (len(t) - 2)
    assert (at_20.x, -at_20.y) == pytest.approx((y1, y2), rel=1e-9)
    assert residual_sd(run) ** 2 == pytest.approx(s2, rel=1e-9)
    assert (at_20.x_var, at_20.y_var) == pytest.approx((inverse[0, 0], inverse[1, 1]), rel=1e-9)


def test_sen_1968() -> None:
    """The robust slope is 4; least squares, and so the filter without noise, 4.0214."""
    assert scipy.stats.theilslopes(SEN_Y, SEN_T).slope == pytest.approx(4.0, abs=1e-12)
    _, end = line_filter(SEN_T, SEN_Y, 18.0)
    assert end.y == pytest.approx(4.0214, abs=5e-5)
    assert end.y == pytest.approx(scipy.stats.linregress(SEN_T, SEN_Y).slope, rel=1e-9)


@pytest.mark.parametrize(
    ("estimate", "sd", "low", "high", "published"),
    [
        (-5.47, 0.05, -math.inf, -5.40, 0.92),
        (509.7, 8.6, 490.0, math.inf, 0.99),
        (13.6, 1.8, 12.5, 16.3, 0.66),
    ],
)
def test_jcgm_106_conformance(estimate: float, sd: float, low: float, high: float, published: float) -> None:
    """JCGM 106:2012, clause 7, worked examples (values from memory, arithmetic recomputed)."""
    assert conformance(estimate, sd, low, high) == pytest.approx(published, abs=0.005)


def test_conformance_against_the_normal_distribution_of_a_library() -> None:
    for estimate, sd in ((0.3, 1.0), (-4.0, 0.5), (11.0, 2.0), (-40.0, 3.0)):
        ours = conformance(estimate, sd, -10.0, 10.0)
        below, above = scipy.stats.norm.cdf([(10 - estimate) / sd, (-10 - estimate) / sd])
        assert ours == pytest.approx(below - above, rel=1e-9, abs=1e-15)
    assert conformance(9.9, 0.0, -10.0, 10.0) == 1.0
    assert conformance(10.1, 0.0, -10.0, 10.0) == 0.0


def test_log_likelihood_against_statsmodels() -> None:
    """The same two-state clock model in statsmodels' state space, daily readings with a gap of three days."""
    rng = np.random.default_rng(11)
    q1, q2, r = 1.0, 0.01, 0.25
    days = [0.0, 1.0, 2.0, 3.0, 6.0, 7.0, 8.0, 9.0, 10.0, 13.0, 14.0]
    z = np.cumsum(rng.normal(2.0, 1.2, len(days))) + rng.normal(0, 0.5, len(days))
    gaps = [0.0, *np.diff(days)]
    nodes = [Node(d, gap_of(g, 0.0, q1, q2), None, float(v), r) for d, g, v in zip(days, gaps, z, strict=True)]
    ours = forward(nodes, Start(0.0, 3000.0**2, 0.0, 30.0**2, 0.0, 0.0), {}).log_likelihood

    theirs = KalmanFilter(k_endog=1, k_states=2)
    theirs.bind(z[:, None])
    theirs["design"] = np.array([[1.0, 0.0]])
    theirs["obs_cov"] = np.array([[r]])
    theirs["selection"] = np.eye(2)
    move, noise = np.zeros((2, 2, len(days))), np.zeros((2, 2, len(days)))
    for k, gap in enumerate([*gaps[1:], 1.0]):  # theirs moves on after a reading
        q11, q12, _, q22, _, _ = process_noise(q1, q2, 0.0, float(gap))
        move[:, :, k] = [[1.0, gap], [0.0, 1.0]]
        noise[:, :, k] = [[q11, q12], [q12, q22]]
    theirs["transition"], theirs["state_cov"] = move, noise
    theirs.initialize_known(np.zeros(2), np.diag([3000.0**2, 30.0**2]))
    assert ours == pytest.approx(theirs.loglike(), abs=1e-6)
