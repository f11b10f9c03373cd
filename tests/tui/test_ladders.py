"""The ladders of weights: a train that seems stuck says so, and that its run-down is if it went on."""

from __future__ import annotations

import pytest

from standwatch.judge.assessment import Assessment
from standwatch.tui.draw.ladders import ladders
from tests.judge.judged import assessed, when
from tests.stories import daily

NOW = "11-10 08:30"
WEEK = daily("11-03 08:00", "11-08 08:00", "error_s=0 going_mm={165*(d+1):.0f} strike_mm={165*(d+1):.0f}")
WOUND = ["11-02 08:00 error_s=0 work=wound", *WEEK, "11-08 08:05 work=wound train=going"]


def longcase(strike: str) -> Assessment:
    fell = daily("11-09 08:00", "11-10 08:00", f"error_s=0 going_mm={{165*(d+1):.0f}} strike_mm={strike}")
    return assessed("longcase", [*WOUND, *fell], now=NOW)


@pytest.mark.parametrize(("width", "said"), [(39, "if it went on"), (26, "if it goes")])
def test_what_runs_down_only_if_it_went_on_is_marked_so(width: int, said: str) -> None:
    told = longcase("1020")
    drawn = [each.plain for each in ladders(told, when(NOW), when("11-13 08:00"), width, 6)]
    assert drawn[2].count("seems stuck") == 1
    assert sum(said in each for each in drawn) == 1
    assert "!" not in drawn[-1]
    runs = ladders(longcase("{990+165*(d+1):.0f}"), when(NOW), when("11-13 08:00"), width, 6)
    assert "!" in runs[-1].plain
    assert not [each for each in runs if "if it" in each.plain or "stuck" in each.plain]
