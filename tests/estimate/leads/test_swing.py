"""Leads of the swing: seen, and just not."""

from __future__ import annotations

import math

from tests.estimate.leads.seen import codes, lead, leads
from tests.stories import daily


def weekly_winds(first: int, last: int) -> list[str]:
    """A wind on every seventh day of November, after the reading."""
    return [f"11-{day:02} 08:10 work=wound" for day in range(first, last + 1, 7)]


def falling(per_week: float, *, last: str = "11-23 08:00") -> list[str]:
    """A longcase read each morning; its swing changes by `per_week` (0.96 = 4 % less each week)."""
    cells = "error_s={2*d:.1f} amplitude_deg={2.6*" + repr(per_week) + "**(d/7):.3f}"
    return [*daily("11-02 08:00", last, cells), *weekly_winds(2, 23)]


def test_a_swing_that_falls_from_week_to_week() -> None:
    found = lead("swing-falls", "longcase", falling(0.96), now="11-23 09:00", unlock_deg=1.5)
    assert found is not None
    assert found.odds > 0.9
    assert found.text.startswith("the swing falls 4 % a week at equal wind, too little by ")
    assert found.text.endswith("look at endshake and the escape pivots")


def test_what_is_too_little_already_has_no_date() -> None:
    found = lead("swing-falls", "longcase", falling(0.90), now="11-23 09:00", unlock_deg=1.7)
    assert found is not None
    assert "at equal wind, too little already: oil" in found.text


def test_a_torsion_pendulum_has_no_train_to_look_at_first() -> None:
    read = daily("10-01 08:00", "11-15 08:00", "error_s={2*d:.1f} amplitude_deg={310-3*d:.0f}")
    found = lead("swing-falls", "torsion", ["10-01 07:00 work=wound", *read], now="11-15 09:00")
    assert found is not None
    assert found.text.endswith("look at pallets, fork and strip")


def test_a_fall_within_its_doubt_is_none() -> None:
    assert codes("longcase", falling(0.96, last="11-09 08:00"), now="11-09 09:00") == []  # a week can't show 4 %


def test_a_fall_of_under_two_in_a_hundred_a_week_is_none() -> None:
    assert codes("longcase", falling(0.985), now="11-23 09:00") == []


def test_a_swing_that_grows_is_none() -> None:
    assert codes("longcase", falling(1.04), now="11-23 09:00") == []


def test_what_was_opened_since_is_forgotten() -> None:
    ledger = [*falling(0.96), "11-23 08:30 work=opened"]
    assert codes("longcase", ledger, now="11-23 09:00") == []


def through_the_wind(loss: float) -> list[str]:
    """A mantel clock, wound weekly, whose swing falls by the share `loss` over its eight days and comes back."""
    lines = []
    for week in (2, 9, 16):
        lines.append(f"11-{week:02} 08:10 work=wound")
        for day in (1, 3, 5, 7):
            degrees = 5.2 * math.exp(math.log(1 - loss) * day / 8)
            lines.append(f"11-{week + day:02} 08:00 error_s={3 * (week + day):.0f} amplitude_deg={degrees:.2f}")
    return lines


def test_a_spring_that_is_weak_at_its_end() -> None:
    found = lead("swing-low-at-end", "mantel", through_the_wind(0.4), now="11-23 09:00")
    assert found is not None
    assert 0.9 < found.odds < 1
    assert "a weak or set spring; read it on the last day" in found.text


def test_what_springs_usually_lose_is_none() -> None:
    assert codes("mantel", through_the_wind(0.2), now="11-23 09:00") == []


def test_one_wind_is_not_sure_enough_for_a_quarter() -> None:
    assert codes("mantel", through_the_wind(0.27)[:5], now="11-09 09:00") == []


def test_never_read_on_the_last_days_tells_nothing() -> None:
    early = [
        line for line in through_the_wind(0.4) if "wound" in line or "-03" in line or "-10" in line or "-17" in line
    ]
    assert codes("mantel", early, now="11-18 09:00") == []


def test_weights_pull_alike_to_the_end() -> None:
    assert [each for each in leads("longcase", through_the_wind(0.4), now="11-23 09:00") if "spring" in each.text] == []
