"""Gravity by latitude and height, against the published ellipsoids and an independent library."""

import math

import boule
import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.horology.gravity import Site, gravity_m_s2, site_change


@pytest.mark.parametrize(
    ("latitude", "g"),
    [(0, 9.7803253359), (45, 9.8061977694), (90, 9.8321849378)],  # NIMA TR8350.2 (WGS 84); 45 deg by Somigliana
)
def test_normal_gravity(latitude: float, g: float) -> None:
    assert gravity_m_s2(Site(latitude, 0)) == pytest.approx(g, abs=1e-9)
    assert gravity_m_s2(Site(-latitude, 0)) == pytest.approx(g, abs=1e-9)


@pytest.mark.parametrize(("latitude", "g"), [(0, 9.7803267715), (45, 9.806199203), (90, 9.8321863685)])
def test_the_geodetic_system_of_1980_is_a_hair_away(latitude: float, g: float) -> None:
    # GRS 80 (H. Moritz, Bulletin geodesique 54, 1980); the two differ by their equator's gravity, 0.14 mGal
    assert gravity_m_s2(Site(latitude, 0)) == pytest.approx(g, abs=1.5e-6)


@given(st.floats(-90, 90))
def test_agrees_with_the_closed_form_on_the_ground(latitude: float) -> None:
    mgal = float(boule.WGS84.normal_gravity((0, latitude, 0)))  # boule 0.6.0: Li and Goetze 2001, closed form
    assert gravity_m_s2(Site(latitude, 0)) == pytest.approx(mgal * 1e-5, abs=1e-8)


@given(st.floats(-90, 90), st.floats(0, 3000))
def test_agrees_with_the_closed_form_at_a_height(latitude: float, height: float) -> None:
    mgal = float(boule.WGS84.normal_gravity((0, latitude, height)))
    assert gravity_m_s2(Site(latitude, height)) == pytest.approx(mgal * 1e-5, abs=1e-6)


def test_a_thousand_metres_up() -> None:
    # TR8350.2 equation 4-3: 9.803112944; the closed form gives 9.803112897
    assert gravity_m_s2(Site(45, 1000)) == pytest.approx(9.803112944, abs=1e-9)
    assert gravity_m_s2(Site(45, 1000)) == pytest.approx(9.803112897, abs=1e-6)


@pytest.mark.parametrize(
    ("start", "end", "change"),
    [  # computed with boule 0.6.0; tolerance 0.005 s/day
        (Site(45, 0), Site(45, 1600), -21.744),
        (Site(40, 0), Site(40, 1600), -21.756),
        (Site(45, 0), Site(45, 100), -1.359),
        (Site(51.5074, 0), Site(1.3521, 0), -139.62),
        (Site(0, 0), Site(90, 0), 228.76),
    ],
)
def test_a_pendulum_that_moves(start: Site, end: Site, change: float) -> None:
    assert site_change(start, end)[0] == pytest.approx(change, abs=0.005)


def test_the_doubt_is_a_local_anomaly_of_100_mgal() -> None:
    assert site_change(Site(51.5, 30), Site(55.9, 80))[1] == pytest.approx(4.4, abs=0.01)


def test_an_english_pendulum_at_the_equator() -> None:
    # E. Beckett 1903, p. 39: loses 2.25 minutes a day (exact 2.33)
    assert site_change(Site(51.5, 0), Site(0, 0))[0] / 60 == pytest.approx(-2.33, abs=0.005)


def test_a_degree_and_a_hundred_metres() -> None:
    # common practice: about 4 s/day a degree towards the pole between 35 and 55, 0.07 at the equator; -1.36 a 100 m up
    for latitude in range(35, 55):
        assert site_change(Site(latitude, 0), Site(latitude + 1, 0))[0] == pytest.approx(4, abs=0.3)
        assert site_change(Site(-latitude, 0), Site(-latitude - 1, 0))[0] == pytest.approx(4, abs=0.3)
        assert site_change(Site(latitude, 0), Site(latitude, 100))[0] == pytest.approx(-1.36, abs=0.005)
    assert site_change(Site(0, 0), Site(1, 0))[0] == pytest.approx(0.07, abs=0.005)


@pytest.mark.parametrize(("latitude", "inches"), [(45, 39.1156), (0, 39.017)])
def test_the_seconds_pendulum_in_inches(latitude: float, inches: float) -> None:
    # E. Beckett 1903, p. 39, whose figure of the Earth was coarser: within one part in ten thousand
    assert gravity_m_s2(Site(latitude, 0)) / math.pi**2 / 0.0254 == pytest.approx(inches, rel=1e-4)


def test_lengths_of_the_seconds_pendulum_by_latitude() -> None:
    # E. Beckett 1903, p. 39: 39.1156 in at 45 degrees, 39.017 in at the equator; l ~ 1 - .0027 cos 2 lat
    ratio = gravity_m_s2(Site(0, 0)) / gravity_m_s2(Site(45, 0))
    assert ratio == pytest.approx(39.017 / 39.1156, abs=2e-4)
    assert ratio == pytest.approx(1 - 0.0027, abs=2e-4)
