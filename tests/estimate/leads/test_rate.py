"""Leads of the rate: seen, and just not."""

from __future__ import annotations

import pytest

from tests.estimate.leads.seen import codes, lead
from tests.stories import daily

WORKS = {"moved": "work=moved note=A4", "cased": "work=cased", "levelled": "work=levelled"}


def placed(work: str, before: float, after: float, *, days: int = 6, more: tuple[str, ...] = ()) -> list[str]:
    """A longcase read each morning, placed anew on the tenth; its rate before and after in s/day."""
    return [
        *daily("11-02 08:00", "11-10 08:00", "error_s={" + f"{before}*d" + ":.1f}"),
        f"11-10 09:00 {work}",
        *more,
        *daily("11-11 10:00", f"11-{11 + days} 10:00", "error_s={40+" + f"{after}*d" + ":.1f}"),
    ]


@pytest.mark.parametrize(("work", "said"), [("moved", "moved"), ("cased", "put in its case"), ("levelled", "levelled")])
def test_a_jump_after_it_was_placed_anew(work: str, said: str) -> None:
    found = lead("rate-after-move", "longcase", placed(WORKS[work], 2, -45), now="11-17 11:00")
    assert found is not None
    assert found.odds > 0.8
    assert found.text.startswith(f"it loses 47 s a day more since it was {said} on Tue 10 Nov")
    assert found.text.endswith("level it, set the beat, wait a day")


def test_what_a_move_usually_does_is_none() -> None:
    assert codes("longcase", placed(WORKS["moved"], 2, 10), now="11-17 11:00") == []


def test_a_jump_is_not_told_before_two_days_after_it_settled() -> None:
    assert codes("longcase", placed(WORKS["moved"], 2, -45, days=1), now="11-12 11:00") == []


def test_a_nut_turn_explains_its_part() -> None:
    turned = ("11-10 09:10 work=nut amount=-1.4",)  # a turn of 0.6 mm makes 23 to 26 s/day at seconds length
    assert codes("longcase", placed(WORKS["moved"], 2, -35, more=turned), now="11-17 11:00") == []
    untold = ("11-10 09:10 work=nut",)
    assert codes("longcase", placed(WORKS["moved"], 2, -45, more=untold), now="11-17 11:00") == []
    other_way = ("11-10 09:10 work=nut amount=1.4",)
    assert "rate-after-move" in codes("longcase", placed(WORKS["moved"], 2, -35, more=other_way), now="11-17 11:00")


def test_opened_meanwhile_is_reason_enough() -> None:
    opened = ("11-10 09:10 work=opened",)
    assert codes("longcase", placed(WORKS["moved"], 2, -45, more=opened), now="11-17 11:00") == []


def test_beat_set_that_brings_the_rate_back_ends_it() -> None:
    ledger = [*placed(WORKS["moved"], 2, -45), "11-17 10:30 work=beat-set"]
    ledger += daily("11-18 11:00", "11-23 11:00", "error_s={-220+3*d:.1f}")
    assert codes("longcase", ledger, now="11-23 12:00") == []


def wind_after_wind(kind_limit_part: float, *, winds: int = 3) -> list[str]:
    """A weight-driven wall clock (day range limit 5) with a second half of the wind faster by this many s/day."""
    lines, error = [], 0.0
    for week in range(winds):
        start = 2 + 7 * week
        lines.append(f"11-{start:02} 08:00 error_s={error:.1f}")
        lines.append(f"11-{start:02} 08:10 work=wound")
        for day in range(1, 7):
            error += 1.0 + (kind_limit_part if day > 3 else 0.0)
            lines.append(f"11-{start + day:02} 08:00 error_s={error:.1f}")
        error += 1.0 + kind_limit_part
    lines.append(f"11-{2 + 7 * winds:02} 08:00 error_s={error:.1f}")
    lines.append(f"11-{2 + 7 * winds:02} 08:10 work=wound")
    return lines


def test_it_gains_as_it_winds_down() -> None:
    found = lead("rate-with-wind", "weight-wall", wind_after_wind(8), now="11-23 09:00", seconds_hand="yes")
    assert found is not None
    assert found.odds > 0.8
    assert "faster in the second half of a wind" in found.text
    assert "read swing and rate through a wind" in found.text


def test_losing_as_it_winds_down_is_usual() -> None:
    assert codes("weight-wall", wind_after_wind(-8), now="11-23 09:00", seconds_hand="yes") == []


def test_one_wind_is_no_pattern() -> None:
    assert codes("weight-wall", wind_after_wind(8, winds=1), now="11-09 09:00", seconds_hand="yes") == []


def test_a_gain_within_its_doubt_is_none() -> None:
    assert codes("weight-wall", wind_after_wind(1.0), now="11-23 09:00", seconds_hand="yes") == []


def jumping(first: float, second: float) -> list[str]:
    """A longcase that gains 2 s a day, with two jumps (s) a week apart that nobody logged."""
    cells = "error_s={2*d + " + f"{first}*(d>6.5) + {second}*(d>13.5)" + ":.1f}"
    return daily("11-02 08:00", "11-22 08:00", cells)


def test_two_whole_minutes_one_way() -> None:
    found = lead("steps", "longcase", jumping(60, 60), now="11-22 09:00")
    assert found is not None
    assert found.odds > 0.8
    assert found.text.startswith("the hands went forward by 1 min twice with nobody setting them")


@pytest.mark.parametrize(("first", "second"), [(60, 0), (60, -60), (75, 100), (-60, 90)])
def test_other_jumps_are_no_slipping_hands(first: float, second: float) -> None:
    assert "steps" not in codes("longcase", jumping(first, second), now="11-22 09:00")


def test_two_readings_apart_from_the_rest_are_blunders() -> None:
    cells = "error_s={2*d + 60*(d in (6, 13)):.1f}"
    assert codes("longcase", daily("11-02 08:00", "11-22 08:00", cells), now="11-22 09:00") == []


def after_the_nut(creep: float) -> list[str]:
    """A longcase regulated on the second; its rate changes by `creep` s/day per day from then on."""
    return [
        "11-02 07:50 error_s=0",
        "11-02 08:00 work=nut amount=0.5",
        *daily("11-03 08:00", "11-22 08:00", "error_s={d + " + f"{creep}*d*d/2" + ":.1f}"),
    ]


def test_a_rate_that_creeps_after_the_nut() -> None:
    found = lead("rate-creeps", "longcase", after_the_nut(-0.7), now="11-22 09:00")
    assert found is not None
    assert found.odds > 0.8
    assert found.text.startswith("the rate creeps 4.9 s/day slower each week since the nut was turned on Mon 2 Nov")


def test_wandering_is_no_creep() -> None:
    assert codes("longcase", after_the_nut(0.03), now="11-22 09:00") == []


def test_a_drift_that_no_nut_began_is_none() -> None:
    moved = [line.replace("work=nut amount=0.5", "work=beat-set") for line in after_the_nut(-0.7)]
    assert "rate-creeps" not in codes("longcase", moved, now="11-22 09:00")
