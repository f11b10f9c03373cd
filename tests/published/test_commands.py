"""The published values again, through the commands that hand them out: `pendulum`, `site` and `moon`, as JSON.

Each value's source stands beside it; the functions beneath are tested one by one in the modules beside this one.
"""

from __future__ import annotations

import io
import json
import math
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from standwatch.bootstrap import house
from standwatch.cli.main import run
from standwatch.horology.kinds import traits_of
from standwatch.model.facts import Clock
from standwatch.model.records import build
from standwatch.model.words import ReadBy

INCH_MM = 25.4


@pytest.fixture
def told(tmp_path: Path) -> Any:
    """What a command prints with --json, without a book."""

    def ask(*words: object) -> Any:
        out = io.StringIO()
        with redirect_stdout(out), redirect_stderr(io.StringIO()):
            assert run(house(), ["--book", str(tmp_path / "none"), *map(str, words), "--json"]) == 0
        return json.loads(out.getvalue())

    return ask


@pytest.mark.parametrize(
    ("half_swing", "loses", "tolerance"),
    [  # 86400 (1 - 1/r), r = (2/pi) K(m): Abramowitz & Stegun 17.3, DLMF 22.19; computed with scipy
        (1, 1.644932, 1e-5),
        (2, 6.579695, 1e-5),
        (3, 14.80420, 1e-5),
        (4, 26.31828, 1e-5),
        (5, 41.12172, 1e-5),
        (10, 164.4674, 1e-4),  # the table's own last figure
    ],
)
def test_circular_error(told: Any, half_swing: float, loses: float, tolerance: float) -> None:
    found = told("pendulum", "--beats-per-hour", 3600, "--half-swing", half_swing)
    assert found["circular_error_s_per_day"] == pytest.approx(loses, abs=tolerance)


@pytest.mark.parametrize(
    ("beats", "length_mm"),
    [  # 993.621386 mm, standard gravity over pi squared (3rd CGPM 1901), times (3600/n)^2
        (3600, 993.621386),
        (7200, 248.405347),
        (3960, 821.174699),
        (4650, 595.552464),
        (1800, 3974.485544),
    ],
)
def test_beats_and_lengths(told: Any, beats: float, length_mm: float) -> None:
    assert told("pendulum", "--beats-per-hour", beats)["length_mm"] == pytest.approx(length_mm, abs=2e-6)
    back = told("pendulum", "--length", length_mm)
    assert back["beats_per_hour"] == pytest.approx(beats, rel=1e-8)
    # 43200/L: E. Beckett, Clocks, Watches and Bells, 8th ed. 1903, p. 50
    assert back["s_per_day_per_mm"] == pytest.approx(43200 / length_mm)


@pytest.mark.parametrize(
    ("beat_s", "inches", "tolerance"),
    [(2, 13 * 12 + 0.5, 0.15), (3 / 4, 22, 0.05), (2 / 3, 17.4, 0.05), (1 / 2, 9.78, 0.015)],
)  # E. Beckett 1903, p. 36, by London's gravity, 0.05 % over the standard
def test_beckett_s_lengths(told: Any, beat_s: float, inches: float, tolerance: float) -> None:
    length = told("pendulum", "--beats-per-hour", 3600 / beat_s)["length_mm"] / INCH_MM
    assert length == pytest.approx(inches, abs=tolerance)


@pytest.mark.parametrize(
    ("start", "end", "change"),
    [  # WGS 84 (NIMA TR8350.2) by boule 0.6.0; tolerance 0.005 s/day
        ("45,0", "45,1600", -21.744),
        ("40,0", "40,1600", -21.756),
        ("45,0", "45,100", -1.359),
        ("51.5074,0", "1.3521,0", -139.62),
        ("0,0", "90,0", 228.76),
        ("0,0", "-90,0", 228.76),
        ("-45,0", "45,0", 0.0),
    ],
)
def test_a_pendulum_moved(told: Any, start: str, end: str, change: float) -> None:
    found = told("site", "--from", start, "--to", end)
    assert found["rate_change_s_per_day"] == pytest.approx(change, abs=0.005)
    assert found["doubt_s_per_day"] == pytest.approx(4.4, abs=0.05)  # a local anomaly of 100 mGal


def test_a_southern_shop(told: Any) -> None:
    there, back = (told("site", "--from", a, "--to", b) for a, b in (("-33.9,50", "51.5,20"), ("51.5,20", "-33.9,50")))
    assert there["rate_change_s_per_day"] > 0  # nearer to the pole
    # sqrt(g2/g1) one way is its inverse the other
    one, other = 1 + there["rate_change_s_per_day"] / 86400, 1 + back["rate_change_s_per_day"] / 86400
    assert one * other == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize(
    ("at", "age"),
    [  # ephem: date - previous_new_moon(date); tolerance 0.001 d
        ("2024-01-25T17:54+00:00", 14.2477),
        ("2016-11-14T13:52+00:00", 14.8429),
        ("2025-06-15T12:00+00:00", 19.3734),
        ("2025-06-15T14:00+02:00", 19.3734),
    ],
)
def test_moon(told: Any, at: str, age: float) -> None:
    assert told("moon", "--at", at)["age_days"] == pytest.approx(age, abs=0.001)


def test_a_press_is_finer_than_any_hand() -> None:
    # Am. J. Phys. 87 (2019) 110, abstract: the press on a seen event comes 0.11 s late, sd 0.07 s
    for kind in ("regulator", "longcase", "mantel"):
        traits = traits_of(build(Clock, {"tag": "T1", "kind": kind}))
        for way in ReadBy:
            assert traits.reading_doubt_s(way) > 3 * math.hypot(0.11, 0.07)
