"""The bob's window as a lead: a swing that sinks there, stops that fall there, and just not."""

from __future__ import annotations

import numpy as np
import pytest

from tests.estimate.leads.seen import codes, lead
from tests.stories import daily

BOB = {"bob_below_top_mm": 560, "unlock_deg": 1.8, "going_usable_mm": 1400, "strike_usable_mm": 1400}


def read(low: float, *, usual: float = 2.8, weeks: int = 2) -> list[str]:
    """A longcase read each morning for some weeks; on the days at the bob (4 and 5) its swing is `low`."""
    lines = []
    for week in range(weeks):
        start = f"11-{2 + 7 * week:02} 08:00"
        for day, line in enumerate(daily(start, f"11-{8 + 7 * week:02} 08:00", "error_s={d:.1f}")):
            swing = low if day == 4 else usual
            falls = f"going_mm={165 * day} strike_mm={163 * day}" if day else ""
            lines.append(f"{line} amplitude_deg={swing} {falls}")
        lines.append(f"11-{2 + 7 * week:02} 08:05 work=wound")
    return lines


def test_a_swing_that_sinks_as_they_pass() -> None:
    found = lead("bob-window", "longcase", read(2.5), now="11-15 09:00", **BOB)
    assert found is not None
    assert found.odds > 0.8
    assert found.text.startswith("the swing is 11 % lower while a weight hangs level with the bob, read twice")
    assert "steady the stand, look at the suspension" in found.text


def test_in_its_own_case_it_is_the_case_that_is_fixed() -> None:
    cased = [*read(2.5), "11-01 08:00 work=cased"]
    found = lead("bob-window", "longcase", cased, now="11-15 09:00", **BOB)
    assert found is not None
    assert "fix the case, look at the suspension" in found.text


def test_a_hair_less_is_no_lead() -> None:
    assert "bob-window" not in codes("longcase", read(2.75), now="11-15 09:00", **BOB)


def test_a_swing_that_is_wider_there_is_none() -> None:
    assert "bob-window" not in codes("longcase", read(3.1), now="11-15 09:00", **BOB)


def test_a_bob_below_the_weights_way_blames_nothing() -> None:
    elsewhere = {**BOB, "bob_below_top_mm": 1600}
    assert "bob-window" not in codes("longcase", read(2.5), now="11-15 09:00", **elsewhere)


@pytest.mark.parametrize("seed", range(3))
def test_a_swing_that_only_scatters_is_none(seed: int) -> None:
    rng = np.random.default_rng(seed)
    scattered = [
        " ".join(f"amplitude_deg={rng.normal(2.8, 0.08):.2f}" if c.startswith("amp") else c for c in line.split(" "))
        for line in read(2.8)
    ]
    assert "bob-window" not in codes("longcase", scattered, now="11-15 09:00", **BOB)


def stopped(*heights: float) -> list[str]:
    """A longcase that stops in each weekly wind with its weight at one of `heights`; restarted and rewound."""
    lines = ["10-05 08:00 error_s=0 work=wound"]
    for n, height in enumerate(heights):
        base, days = np.datetime64("2026-10-05") + 7 * n, int(height / 165)
        for d in range(1, days + 1):
            at = str(base + d)[5:]
            lines.append(f"{at} 08:00 error_s=0 going_mm={165 * d}")
        found, minutes = str(base + days + 1)[5:], int((height / 165 % 1) * 1440) + 480 + 37 * n
        dial = f"{minutes // 60 % 12 or 12}:{minutes % 60:02}"
        lines.append(f"{found} 08:30 dial={dial} going_mm={height:.0f} work=stopped")
        lines.append(f"{found} 09:00 work=restarted")
        lines.append(f"{str(base + 7)[5:]} 08:00 error_s=0 work=wound")
    return lines


def test_stops_that_fall_in_the_window() -> None:
    found = lead("bob-window", "longcase", stopped(570, 700, 640, 600), now="11-05 09:00", **BOB)
    assert found is not None
    assert found.odds > 0.9
    assert found.text.startswith("all 4 stops fell while the going weight passed the bob, 520 to 710 mm down")


def test_stops_anywhere_are_none() -> None:
    assert "bob-window" not in codes("longcase", stopped(200, 700, 900, 420), now="11-05 09:00", **BOB)
    assert "bob-window" not in codes("longcase", stopped(570, 640), now="11-05 09:00", **BOB)
