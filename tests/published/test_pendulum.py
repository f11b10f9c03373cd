"""Pendulum, against published tables and scipy's elliptic integral."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ellipk

from standwatch.horology import pendulum

INCH_MM = 25.4


@pytest.mark.parametrize(
    ("half_swing", "longer", "loses"),
    [  # 86400 (r - 1) and 86400 (1 - 1/r); r = (2/pi) K(m), Abramowitz & Stegun 17.3, DLMF 22.19; computed with scipy
        (1, 1.644963, 1.644932),
        (2, 6.580196, 6.579695),
        (3, 14.80673, 14.80420),
        (4, 26.32630, 26.31828),
        (5, 41.14130, 41.12172),
        (10, 164.7811, 164.4674),
    ],
)
def test_circular_error_of_the_table(half_swing: float, longer: float, loses: float) -> None:
    ratio = pendulum.period_ratio(half_swing)
    tolerance = 1e-5 if half_swing <= 5 else 1e-4  # the table's own last figure
    assert 86400 * (ratio - 1) == pytest.approx(longer, abs=tolerance)
    assert pendulum.circular_error_s_per_day(half_swing) == pytest.approx(loses, abs=tolerance)


@given(st.floats(min_value=0, max_value=170))
def test_ratio_is_the_complete_elliptic_integral(half_swing: float) -> None:
    m = math.sin(math.radians(half_swing) / 2) ** 2  # the parameter m, not the modulus k
    assert pendulum.period_ratio(half_swing) == pytest.approx(2 / math.pi * ellipk(m), rel=1e-12)


@pytest.mark.parametrize(("m", "k"), [(0.5, 1.85407467730137), (0.1, 1.612441348720)])  # DLMF 19.8; computed with scipy
def test_values_of_k(m: float, k: float) -> None:
    half_swing = 2 * math.degrees(math.asin(math.sqrt(m)))
    assert pendulum.period_ratio(half_swing) * math.pi / 2 == pytest.approx(k, rel=1e-12)


@given(st.floats(min_value=0.01, max_value=40))
def test_series_agrees_where_swings_are_small(half_swing: float) -> None:
    # 1 + t^2/16 + 11 t^4/3072 + 173 t^6/737280 + 22931 t^8/1321205760; the next term is under 2e-5 t^10
    t = math.radians(half_swing)
    series = 1 + t**2 / 16 + 11 * t**4 / 3072 + 173 * t**6 / 737280 + 22931 * t**8 / 1321205760
    assert pendulum.period_ratio(half_swing) == pytest.approx(series, abs=2e-5 * t**10 + 1e-14)


@given(st.floats(min_value=0.2, max_value=120))
def test_half_swing_undoes_circular_error(half_swing: float) -> None:
    assert pendulum.half_swing_deg(pendulum.circular_error_s_per_day(half_swing)) == pytest.approx(half_swing, rel=1e-7)


class TestBeckett:
    """E. Beckett (Lord Grimthorpe), A Rudimentary Treatise on Clocks, Watches and Bells, 8th ed. 1903."""

    def test_small_swings_lose_5400_a_squared(self) -> None:  # p. 34-35; two degrees lose "about 6", exact 6.58
        a = math.radians(2)
        assert pendulum.circular_error_s_per_day(2) == pytest.approx(5400 * a**2, rel=1e-3)
        assert pendulum.circular_error_s_per_day(2) == pytest.approx(6.58, abs=5e-4)

    def test_ten_minutes_of_arc_more_lose_about_a_second(self) -> None:  # p. 35; exact 1.142
        more = pendulum.circular_error_s_per_day(2 + 10 / 60) - pendulum.circular_error_s_per_day(2)
        assert more == pytest.approx(1.142, abs=5e-4)

    @pytest.mark.parametrize(
        ("beat_s", "inches", "tolerance"),
        [(2, 13 * 12 + 0.5, 0.1), (3 / 4, 22, 0.05), (2 / 3, 17.4, 0.05), (1 / 2, 9.78, 0.01)],
    )  # p. 36, at London's gravity: within the book's rounding and the 0.05 % between London and the standard
    def test_lengths(self, beat_s: float, inches: float, tolerance: float) -> None:
        length = pendulum.length_mm(3600 / beat_s) / INCH_MM
        assert length == pytest.approx(inches, abs=tolerance + 0.0006 * inches)

    def test_a_change_of_length_is_43200_dl_over_l(self) -> None:  # p. 50
        assert pendulum.s_per_day_per_mm(1000) == pytest.approx(43.2)
        exact = 86400 * (math.sqrt(994.0 / 993.9) - 1)
        assert pendulum.s_per_day_per_mm(994) * 0.1 == pytest.approx(exact, rel=1e-4)

    def test_a_mass_half_way_down(self) -> None:  # p. 51: 10800 m/M
        assert pendulum.added_mass_s_per_day(1e-4) == pytest.approx(1.08)

    def test_one_second_a_day_is_0_023_mm_at_a_metre(self) -> None:
        assert 1 / pendulum.s_per_day_per_mm(1000) == pytest.approx(0.0230, abs=2e-4)


def test_the_seconds_pendulum_is_standard_gravity_over_pi_squared() -> None:
    # standard gravity 9.80665 m/s^2: 3rd CGPM, 1901
    assert pendulum.length_mm(3600) == pytest.approx(9806.65 / math.pi**2, abs=1e-6)


def test_the_legal_yard_s_pendulum_of_1824_is_in_reach() -> None:
    # 5 Geo. IV c. 74: 39.1393 in at London, 0.99413822 m; London's gravity is 0.05 % over the standard
    assert pytest.approx(994.13822, abs=1e-5) == 39.1393 * INCH_MM
    assert pendulum.length_mm(3600) == pytest.approx(39.1393 * INCH_MM, rel=6e-4)


@given(st.floats(min_value=500, max_value=20000))
def test_beats_undo_length(beats: float) -> None:
    assert pendulum.beats_per_hour(pendulum.length_mm(beats)) == pytest.approx(beats, rel=1e-12)


@pytest.mark.parametrize(("beats", "seconds"), [(3600, 60.0), (3960, 54.5), (4650, 46.5)])
def test_a_small_hand_that_shows_no_seconds(beats: float, seconds: float) -> None:
    # common practice: 30 teeth, 60 beats a turn; the figures as the trade rounds them
    assert pendulum.seconds_hand_turn_s(beats) == pytest.approx(seconds, abs=0.05)


@pytest.mark.parametrize("measured", [0.0113, 0.0109])
def test_denser_air_loses(measured: float) -> None:
    # Encyclopaedia Britannica, 11th ed. 1911, "Clock": s/day a hPa; Matthys 2004: 0.2 to 0.4 an inch of mercury
    ours = pendulum.pressure_loss_s_per_day(1.0)
    assert ours == pytest.approx(measured, abs=0.004)
    assert 0.005 < ours < 0.015
    assert 0.2 <= pendulum.pressure_loss_s_per_day(33.8639) <= 0.4


def test_coupled_pendulums_exchange_their_swing() -> None:
    # the beat of two oscillators, T1 T2 / |T1 - T2|, exactly; ten s/day apart at two seconds: 4.8 hours
    assert pendulum.exchange_hours(3600, 10) == pytest.approx(4.8)
    for beats, apart in ((3600, 10.0), (8400, -40.0)):
        t1 = 7200 / beats
        t2 = t1 * (1 - apart / 86400)
        assert pendulum.exchange_hours(beats, apart) * 3600 == pytest.approx(t1 * t2 / abs(t1 - t2), rel=1e-3)
    with pytest.raises(ValueError, match="no beat"):
        pendulum.exchange_hours(3600, 0)
