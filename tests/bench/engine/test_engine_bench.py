"""The bench itself, against outside references: its bounds, its scores, its oracle. Fixed seeds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy.stats import binom, multivariate_normal

from standwatch.model.words import KindName
from tests.bench.engine import loglik
from tests.bench.engine.bounds import ALPHA, Bound, geometric
from tests.bench.engine.oracle import Oracle
from tests.bench.engine.page import BEGIN, END, Ran, markdown_of, rewritten
from tests.bench.engine.straight import interval_score, least_squares, least_squares_rate, theil_sen_reading
from tests.bench.engine.table import Row, text_of
from tests.simulated.nature import draw
from tests.simulated.stand import Watch, watched


@pytest.mark.parametrize(("of", "share"), [(150, 0.92), (60, 0.8), (1000, 0.98)])
def test_quick_bounds_are_the_binomial_law(of: int, share: float) -> None:
    bound = Bound(quick=True)
    assert binom.cdf(bound.fewest(of, share) - 1, of, share) < ALPHA <= binom.cdf(bound.fewest(of, share), of, share)
    assert binom.sf(bound.most(of, share), of, share) <= ALPHA


def test_full_verdicts_are_by_the_figure() -> None:
    bound = Bound(quick=False)
    assert bound.at_least(920, 1000, 0.92)
    assert not bound.at_least(919, 1000, 0.92)
    assert bound.at_most(980, 1000, 0.98)
    assert not bound.at_most(981, 1000, 0.98)


def test_a_small_sample_does_not_condemn_a_ratio() -> None:
    rng = np.random.default_rng(1)
    ours, theirs = rng.exponential(1.0, 30), rng.exponential(1.0, 30)
    assert Bound(quick=True).ratio_within([ours], [theirs], 0.9)
    assert not Bound(quick=True).ratio_within([3 * ours], [theirs], 0.9)
    assert geometric([0.5, 2.0]) == pytest.approx(1)


def test_the_interval_score_is_gneiting_and_rafterys() -> None:
    # JASA 102 (2007) 359, eq. 43: (u - l) + 2/alpha (l - x) where x < l, + 2/alpha (x - u) where x > u
    got = interval_score(np.array([0.0, 0.0, 0.0]), np.array([2.0, 2.0, 2.0]), np.array([1.0, -1.0, 2.5]))
    assert got.tolist() == [2.0, 2.0 + 40.0, 2.0 + 20.0]


def test_straight_lines_hold_where_a_line_is_true() -> None:
    rng = np.random.default_rng(2)
    days = np.arange(20.0)
    held = {"ols": 0, "theil-sen": 0, "slope": 0}
    for _ in range(300):
        errors, came = 3 + 2 * days + rng.standard_normal(20), 3 + 2 * 26 + rng.standard_normal()
        for name, way in (("ols", least_squares), ("theil-sen", theil_sen_reading)):
            low, high = way(days, errors, 26.0)
            held[name] += low <= came <= high
        low, high = least_squares_rate(days, errors)
        held["slope"] += low <= 2 <= high
    assert binom.cdf(held["ols"], 300, 0.95) > 1e-3
    assert binom.cdf(held["theil-sen"], 300, 0.92) > 1e-3
    assert 1e-3 < binom.cdf(held["slope"], 300, 0.95) < 1 - 1e-3


@pytest.mark.parametrize("kind", [KindName.LONGCASE, KindName.CARRIAGE])
@pytest.mark.parametrize("thermometer", [True, False])
def test_the_oracle_holds_what_it_says(kind: KindName, *, thermometer: bool) -> None:
    rng = np.random.default_rng(3)
    stand = watched(draw(kind, 1500, rng), Watch(blunders=0.03, thermometer=thermometer), rng)
    mean, sd = Oracle(stand).ahead(14, 7)
    sound = ~stand.wrong[:, 21]
    apart = ((stand.readings[:, 21] - mean) / sd)[sound]
    assert np.std(apart) == pytest.approx(1, abs=4 / np.sqrt(2 * len(apart)))
    assert np.mean(apart) == pytest.approx(0, abs=4 / np.sqrt(len(apart)))


def test_the_reference_likelihood_is_the_joint_normal_density() -> None:
    model = replace(loglik.made(1, readings=6), stray_sd=2.0)  # so much that it tells
    d = np.concatenate([[0.0], np.cumsum(model.gaps)])
    later, sooner = np.maximum.outer(d, d), np.minimum.outer(d, d)
    # its start, the rate's start, white frequency noise, the integrals of the rate's walk and of its stray
    cov = model.error_sd**2 + model.rate_sd**2 * np.outer(d, d) + model.q1 * sooner
    cov = cov + model.q2 * (sooner**2 * (3 * later - sooner) / 6) + np.diag(model.doubts**2)
    m = model.memory_d
    faded = np.exp(-sooner / m) + np.exp(-later / m) - np.exp(-(later - sooner) / m) - 1
    cov = cov + model.stray_sd**2 * m * (2 * sooner + m * faded)
    want = multivariate_normal(np.zeros(6), cov).logpdf(model.readings)
    assert loglik.by_statsmodels(model) == pytest.approx(want, abs=1e-6)


def test_a_table_says_what_is_missed() -> None:
    rows = [Row("one", "1", "2", True, "few"), Row("another", "3", "4", False, "many", "1", ("why",))]
    lines = text_of(rows).splitlines()
    assert "reached" in lines[0]
    assert "MISSED: 1" in lines[1]
    assert lines[2].strip() == "why"


ONE = Row("one", "1", "2", True, "few")


def ran(*of_seeds: list[Row], quick: bool = False) -> Ran:
    return Ran(dict(enumerate(of_seeds, 1)), "the command", Bound(quick), date(2026, 11, 5), 61.4, 2)


def test_a_page_has_a_line_for_each_goal_and_a_figure_for_each_seed() -> None:
    failed = Row("another", "3 | 4", "5", False, "many", "by 1", ("why",))
    lines = markdown_of(ran([ONE, failed], [ONE, Row("another", "6", "5", True, "many")])).splitlines()
    assert lines[0] == "`the command` on 5 November 2026: 61 minutes on 2 cores; verdicts by the figures as they are."
    table = [line for line in lines if line.startswith("|")]
    assert table == [
        "|  | goal | seed 1 | seed 2 |  | of |",
        "|---|---|---|---|---|---|",
        "| one | 2 | 1 | 1 | reached | few |",
        "| another | 5 | 3 \\| 4 | 6 | **missed**: by 1 (seed 1) | many |",
    ]
    assert lines[-1] == "- another, seed 1: why"


def test_a_quick_page_says_so_and_what_its_verdicts_allow() -> None:
    told = markdown_of(ran([ONE, Row("untold", "–", "1", None, "few")], quick=True))
    assert told.startswith("**Quick run")
    assert "bootstrap" in told
    assert "| untold | 1 | – | no goal | few |" in told


def test_only_what_lies_between_the_comments_is_rewritten() -> None:
    page = f"before\n{BEGIN}\nold\n{END}\nafter\n"
    assert rewritten(page, "new") == f"before\n{BEGIN}\nnew\n{END}\nafter\n"
    assert rewritten(rewritten(page, "other"), "old") == page


@pytest.mark.parametrize("page", ["", BEGIN, f"{END}{BEGIN}", f"{BEGIN}{BEGIN}{END}"])
def test_a_page_without_a_place_for_the_table_is_refused(page: str) -> None:
    with pytest.raises(ValueError, match="wants one"):
        rewritten(page, "new")
