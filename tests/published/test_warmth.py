"""What warmth does to a clock before its readings tell, against Beckett 1903, Swyt 1994 and a tower clock's diary."""

import pytest

from standwatch.horology.kinds import traits_of
from standwatch.horology.warmth import warmth_of
from standwatch.model.facts import Clock
from standwatch.model.records import build


def _warmth(kind: str, **columns: object) -> tuple[float, float]:
    clock = build(Clock, {"tag": "T1", "kind": kind, **columns})
    return warmth_of(clock, traits_of(clock))


@pytest.mark.parametrize(
    ("rod", "loss"),
    [
        ("iron", 0.544),  # E. Beckett, Clocks, Watches and Bells, 8th ed. 1903, p. 53
        ("brass", 0.778),  # Beckett
        ("brass", 0.82),  # 18.7-19 in engineering tables
        ("aluminium", 0.998),  # D. Swyt, J. Res. NIST 99 (1994) 31
        ("zinc", 1.244),  # Beckett
        ("varnished deal", 0.179),  # Beckett, white deal
        ("nickel steel", 0.039),  # textbook tables, 0.9 to 1.2 per million
        ("nickel steel", 0.052),
        ("fused silica", 0.022),  # general tables, 0.5 to 0.59 per million
        ("fused silica", 0.025),
    ],
)
def test_a_named_rod_loses_what_the_tables_say(rod: str, loss: float) -> None:
    mean, doubt = _warmth("longcase", rod=rod)
    assert mean == pytest.approx(loss, rel=0.20, abs=1e-3)
    assert abs(mean - loss) < doubt
    assert doubt >= 0.10 * mean  # a material's own doubt


@pytest.mark.parametrize(
    "loss",
    [
        0.4968,  # Swyt 1994: the rod alone
        0.498,  # Beckett p. 53, tempered
        0.605,  # a steel pendulum without compensation, in the published diary of a tower clock: a plausible band only
    ],
)
def test_steel_covers_what_was_published_of_it(loss: float) -> None:
    mean, doubt = _warmth("longcase", rod="steel")
    assert abs(mean - loss) < doubt


def test_a_plain_balance_is_beckett_s() -> None:
    # Beckett p. 305: 6.5 min/day for 32 to 100 deg F; 10.3 s/day a deg C
    beckett = 6.5 * 60 / ((100 - 32) / 1.8)
    assert beckett == pytest.approx(10.3, abs=0.05)
    mean, doubt = _warmth("carriage", balance="plain")
    assert abs(mean - beckett) < doubt / 2


def test_a_modern_alloy_keeps_within_a_chronometer_s_thermal_variation() -> None:
    # ISO 3159 as told by an accrediting observatory: C within 0.6 s/day per deg C, for wristwatches
    mean, doubt = _warmth("carriage", balance="alloy")
    assert abs(mean) < 0.6 < mean + 2 * doubt
