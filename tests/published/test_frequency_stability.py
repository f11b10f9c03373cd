"""Frequency stability against NIST SP 1065, allantools, the Earth, and the clock noise model.

W. J. Riley, Handbook of Frequency Stability Analysis, NIST SP 1065 (2008), tables 29-31 (test suite) and table 5
(degrees of freedom); allantools 2024.6 as a further reference.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import allantools
import numpy as np
import pytest
from allantools.ci import edf_greenhall, edf_simple

from standwatch.estimate.allan import Allan, Noise, Phase, Run, allan
from tests.published.earth import leap_seconds, nights

WHITE, WALK, READING = Noise(1.0, 0.0, 0.0), Noise(0.0, 1.0, 0.0), Noise(0.0, 0.0, 1.0)

NINE = (892.0, 809.0, 823.0, 798.0, 671.0, 644.0, 883.0, 903.0, 677.0)


def thousand() -> list[float]:
    """The 1000-point frequency data of SP 1065, 12.4."""
    n, data = 1234567890, []
    for _ in range(1000):
        data.append(n / 2147483647)
        n = 16807 * n % 2147483647
    return data


def phases(rates: Iterable[float]) -> list[float]:
    """Time errors from daily rates, one more than these."""
    return [0.0, *np.cumsum(list(rates)).tolist()]


def run_of(errors: Sequence[float], missing: Iterable[int] = ()) -> Run:
    gone = set(missing)
    return {n: Phase(float(n), x) for n, x in enumerate(errors) if n not in gone and not math.isnan(x)}


def of(runs: Sequence[Run], tau: int, noise: Noise = WHITE) -> Allan:
    found = allan(runs, tau, noise)
    assert found is not None
    return found


@pytest.mark.parametrize(("m", "oadev"), [(1, 91.22945), (2, 85.95287)])
def test_the_nine_points(m: int, oadev: float) -> None:
    """Table 30 (from memory, recomputed)."""
    assert of([run_of(phases(NINE))], m).deviation == pytest.approx(oadev, rel=1e-6)


@pytest.mark.parametrize(("m", "oadev"), [(1, 2.922319e-1), (10, 9.159953e-2), (100, 3.241343e-2)])
def test_the_thousand_points(m: int, oadev: float) -> None:
    """Table 31."""
    data = thousand()
    assert [round(x * 2147483647) for x in data[1:4]] == [395529916, 1209410747, 633705974]
    assert of([run_of(phases(data))], m).deviation == pytest.approx(oadev, rel=1e-6)


@pytest.mark.parametrize("m", [1, 2, 4, 7, 14, 28])
def test_with_gaps_as_allantools_does(m: int) -> None:
    """allantools' gap-resistant deviation leaves out each second difference that wants a missing phase, as ours."""
    rng = np.random.default_rng(3)
    errors = np.cumsum(rng.normal(size=200))
    missing = rng.choice(200, size=60, replace=False)
    gappy = errors.copy()
    gappy[missing] = np.nan
    _, theirs, _, counts = allantools.gradev(gappy, rate=1.0, data_type="phase", taus=[m])
    ours = of([run_of(errors.tolist(), missing.tolist())], m)
    assert ours.deviation == pytest.approx(float(theirs[0]), rel=1e-9)
    assert ours.count == int(counts[0])


@pytest.mark.parametrize("m", [1, 3, 7, 20])
def test_without_gaps_as_allantools_does(m: int) -> None:
    errors = np.cumsum(np.random.default_rng(4).normal(size=150))
    _, theirs, _, counts = allantools.oadev(errors, rate=1.0, data_type="phase", taus=[m])
    ours = of([run_of(errors.tolist())], m)
    assert ours.deviation == pytest.approx(float(theirs[0]), rel=1e-9)
    assert ours.count == int(counts[0])


@pytest.mark.parametrize(("n", "m"), [(10, 1), (15, 1), (29, 7), (60, 4), (60, 14), (200, 28)])
def test_degrees_of_freedom_against_greenhall(n: int, m: int) -> None:
    """C. Greenhall and W. Riley, Proc. 35th PTTI (2003), in allantools: exact for readings' noise.

    For random-walk frequency noise theirs is exact in the limit of many phases to a span; at four it is near.
    """
    run = [run_of([float(k * k % 7) for k in range(n)])]
    exact = edf_greenhall(2, 2, m, n, overlapping=True)
    assert of(run, m, READING).freedom == pytest.approx(exact, rel=1e-9)
    if m >= 4:
        near = edf_greenhall(-2, 2, m, n, overlapping=True)
        assert of(run, m, WALK).freedom == pytest.approx(near, rel=0.015)


@pytest.mark.parametrize(("n", "m"), [(30, 1), (60, 1), (29, 7), (60, 4), (60, 14), (200, 28), (1000, 10)])
def test_degrees_of_freedom_against_the_handbook(n: int, m: int) -> None:
    """NIST SP 1065, table 5: simple fits, so a tenth is allowed; white noise comes out nearer."""
    run = [run_of([float(k * k % 7) for k in range(n)])]
    assert of(run, m, WHITE).freedom == pytest.approx(edf_simple(n, m, 0), rel=0.05)
    if m > 1:  # at one sample a span the handbook's exceeds the number of differences
        assert of(run, m, WALK).freedom == pytest.approx(edf_simple(n, m, -2), rel=0.1)


