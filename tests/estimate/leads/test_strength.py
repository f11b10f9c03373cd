"""How strong a lead is: Bayes' rule, checked by counting draws and by scipy's normal."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from standwatch.estimate.leads.strength import odds_beyond, odds_of, odds_over

DRAWS = 2_000_000


@pytest.mark.parametrize("both_ways", [False, True])
@pytest.mark.parametrize(("effect", "sd"), [(3.0, 1.0), (1.0, 0.5), (-1.0, 1.0), (6.0, 2.0)])
def test_the_odds_are_the_share_of_faulty_clocks_among_those_that_show_it(
    effect: float, sd: float, *, both_ways: bool
) -> None:
    rng = np.random.default_rng(1)
    prior, usual, faulty = 0.2, 0.7, 5.0
    has = rng.random(DRAWS) < prior
    fault = faulty * rng.standard_normal(DRAWS)
    true = usual * rng.standard_normal(DRAWS) + has * (fault if both_ways else np.abs(fault))
    shown = true + sd * rng.standard_normal(DRAWS)
    near = np.abs(shown - effect) < 0.05
    counted = float(has[near].mean())
    told = odds_beyond(effect, sd, usual=usual, faulty=faulty, prior=prior, both_ways=both_ways)
    assert told == pytest.approx(counted, abs=4 * np.sqrt(counted * (1 - counted) / near.sum()) + 2e-3)


def test_odds_over_are_a_normals_tail() -> None:
    for value, least, sd in [(1.3, 1.25, 0.03), (0.0, 1.0, 0.5), (70.0, 60.0, 8.0)]:
        assert odds_over(value, least, sd) == pytest.approx(norm.sf(least, loc=value, scale=sd), rel=1e-9)


def test_no_evidence_leaves_the_prior() -> None:
    assert odds_of(0.1, 1.0) == pytest.approx(0.1)
    assert odds_of(0.1, 9.0) == pytest.approx(0.5)


def test_the_farthest_effects_are_still_odds() -> None:
    for effect in (-1e6, -40.0, 0.0, 40.0, 1e6):
        assert 0 <= odds_beyond(effect, 0.1, usual=0.1, faulty=1.0, prior=0.1) <= 1
