"""Rods in the warmth, against Beckett 1903 and Swyt 1994."""

import pytest

from standwatch.horology.rods import ROD_DOUBT, compensating_tube_mm, loss_s_per_day_per_c, rod_named


@pytest.mark.parametrize(
    ("alpha", "loss"),
    [  # s/day per deg C = 0.0432 alpha
        (11.5, 0.4968),  # steel, D. Swyt, J. Res. NIST 99 (1994) 31
        (11.52, 0.498),  # tempered steel, E. Beckett 1903, p. 53
        (12.6, 0.544),  # iron, Beckett
        (18.0, 0.778),  # brass, Beckett
        (23.1, 0.998),  # aluminium, Swyt
        (28.8, 1.244),  # zinc, Beckett
        (4.14, 0.179),  # white deal, Beckett
        (18.7, 0.808),  # brass, engineering tables, from
        (19.0, 0.821),  # to
        (0.9, 0.039),  # low-expansion nickel steel, a textbook table, from
        (1.2, 0.052),  # to
        (0.5, 0.022),  # fused silica, a general table, from
        (0.59, 0.025),  # to
    ],
)
def test_loss_a_degree(alpha: float, loss: float) -> None:
    assert loss_s_per_day_per_c(alpha) == pytest.approx(loss, abs=5e-4)


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [  # the bands of general tables
        ("steel", 0.4968, 0.498),
        ("flat steel strip", 0.4968, 0.498),
        ("Low-expansion nickel steel", 0.039, 0.052),
        ("fused silica", 0.022, 0.025),
        ("varnished wood", 0.179, 0.180),
        ("brass", 0.777, 0.82),
        ("iron", 0.544, 0.545),
    ],
)
def test_rods_by_their_words(words: str, low: float, high: float) -> None:
    rod = rod_named(words)
    assert rod is not None
    assert low - 5e-4 <= loss_s_per_day_per_c(rod.alpha_micro) <= high + 5e-4


@pytest.mark.parametrize("words", [None, "", "as found"])
def test_an_unknown_rod_is_unknown(words: str | None) -> None:
    assert rod_named(words) is None


@pytest.mark.parametrize(
    ("words", "days"),
    [("iron", 7), ("brass", 5), ("wood", 21)],
)
def test_beckett_s_minute(words: str, days: float) -> None:
    # E. Beckett 1903, p. 52: from 40 to 70 deg F a minute a week (iron; 63.5 s exact), in five days (brass), in three
    # weeks (wood)
    rod = rod_named(words)
    assert rod is not None
    assert days * loss_s_per_day_per_c(rod.alpha_micro) * 30 / 1.8 == pytest.approx(60, rel=ROD_DOUBT)


def test_beckett_s_iron_week_exactly() -> None:
    assert 7 * loss_s_per_day_per_c(12.6) * 30 / 1.8 == pytest.approx(63.5, abs=0.05)


def test_the_figure_often_quoted_is_per_degree_fahrenheit() -> None:
    assert loss_s_per_day_per_c(11.5) / 1.8 == pytest.approx(0.27, abs=0.01)


def test_a_compensating_tube_makes_up_for_its_rod() -> None:
    height = compensating_tube_mm(993.6, 11.5, 28.8)
    assert (993.6 + height) * 11.5 == pytest.approx(height * 28.8)


def test_a_tube_of_the_rod_s_own_metal_compensates_nothing() -> None:
    with pytest.raises(ValueError, match="expand more"):
        compensating_tube_mm(993.6, 11.5, 11.5)
