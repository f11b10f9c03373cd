"""New moons and the moon's age, against Meeus' worked example and an independent ephemeris."""

from datetime import UTC, datetime, timedelta

import ephem
import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.horology import moon
from standwatch.model.errors import BadValue


def _age_by_ephem(at: datetime) -> float:
    date = ephem.Date(at.replace(tzinfo=None))
    return float(date - ephem.previous_new_moon(date))


def test_the_worked_example() -> None:
    # J. Meeus, Astronomical Algorithms, example 49.a: new moon of February 1977
    assert moon.new_moon_jde(-283) == pytest.approx(2443192.65118, abs=5e-6)


def test_the_worked_example_of_a_last_quarter() -> None:
    # Meeus, example 49.b: the first last quarter of 2044
    assert moon.quarter_jde(544.75) == pytest.approx(2467636.49186, abs=5e-6)


@given(st.datetimes(datetime(1965, 1, 1), datetime(2049, 1, 1), timezones=st.just(UTC)))  # noqa: DTZ001
def test_half_moons_agree_with_an_ephemeris(at: datetime) -> None:
    new = ephem.Date(moon.new_moon_before(at).replace(tzinfo=None) + timedelta(hours=1))
    theirs = (ephem.next_first_quarter_moon(new), ephem.next_last_quarter_moon(new))
    for ours, date in zip(moon.half_moons(at), theirs, strict=True):
        assert abs(ours.replace(tzinfo=None) - date.datetime()) < timedelta(minutes=1.5)


@pytest.mark.parametrize("k", [0.0, 3.5, -1.3])
def test_only_quarters_are_quarters(k: float) -> None:
    with pytest.raises(ValueError, match="quarter"):
        moon.quarter_jde(k)


@pytest.mark.parametrize(
    ("at", "age"),
    [  # computed with ephem; tolerance 0.001 d
        ("2024-01-25T17:54+00:00", 14.2477),
        ("2016-11-14T13:52+00:00", 14.8429),
        ("2025-06-15T12:00+00:00", 19.3734),
    ],
)
def test_ages(at: str, age: float) -> None:
    assert moon.age_days(datetime.fromisoformat(at)) == pytest.approx(age, abs=0.001)


@given(st.datetimes(datetime(1965, 1, 1), datetime(2060, 1, 1), timezones=st.just(UTC)))  # noqa: DTZ001
def test_age_agrees_with_an_ephemeris(at: datetime) -> None:
    ours, theirs = moon.age_days(at), _age_by_ephem(at)
    within_a_minute_of_new = min(ours, theirs) < 0.001
    assert within_a_minute_of_new or ours == pytest.approx(theirs, abs=0.001)


@given(st.datetimes(datetime(1900, 1, 1), datetime(2150, 1, 1), timezones=st.just(UTC)))  # noqa: DTZ001
def test_age_is_never_over_a_lunation(at: datetime) -> None:
    assert timedelta() <= at - moon.new_moon_before(at) < timedelta(days=29.9)


def test_a_dial_of_59_teeth() -> None:
    # E. Beckett 1903, p. 140: 44 min a month out; exact 44.048, 0.3787 d a year, one day in 2.64 years
    gain = moon.dial_gain_min_per_lunation()
    assert gain == pytest.approx(44.048, abs=5e-4)
    a_year = gain / 1440 * 365.2425 / 29.5  # the dial's own lunations in a year
    assert a_year == pytest.approx(0.3787, abs=1e-4)
    assert 1 / a_year == pytest.approx(2.64, abs=5e-3)


@given(st.datetimes(datetime(1990, 1, 1), datetime(2049, 1, 1), timezones=st.just(UTC)))  # noqa: DTZ001
def test_a_dial_s_mean_moon_stays_near_the_sky_s(at: datetime) -> None:
    # Meeus 49.1 without its periodic terms: the mean new moon of 6 January 2000, 14:20:37 TT; allow 0.8 d
    mean = ((at - datetime(2000, 1, 6, 14, 20, tzinfo=UTC)) / timedelta(days=1)) % moon.MEAN_LUNATION_D
    apart = (mean - moon.age_days(at) + moon.MEAN_LUNATION_D / 2) % moon.MEAN_LUNATION_D - moon.MEAN_LUNATION_D / 2
    assert abs(apart) < 0.8


@pytest.mark.parametrize("year", [1, 1599, 2400, 9999])
def test_a_moon_too_far_off_is_not_guessed(year: int) -> None:
    with pytest.raises(BadValue, match="1600 to 2399"):
        moon.age_days(datetime(year, 6, 1, tzinfo=UTC))
