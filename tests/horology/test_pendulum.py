"""Turns of the rating nut, by the trade's rule of thumb (common practice)."""

import pytest

from standwatch.horology import pendulum
from standwatch.horology.kinds import traits_of
from standwatch.model.facts import Clock
from standwatch.model.records import build


def _turn(kind: str, **columns: object) -> tuple[float, float] | None:
    clock = build(Clock, {"tag": "T1", "kind": kind, **columns})
    return pendulum.turn_s_per_day(clock, traits_of(clock))


def test_a_turn_is_20_to_50_at_seconds_length_and_minutes_on_short_pendulums() -> None:
    turn = _turn("longcase")
    assert turn is not None
    assert 20 < turn[0] < 50
    assert turn[0] == pytest.approx(43200 * 0.65 * 0.9 / 993.621386)
    assert turn[1] == pytest.approx(turn[0] / 4)
    short = _turn("mantel")
    assert short is not None
    assert 60 < short[0] < 180


def test_a_coarse_old_thread_counts() -> None:
    # a published diary of a tower clock: 45 s/day a turn; a plausible band, no tolerance
    coarse = _turn("longcase", nut_pitch_mm=1.15)
    assert coarse is not None
    assert coarse[0] - coarse[1] < 45 < coarse[0] + coarse[1]


@pytest.mark.parametrize("kind", ["carriage", "mantel-chiming", "torsion", "reference"])
def test_no_bob_no_turns(kind: str) -> None:
    assert _turn(kind) is None


@pytest.mark.parametrize("half_swing", [-0.1, 180, 400])
def test_a_swing_over_the_top_is_no_pendulum_s(half_swing: float) -> None:
    with pytest.raises(ValueError, match="half-swing"):
        pendulum.period_ratio(half_swing)


@pytest.mark.parametrize("loss", [-1.0, 86400.0])
def test_no_swing_loses_a_whole_day(loss: float) -> None:
    with pytest.raises(ValueError, match="circular error"):
        pendulum.half_swing_deg(loss)
