"""The bench itself: its days, its weights, its rounds, against plain counting."""

from __future__ import annotations

import math

import numpy as np
import pytest

from standwatch.model.words import KindName
from tests.bench.power.nature import A_DAY, counted, draw_weight, time_of
from tests.bench.power.watch import Plan, rounds, told_by

LONGCASE = KindName.LONGCASE


@pytest.mark.parametrize("cause", ["going", "strike", "chime", "chain"])
def test_a_day_is_a_day(cause: str) -> None:
    count = counted(cause)
    assert count[5 * A_DAY] - count[4 * A_DAY] == pytest.approx(1)


def test_noon_takes_twelve_of_156_blows_and_sixteen_of_960_notes() -> None:
    # 78 blows in twelve hours, 40 notes of quarters an hour: Beckett, A Rudimentary Treatise on Clocks, 8th ed., p. 174
    noon = A_DAY // 2
    assert np.diff(counted("strike"))[noon - 1] == pytest.approx(12 / 156)
    assert np.diff(counted("strike"))[noon] == 0
    assert np.diff(counted("chime"))[noon - 1] == pytest.approx(16 / 960)
    assert np.diff(counted("chime", silent=True))[4 * 3] == 0


@pytest.mark.parametrize("cause", ["going", "strike", "chime"])
def test_a_weight_is_at_its_floor_when_it_runs_out_and_not_before(cause: str) -> None:
    weight = draw_weight(np.random.default_rng(3), LONGCASE, cause, cause, speed=165, days=8)
    end = weight.runs_out()
    weight.until(math.ceil(end) - 1)
    assert not weight.landed
    weight.until(math.ceil(end))
    assert weight.landed


def test_falling_in_two_steps_is_falling_in_one() -> None:
    one, two = (draw_weight(np.random.default_rng(4), LONGCASE, "going", "going", speed=165, days=8) for _ in range(2))
    one.until(400)
    two.until(150)
    two.until(400)
    assert two.fall == pytest.approx(one.fall)


def test_rounds_are_five_days_a_week_some_saturdays_and_one_in_ten_missed() -> None:
    rng = np.random.default_rng(5)
    days = [sum(1 for _ in rounds(Plan(LONGCASE, 70, "rounds"), rng)) - 1 for _ in range(300)]
    assert np.mean(days) / 10 == pytest.approx(0.9 * 5.3, rel=0.02)


def test_a_stuck_train_falls_no_further_and_the_going_train_goes_on() -> None:
    story = told_by(Plan(LONGCASE, 24, fault="stuck", careless=False), np.random.default_rng(6))
    assert story.at_fault is not None
    rows = [r.body for r in story.ledger.rows if r.body.at > time_of(story.at_fault) and r.body.going_mm is not None]
    strikes = [row.strike_mm for row in rows if row.strike_mm is not None]
    until = next((n for n in range(1, len(rows)) if (rows[n].going_mm or 0) < (rows[n - 1].going_mm or 0)), len(rows))
    assert until >= 2
    assert max(strikes[:until]) - min(strikes[:until]) < 35
    assert (rows[until - 1].going_mm or 0) - (rows[0].going_mm or 0) > 60 * (until - 1)
