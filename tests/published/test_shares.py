"""Shares and what none of so many tells, against published values and other programs."""

import pytest
from scipy.stats import binom, binomtest
from statsmodels.stats.proportion import proportion_confint

from standwatch.estimate.shares import most_of_none, rule_of_three, share_of


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [
        # R. G. Newcombe, Statist. Med. 17 (1998) 857-872, table I, method 3 (score, uncorrected); from memory
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilson_by_newcombes_table(count: int, of: int, low: float, high: float) -> None:
    told = share_of(count, of)
    assert told.estimate == count / of
    assert told.low == pytest.approx(low, abs=5e-5)
    assert told.high == pytest.approx(high, abs=5e-5)


@pytest.mark.parametrize("of", [1, 2, 7, 12, 41, 300, 5000])
def test_wilson_by_two_libraries(of: int) -> None:
    for count in {0, 1, of // 13, of // 3, of // 2, of - 1, of}:
        told = share_of(count, of)
        other = proportion_confint(count, of, alpha=0.05, method="wilson")
        third = binomtest(count, of).proportion_ci(0.95, method="wilson")
        for low, high in (other, (third.low, third.high)):
            assert told.low == pytest.approx(low, abs=1e-12)
            assert told.high == pytest.approx(high, abs=1e-12)


@pytest.mark.parametrize("of", [1, 3, 12, 41, 300, 10_000])
def test_none_of_so_many(of: int) -> None:
    most = most_of_none(of)
    assert binom.pmf(0, of, most) == pytest.approx(0.05, rel=1e-9)  # with so many, none would be seen once in twenty
    assert most < rule_of_three(of)  # Hanley and Lippman-Hand 1983: 3/n, a little over
    exact = binomtest(0, of).proportion_ci(0.90, method="exact").high  # Clopper-Pearson, 95 % on one side
    assert most == pytest.approx(exact, rel=1e-9)
    if of >= 30:  # where the rule of three is said to be good
        assert most == pytest.approx(rule_of_three(of), rel=0.05)


def test_of_none_nothing_is_told() -> None:
    with pytest.raises(ValueError, match="of none"):
        most_of_none(0)
    for count, of in ((0, 0), (2, 1), (-1, 3)):
        with pytest.raises(ValueError, match="a share"):
            share_of(count, of)
