"""Chi-square against scipy."""

from __future__ import annotations

import pytest
import scipy.stats

from standwatch.estimate.chi_square import chi_square_below, chi_square_quantile


@pytest.mark.parametrize("freedom", [0.5, 1.0, 2.0, 3.7, 10.0, 57.3, 400.0, 7300.0])
@pytest.mark.parametrize("chance", [0.001, 0.025, 0.5, 0.975, 0.999])
def test_against_scipy(chance: float, freedom: float) -> None:
    ours = chi_square_quantile(chance, freedom)
    assert ours == pytest.approx(scipy.stats.chi2.ppf(chance, freedom), rel=1e-9)
    assert chi_square_below(ours, freedom) == pytest.approx(chance, rel=1e-9)


def test_nothing_lies_under_nought() -> None:
    assert (chi_square_below(0.0, 3.0), chi_square_below(-1.0, 3.0)) == (0.0, 0.0)
