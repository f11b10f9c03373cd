"""Pooling: the median's and the weighted mean's own textbook cases."""

import pytest

from standwatch.estimate.pooling import pooled, weighted_mean


def test_equal_doubts_give_the_plain_median() -> None:
    assert pooled([5.0, 1.0, 3.0, 2.0, 4.0], [1.0] * 5)[0] == 3.0
    assert pooled([1.0, 2.0, 3.0, 4.0, 5.0, 6.0], [1.0] * 6)[0] == 3.5


def test_one_fine_value_does_not_decide_alone() -> None:
    values, sds = [60.0, 0.1, -0.2, 0.0, 0.3, -0.1], [0.001, 1.0, 1.0, 1.0, 1.0, 1.0]
    assert abs(pooled(values, sds)[0]) < 0.5


def test_the_medians_standard_error_is_that_of_the_books() -> None:
    # the median of n normal values has variance pi/2 over n (e.g. Kendall and Stuart, from memory)
    assert pooled([0.0] * 25, [2.0] * 25)[1] == pytest.approx(2 * (3.141592653589793 / 2 / 25) ** 0.5)


def test_the_weighted_mean_and_birges_ratio() -> None:
    # two values 4 sd of their difference apart: 1/sqrt(2) times the ratio sqrt(chi2 / 1)
    mean, error = weighted_mean([0.0, 4 * 2**0.5], [1.0, 1.0])
    assert mean == pytest.approx(2 * 2**0.5)
    assert error == pytest.approx(4 / 2**0.5)
    assert weighted_mean([1.0, 1.0], [1.0, 1.0])[1] == pytest.approx(1 / 2**0.5)
