"""How a spring's rate runs down through its wind, learned from readings through whole winds."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from standwatch.estimate.history import History
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.model.answers import NotYetKnown, Quantity
from tests.stories import story


def spring(days: int, *, curve: float, winds: bool = True, seed: int = 3) -> History:
    """A wall clock wound each Monday at eight, read daily; its rate falls by `curve` s/day in a week, evenly."""
    draw = np.random.default_rng(seed)
    lines, error = [], 0.0
    start = datetime(2026, 9, 7, 8, tzinfo=UTC)
    for day in range(days):
        at = start + timedelta(days=day)
        told = " work=wound amount=7" if winds and day % 7 == 0 else ""
        lines.append(f"{at:%m-%d %H:%M}  error_s={error + draw.normal(0, 1):.1f} read_by=seconds-hand{told}")
        since = day % 7
        error += 4 + curve * (0.5 - (since + 0.5) / 7) + draw.normal(0, 3)
    return story("spring-wall", lines, now=f"{start + timedelta(days=days - 1, hours=1):%m-%d %H:%M}")


@pytest.mark.parametrize("curve", [0.0, 25.0, 60.0])
def test_it_is_learned_through_whole_winds(curve: float) -> None:
    told = [timekeeping_of(spring(36, curve=curve, seed=seed)).wind_curve for seed in range(8)]
    assert all(isinstance(q, Quantity) for q in told)
    held = [q.low <= curve <= q.high for q in told if isinstance(q, Quantity)]
    assert sum(held) >= 7  # of eight at 95 %: fewer in 6 of 100 such tests at most
    assert np.mean([q.estimate for q in told if isinstance(q, Quantity)]) == pytest.approx(curve, abs=7)
    assert max(q.doubt for q in told if isinstance(q, Quantity)) < 20


def test_it_wants_a_whole_wind_and_its_days() -> None:
    first = timekeeping_of(spring(6, curve=25)).wind_curve
    assert isinstance(first, NotYetKnown)
    assert first.because == "wants readings through a whole wind"
    unwound = timekeeping_of(spring(20, curve=25, winds=False)).wind_curve
    assert isinstance(unwound, NotYetKnown)
    assert unwound.because == "wants the days on which it is wound"
    weight = timekeeping_of(story("longcase", "09-07 08:00 error_s=1", now="09-08 08:00")).wind_curve
    assert isinstance(weight, NotYetKnown)
