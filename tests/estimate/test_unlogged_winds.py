"""Winds that nobody logged, by the going weight's falls."""

from __future__ import annotations

import numpy as np
import pytest

from standwatch.estimate.unlogged_winds import unlogged_winds
from standwatch.model.words import KindName, Work
from tests.bench.power.nature import time_of
from tests.bench.power.watch import Plan, told_by
from tests.stories import at, daily, story

WEEK = ["11-02 08:00 work=wound", *daily("11-02 08:05", "11-06 08:05", "error_s=0 going_mm={165*d:.0f}")]


def test_a_weight_near_the_top_was_wound() -> None:
    [found] = unlogged_winds(story("longcase", [*WEEK, "11-07 08:05 going_mm=90"], now="11-07 09:00"))
    assert (found.what, found.at) == (Work.WOUND, at("11-07 08:05"))
    assert found.amount == pytest.approx(5 * 165 - 90, abs=15)
    assert 0.9 < found.odds <= 1


@pytest.mark.parametrize(
    "lines",
    [
        ["11-06 08:06 work=wound", "11-07 08:05 going_mm=165"],  # it was told
        ["11-07 08:05 going_mm=825"],  # it goes on
        ["11-07 08:05 going_mm=4 work=wound"],  # read once it was wound, in one row
        ["11-07 08:05 going_mm=4", "11-07 08:05 work=wound"],
        ["11-07 08:05 going_mm=760"],  # a little high: misread as likely as not
        ["11-07 08:05 going_mm=100", "11-07 08:06 going_mm=825"],  # misread, and looked at again
        ["11-06 09:00 work=stopped going_mm=670", "11-07 08:05 work=restarted", "11-08 08:05 going_mm=830"],
        ["11-07 08:05 work=stopped going_mm=60"],  # as it hung
        ["11-07 08:05 strike_mm=60"],
    ],
)
def test_what_is_no_unlogged_wind(lines: list[str]) -> None:
    assert unlogged_winds(story("longcase", [*WEEK, *lines], now="11-08 09:00")) == ()


def test_springs_and_references_have_no_weight_to_tell() -> None:
    for kind in ("mantel", "reference"):
        assert unlogged_winds(story(kind, ["11-02 08:00 work=wound"], now="11-08 09:00")) == ()


@pytest.mark.parametrize("kind", [KindName.LONGCASE, KindName.CUCKOO])
def test_where_every_wind_is_told_none_is_called(kind: KindName) -> None:
    """On simulated stands with misread falls whose every wind is told: at most one of 25 clocks over 24 days."""
    rng = np.random.default_rng(11)
    plans = [Plan(kind, 24, careless=False, looks_again=True) for _ in range(25)]
    found = [unlogged_winds(told_by(plan, rng).ledger.history(time_of(25 * 96))) for plan in plans]
    assert sum(map(bool, found)) <= 1