@pytest.mark.parametrize("tau", [1, 2, 5])
def test_degrees_of_freedom_of_gappy_runs_by_their_whole_covariance(tau: int) -> None:
    """edf = 2 E^2 / Var = tr(C)^2 / tr(C C), C from the driven model's covariance of the errors themselves."""
    q1, q2, r = 0.7, 0.02, 0.3
    rng = np.random.default_rng(5)
    runs, total, squares = [], 0.0, 0.0
    for length in (23, 9, 31):
        there = sorted(rng.choice(length, size=int(0.8 * length), replace=False).tolist())
        runs.append({n: Phase(float(n), float(rng.normal())) for n in there})
        t = np.asarray(there, dtype=float)
        least, most = np.minimum.outer(t, t), np.maximum.outer(t, t)
        errors = q1 * least + q2 * (least**2 * most / 2 - least**3 / 6) + r * np.eye(len(t))
        place = {n: k for k, n in enumerate(there)}
        rows = [n for n in there if n + tau in place and n + 2 * tau in place]
        second = np.zeros((len(rows), len(t)))
        for k, n in enumerate(rows):
            second[k, [place[n], place[n + tau], place[n + 2 * tau]]] = (1, -2, 1)
        c = second @ errors @ second.T
        total, squares = total + float(np.trace(c)), squares + float(np.sum(c * c))
    assert of(runs, tau, Noise(q1, q2, r)).freedom == pytest.approx(total**2 / squares, rel=1e-9)


@pytest.mark.parametrize(("tau", "ms_per_day"), [(1, 0.09707), (10, 0.21166), (100, 0.33045), (1000, 0.18496)])
def test_the_earth(tau: int, ms_per_day: float) -> None:
    """UT1-UTC from 1 January 2000 to 1 January 2020 (IERS by astropy-iers-data), leap seconds taken off."""
    span = [night for night in nights() if 51544 <= night.mjd <= 58849]
    leaps = leap_seconds()
    errors = [night.ut1_utc_s - sum(51544 < mjd <= night.mjd for mjd in leaps) for night in span]
    assert 1000 * of([run_of(errors)], tau).deviation == pytest.approx(ms_per_day, abs=6e-6)


def wander(rng: np.random.Generator, days: int, q1: float, q2: float) -> np.ndarray:
    """Errors of one clock at each of `days` days: white (s^2/day) and random-walk ((s/day)^2/day) frequency noise."""
    steps = rng.multivariate_normal([0, 0], [[q1 + q2 / 3, q2 / 2], [q2 / 2, q2]], size=days)
    rate = np.concatenate([[0.0], np.cumsum(steps[:-1, 1])])
    return np.asarray(np.cumsum(rate + steps[:, 0]))


def test_the_model_s_allan_variance() -> None:
    """AVAR = q1/tau + q2 tau/3 of a long simulated record."""
    q1, q2 = 1.0, 0.01
    run = [run_of(wander(np.random.default_rng(6), 40_000, q1, q2).tolist())]
    for tau in (1, 2, 4, 7, 14, 28):
        found = of(run, tau, Noise(q1, q2, 0.0))
        assert found.deviation**2 == pytest.approx(q1 / tau + q2 * tau / 3, rel=5 / math.sqrt(found.freedom / 2))
        assert found.quantity.low < math.sqrt(q1 / tau + q2 * tau / 3) < found.quantity.high


@pytest.mark.parametrize(
    ("q1", "q2", "reading"), [(1.0, 0.01, 0.25), (81.0, 0.64, 25.0), (0.0144, 0.0004, 0.25)], ids=str
)
def test_the_interval_holds_the_truth(q1: float, q2: float, reading: float) -> None:
    """Four weeks of a shop that is shut on Sundays, 600 clocks: the interval holds 95 % of the time.

    The tolerance is 3 binomial standard errors, and 2 % for the chi-square with so few degrees of freedom.
    """
    rng = np.random.default_rng(7)
    shut = [n for n in range(29) if n % 7 == 6]
    clocks, held = 600, dict.fromkeys((1, 2, 4, 7), 0)
    for _ in range(clocks):
        errors = wander(rng, 29, q1, q2) + rng.normal(0, math.sqrt(reading), 29)
        run = [run_of(errors.tolist(), shut)]
        for tau in held:
            truth = math.sqrt(q1 / tau + q2 * tau / 3 + 3 * reading / tau**2)
            found = of(run, tau, Noise(q1, q2, reading)).quantity
            held[tau] += found.low <= truth <= found.high
    for tau, count in held.items():
        assert abs(count / clocks - 0.95) < 3 * math.sqrt(0.95 * 0.05 / clocks) + 0.02, tau
