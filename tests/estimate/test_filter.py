"""The filter and smoother against the same model written out as one dense normal distribution."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from numpy.typing import NDArray

from standwatch.estimate.filter import Gap, Jump, Node, Start, forward, gap_of, moved_on
from standwatch.estimate.noise import process_noise
from standwatch.estimate.smoother import against, backward, carried_back, joint, smoothed

Array = NDArray[np.float64]
PRIOR = Start(1.0, 400.0, 2.0, 90.0, -10.0, 49.0)
Q1, Q2 = 0.7, 0.05


def example() -> list[Node]:
    """A story with every kind of jump: a known step, a wind, the error anew, the rate anew; gaps of all lengths."""
    return [
        Node(0.0, gap_of(0, 0, Q1, Q2), None, 3.0, 0.25),
        Node(1.0, gap_of(1, 0.3, Q1, Q2), None, 6.1, 0.25),
        Node(1.0, gap_of(0, 0, Q1, Q2), Jump(shift=60.0, var=0.25)),
        Node(2.5, gap_of(1.5, -0.2, Q1, Q2), None, 70.0, 25.0),
        Node(2.5, gap_of(0, 0, Q1, Q2), Jump(var=4.0, part=1.0)),
        Node(3.0, gap_of(0.5, 0.1, Q1, Q2), None, 58.0, 0.25),
        Node(3.0, gap_of(0, 0, Q1, Q2), Jump(x_new=True)),
        Node(4.0, gap_of(1, 0.4, Q1, Q2), None, -3.0, 0.25),
        Node(4.2, gap_of(0.2, 0.0, Q1, Q2), Jump(var=225.0, y_new=True)),
        Node(5.2, gap_of(1, 0.1, Q1, Q2), None, 9.0, 0.25),
        Node(7.2, gap_of(2, -0.3, Q1, Q2), None, 14.0, 0.25),
    ]


def dense(nodes: list[Node], prior: Start) -> tuple[Array, Array, Array, Array, list[int]]:
    """Mean and covariance of all states stacked, the reading matrix, R, and which nodes are read."""
    mean = np.array([prior.x, prior.y, prior.c])
    means: list[Array] = []
    count = len(nodes)
    cov = np.zeros((3 * count, 3 * count))
    here = np.diag([prior.x_var, prior.y_var, prior.c_var])
    for k, node in enumerate(nodes):
        move = np.array([[1, node.gap.days, node.gap.gain], [0, 1, 0], [0, 0, 1.0]])
        q11, q12, _, q22, _, _ = process_noise(Q1, Q2, 0.0, node.gap.days)
        noise = np.array([[q11, q12, 0], [q12, q22, 0], [0, 0, 0.0]])
        mean = move @ mean
        if node.jump is not None:
            part = np.eye(3)
            part[0, 2] = node.jump.part
            mean = part @ mean + np.array([node.jump.shift, 0, 0])
            noise = part @ noise @ part.T + np.diag([node.jump.var, 0, 0.0])
            move = part @ move
            fresh = ((node.jump.x_new, prior.x, prior.x_var), (node.jump.y_new, prior.y, prior.y_var))
            for row, (new, value, var) in enumerate(fresh):
                if new:
                    move[row] = 0
                    noise[row] = noise[:, row] = 0
                    noise[row, row] = var
                    mean[row] = value
        means.append(mean)
        cov[3 * k : 3 * k + 3, : 3 * k] = move @ cov[3 * k - 3 : 3 * k, : 3 * k] if k else 0
        cov[: 3 * k, 3 * k : 3 * k + 3] = cov[3 * k : 3 * k + 3, : 3 * k].T
        here = move @ here @ move.T + noise
        cov[3 * k : 3 * k + 3, 3 * k : 3 * k + 3] = here
    seen = [k for k, node in enumerate(nodes) if node.z is not None]
    h = np.zeros((len(seen), 3 * count))
    for row, k in enumerate(seen):
        h[row, 3 * k] = 1
    return np.concatenate(means), cov, h, np.diag([nodes[k].r for k in seen]), seen


def test_log_likelihood_means_and_joint_covariance_equal_the_dense_normal() -> None:
    nodes = example()
    mean, cov, h, r, seen = dense(nodes, PRIOR)
    z = np.array([nodes[k].z for k in seen])
    s = h @ cov @ h.T + r
    miss = z - h @ mean
    log_l = -0.5 * (len(z) * math.log(2 * math.pi) + np.linalg.slogdet(s)[1] + miss @ np.linalg.solve(s, miss))
    gain = cov @ h.T @ np.linalg.inv(s)
    after, left = mean + gain @ miss, cov - gain @ h @ cov

    run = forward(nodes, PRIOR, {})
    back = backward(nodes, run)
    means, together = joint(nodes, run, back, range(len(nodes)))
    assert run.log_likelihood == pytest.approx(log_l, abs=1e-9)
    np.testing.assert_allclose(means.ravel(), after, atol=1e-9)
    np.testing.assert_allclose(together, left, atol=1e-8)
    for k in range(len(nodes)):
        own = smoothed(run.states[k], back.later[k])
        assert own.x == pytest.approx(after[3 * k], abs=1e-9)
        assert own.xx == pytest.approx(left[3 * k, 3 * k], abs=1e-9)
        assert own.yc == pytest.approx(left[3 * k + 1, 3 * k + 2], abs=1e-9)


def test_each_reading_against_the_rest_equals_leaving_it_out() -> None:
    nodes = example()
    mean, cov, h, r, seen = dense(nodes, PRIOR)
    z = np.array([nodes[k].z for k in seen])
    run = forward(nodes, PRIOR, {})
    back = backward(nodes, run)
    for row, k in enumerate(seen):
        rest = [j for j in range(len(seen)) if j != row]
        s = h[rest] @ cov @ h[rest].T + r[np.ix_(rest, rest)]
        gain = h[row] @ cov @ h[rest].T @ np.linalg.inv(s)
        expected = h[row] @ mean + gain @ (z[rest] - h[rest] @ mean)
        var = h[row] @ cov @ h[row] - gain @ h[rest] @ cov @ h[row] + nodes[k].r
        assert against(nodes, run, back, k).miss == pytest.approx(z[row] - expected, abs=1e-8)
        assert against(nodes, run, back, k).var == pytest.approx(var, rel=1e-9)


def test_a_step_before_a_reading_is_estimated_as_by_generalised_least_squares() -> None:
    nodes = example()
    mean, cov, h, r, seen = dense(nodes, PRIOR)
    z = np.array([nodes[k].z for k in seen])
    inverse = np.linalg.inv(h @ cov @ h.T + r)
    run = forward(nodes, PRIOR, {})
    back = backward(nodes, run)
    stepped = 2  # the readings of the first run from its third on share the step
    pattern = np.array([1.0 if j in {2, 3} else 0.0 for j in range(len(seen))])
    information = pattern @ inverse @ pattern
    found = against(nodes, run, back, seen[stepped])
    assert found.step == pytest.approx(pattern @ inverse @ (z - h @ mean) / information, abs=1e-8)
    assert found.step_var == pytest.approx(1 / information, rel=1e-9)


def test_what_never_changes_is_looked_back_on_alike_from_everywhere_with_readings_twice_at_one_time() -> None:
    """Two readings of one time tell nothing of rate or curve; rounding must not make a lesson of it."""
    for seconds in range(60):
        day, gains = 1 + seconds / 86400, [0.48 - 0.0357 * k for k in range(7)]
        nodes = [Node(0.0, gap_of(0, 0, Q1, Q2), None, 0.0, 17.75)]
        nodes += [Node(day * k, gap_of(day, gain, Q1, Q2), None, 0.0, 17.75) for k, gain in enumerate(gains, 1)]
        nodes[-1:-1] = [Node(nodes[-2].day, gap_of(0, 0, Q1, Q2), None, 0.08, 17.75)]
        run = forward(nodes, PRIOR, {})
        back = backward(nodes, run)
        curves = [smoothed(state, later).c for state, later in zip(run.states, back.later, strict=True)]
        assert curves == pytest.approx([run.states[-1].c] * len(nodes), abs=1e-9)


def test_moving_on_in_two_parts_is_moving_on_at_once() -> None:
    state = forward(example(), PRIOR, {}).states[3]
    once = moved_on(state, gap_of(3.0, 0.7, Q1, Q2))
    twice = moved_on(moved_on(state, gap_of(1.0, 0.5, Q1, Q2)), gap_of(2.0, 0.2, Q1, Q2))
    assert once.x == pytest.approx(twice.x)
    assert once.x_var == pytest.approx(twice.x_var, rel=1e-12)
    assert once.y_var == pytest.approx(twice.y_var, rel=1e-12)


def test_a_reading_a_million_times_finer_than_the_prior_keeps_all_its_digits() -> None:
    """Two readings 1e-7 s fine on a clock known to 3000 s and 100 s/day: by hand, rate sd = 1.414e-7."""
    prior = Start(0.0, 3000.0**2, 0.0, 100.0**2, 0.0, 0.0)
    nodes = [
        Node(0.0, Gap(0, 0, 0, 0, 0), None, 0.5, 1e-14),
        Node(1.0, Gap(1, 0, 0, 0, 0), None, 0.501, 1e-14),
    ]
    last = forward(nodes, prior, {}).states[-1]
    assert last.y == pytest.approx(0.001, rel=1e-9)
    assert math.sqrt(last.y_var) == pytest.approx(math.sqrt(2) * 1e-7, rel=1e-6)
    assert math.sqrt(last.x_var) == pytest.approx(1e-7, rel=1e-6)


def test_a_clock_of_which_next_to_nothing_was_known_is_looked_back_on_to_the_last_digits() -> None:
    """One reading, eight days of nothing, two more: against the same line's normal equations in whole fractions."""
    prior = Start(0.0, 12_000.0**2, 0.0, 600.0**2, 0.0, 0.0)
    days, errors, var = (0, 8, 9), (3, -40, -46), Fraction(1, 4)
    nodes = [
        Node(float(day), Gap(float(day - before), 0, 0, 0, 0), None, float(error), float(var))
        for before, day, error in zip((0, *days), days, errors, strict=False)
    ]
    run = forward(nodes, prior, {})
    back = backward(nodes, run)
    for asked in (0, 3, 8):
        # x at the day asked and y: rows (1, day - asked), weights 1/var; the prior holds x on day 0
        xx, xy, yy, rx, ry = (Fraction(0) for _ in range(5))
        known = [
            (0, Fraction(0), Fraction(12_000**2)),
            *((d, Fraction(e), var) for d, e in zip(days, errors, strict=True)),
        ]
        for day, error, doubt in known:
            span = day - asked
            xx, xy, yy = xx + 1 / doubt, xy + span / doubt, yy + span * span / doubt
            rx, ry = rx + error / doubt, ry + span * error / doubt
        yy += Fraction(1, 600**2)
        whole = xx * yy - xy * xy
        node, begun = (0, asked) if asked < 8 else (1, 0)
        gap = Gap(float(begun), 0, 0, 0, 0)
        rest = Gap(float(8 - asked), 0, 0, 0, 0)
        later = carried_back(back.before[1], rest) if asked < 8 else back.later[1]
        seen = smoothed(moved_on(run.states[node], gap), later)
        assert seen.x == pytest.approx(float((yy * rx - xy * ry) / whole), rel=1e-11)
        assert seen.y == pytest.approx(float((xx * ry - xy * rx) / whole), rel=1e-11)
        assert seen.xx == pytest.approx(float(yy / whole), rel=1e-11)
        assert seen.yy == pytest.approx(float(xx / whole), rel=1e-11)
