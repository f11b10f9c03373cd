"""When it stopped: candidates twelve hours apart, and what falls and facts say of them.

A dial repeats every twelve hours and a weight falls steadily; that is arithmetic. Speeds are common practice.
"""

from __future__ import annotations

import random
from datetime import datetime, timedelta

import pytest

from standwatch.estimate.going import going_of
from standwatch.estimate.stops import CREDIBLE, credible, stop_candidates
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.horology.moon import age_days
from standwatch.model.answers import Quantity
from standwatch.model.words import Train
from tests.stories import at, daily, story

MINUTE = timedelta(minutes=1)
WEEK = [
    "11-02 08:00 error_s=0 going_mm=0 strike_mm=0 work=wound",
    *daily("11-03 08:00", "11-06 08:00", "error_s={0*d:.0f} going_mm={165*(d+1):.0f} strike_mm={165*(d+1):.0f}"),
]
"""A longcase read daily to Friday morning; 165 mm a day."""


def near(found: datetime, wanted: str) -> bool:
    return abs(found - at(wanted)) < 2 * MINUTE


def test_the_going_weight_picks_the_half_day() -> None:
    history = story("longcase", WEEK, now="11-09 08:00")
    # Saturday 15:47 is 5.32 days after the wind: 878 mm
    found = stop_candidates(history, "3:47", found_at=at("11-09 08:00"), falls={Train.GOING: 878})
    assert near(found[0][0], "11-07 15:47")
    assert found[0][1] > 0.97
    assert sum(odds for _, odds in found) == pytest.approx(1)
    assert [odds for _, odds in found] == sorted((odds for _, odds in found), reverse=True)
    assert credible(found) == (found[0][0],)


def test_a_weight_that_fits_no_half_day_tells_none_from_another() -> None:
    history = story("longcase", WEEK, now="11-09 08:00")
    # 660 mm on Friday; 80 on Monday means that somebody wound it, nobody knows when
    found = stop_candidates(history, "3:47", found_at=at("11-09 08:00"), falls={Train.GOING: 80})
    assert max(odds for _, odds in found) < 0.3
    # a finger's breadth out it is still told
    near = stop_candidates(history, "3:47", found_at=at("11-09 08:00"), falls={Train.GOING: 895})
    assert near[0][1] > 0.9


def test_the_dial_alone_leaves_every_half_day_even() -> None:
    history = story("longcase", WEEK, now="11-09 08:00")
    found = stop_candidates(history, "3:47", found_at=at("11-09 08:00"), falls={})
    wanted = ["11-06 15:47", "11-07 03:47", "11-07 15:47", "11-08 03:47", "11-08 15:47", "11-09 03:47"]
    assert len(found) == 6
    for (time, odds), text in zip(sorted(found), wanted, strict=True):
        assert near(time, text)
        assert odds == pytest.approx(1 / 6, abs=1e-3)


def test_a_spring_has_no_fall_and_lists_every_candidate() -> None:
    history = story("mantel", ["11-02 08:00 error_s=0 work=wound", "11-06 08:00 error_s=0"], now="11-09 08:00")
    found = stop_candidates(history, "3:47", found_at=at("11-09 08:00"), falls={Train.GOING: 500})
    assert len(found) == 6
    assert found[0][1] == pytest.approx(1 / 6, abs=1e-3)


@pytest.mark.parametrize("heard", ["error_s=0", "hour=12 blows=12", "work=seen-going"])
def test_what_was_heard_since_rules_out_what_is_earlier(heard: str) -> None:
    history = story("longcase", [*WEEK, f"11-08 12:00 {heard}"], now="11-09 08:00")
    found = stop_candidates(history, "3:47", found_at=at("11-09 08:00"), falls={})
    assert [
        near(time, text) for (time, _), text in zip(sorted(found), ["11-08 15:47", "11-09 03:47"], strict=True)
    ] == [
        True,
        True,
    ]


def test_the_last_error_is_taken_off_the_dial() -> None:
    lines = ["11-02 08:00 error_s=600", "11-06 08:00 error_s=600"]
    history = story("longcase", lines, now="11-06 18:00")
    found = stop_candidates(history, "3:47", found_at=at("11-06 18:00"), falls={})
    assert len(found) == 1
    assert near(found[0][0], "11-06 15:37")


def test_a_rate_carries_the_error_on() -> None:
    lines = ["11-02 08:00 error_s=0", "11-04 08:00 error_s=240"]
    history = story("longcase", lines, now="11-06 18:00")
    found = stop_candidates(history, "3:47", found_at=at("11-06 18:00"), falls={})
    # 120 s a day: 4:38 fast by Friday afternoon... 556 s at 15:38, two days and 7.6 h on
    latest = max(time for time, _ in found)
    assert abs(latest - (at("11-06 15:47") - timedelta(seconds=240 + 120 * 2.317))) < MINUTE


def test_an_error_may_be_given() -> None:
    history = story("longcase", WEEK, now="11-06 18:00")
    found = stop_candidates(
        history, "3:47", found_at=at("11-06 18:00"), falls={}, error_at=lambda _: Quantity.normal(-120.0, 1.0)
    )
    assert near(found[0][0], "11-06 15:49")


def test_hours_shifted_are_taken_off_the_dial() -> None:
    lines = [*WEEK, "11-06 08:05 work=hours-shifted amount=2"]
    found = stop_candidates(story("longcase", lines, now="11-06 18:00"), "5:47", found_at=at("11-06 18:00"), falls={})
    assert len(found) == 1
    assert near(found[0][0], "11-06 15:47")


def test_over_the_change_of_the_clocks_the_dial_is_still_on_summer_time() -> None:
    """The clocks went back on Sunday 25 October 2026, 02:00 BST; nobody has touched this one since."""
    history = story("longcase", ["10-24 08:00 error_s=0"], now="10-26 08:00")
    found = stop_candidates(history, "3:47", found_at=at("10-26 08:00"), falls={})
    wanted = ["10-24 15:47", "10-25 02:47", "10-25 14:47", "10-26 02:47"]
    assert [near(time, text) for (time, _), text in zip(sorted(found), wanted, strict=True)] == [True] * 4


def test_a_dial_that_fits_no_time_has_no_candidate() -> None:
    history = story("longcase", WEEK, now="11-06 10:00")
    assert stop_candidates(history, "3:47", found_at=at("11-06 10:00"), falls={}) == ()


def test_a_clock_never_read_is_told_by_its_dial_within_one_wind() -> None:
    found = stop_candidates(story("longcase", [], now="11-10 08:00"), "3:47", found_at=at("11-10 08:00"), falls={})
    assert len(found) == 16


def test_candidates_stand_between_last_seen_and_found() -> None:
    history = story("longcase", WEEK, now="11-06 20:00")
    found = stop_candidates(history, "8:00", found_at=at("11-06 20:00"), falls={})
    assert sorted(time for time, _ in found) == [at("11-06 08:00"), at("11-06 20:00")]
    assert [odds for _, odds in found] == pytest.approx([0.5, 0.5], abs=1e-6)


def test_the_row_that_found_it_may_already_be_told() -> None:
    before = stop_candidates(story("longcase", WEEK, now="11-09 08:00"), "3:47", found_at=at("11-09 08:00"), falls={})
    told = story("longcase", [*WEEK, "11-09 08:00 dial=3:47 work=stopped"], now="11-09 11:00")
    assert stop_candidates(told, "3:47", found_at=at("11-09 11:00"), falls={}) == before


def test_facts_after_it_was_found_say_nothing_of_it() -> None:
    later = [*WEEK, "11-09 08:00 work=stopped", "11-09 08:00 work=restarted", "11-10 08:00 error_s=50 going_mm=300"]
    then = stop_candidates(
        story("longcase", WEEK, now="11-09 08:00"), "3:47", found_at=at("11-09 07:59"), falls={Train.GOING: 878}
    )
    now = stop_candidates(
        story("longcase", later, now="11-10 09:00"), "3:47", found_at=at("11-09 07:59"), falls={Train.GOING: 878}
    )
    assert then == now


def test_the_strike_weight_confirms_by_blows() -> None:
    history = story("longcase", WEEK, now="11-09 08:00")
    found_at = at("11-09 08:00")
    alone = stop_candidates(history, "3:47", found_at=found_at, falls={Train.STRIKE: 878})
    assert near(alone[0][0], "11-07 15:47")
    both = stop_candidates(history, "3:47", found_at=found_at, falls={Train.GOING: 878, Train.STRIKE: 878})
    assert both[0][1] >= alone[0][1]


def test_odds_are_true_on_simulated_stops() -> None:
    """Known truth: own speeds, readings to 3 mm, stops at any time of a weekend."""
    rng = random.Random(20261109)  # noqa: S311  # a seeded simulation
    right = sure = 0
    for _ in range(60):
        speed = rng.gauss(165, 25)

        def fall(days: float, speed: float = speed) -> float:
            return max(0.0, speed * days + rng.gauss(0, 3))

        lines = ["11-02 08:00 error_s=0 going_mm=0 work=wound"]
        lines += [f"11-0{2 + d} 08:00 error_s=0 going_mm={fall(d):.0f}" for d in range(1, 5)]
        stopped = at("11-06 08:00") + timedelta(hours=rng.uniform(1, 70))
        dial = stopped.strftime("%H:%M")
        hung = fall((stopped - at("11-02 08:00")) / timedelta(days=1))
        history = story("longcase", lines, now="11-09 08:00")
        found = stop_candidates(history, dial, found_at=at("11-09 08:00"), falls={Train.GOING: hung})
        hit = abs(found[0][0] - stopped) < 2 * MINUTE
        right += hit
        sure += found[0][1] > 0.9
    assert sure >= 54
    assert right >= 57


def test_credible_are_those_of_odds_one_in_twenty_or_more() -> None:
    first, second, third = at("11-06 01:00"), at("11-06 13:00"), at("11-07 01:00")
    assert credible(((second, 0.9), (first, CREDIBLE), (third, 0.0499))) == (first, second)


def test_a_moon_picks_the_day_and_hardly_the_half_day() -> None:
    """It moves by half days: 7 days old on Monday 2nd, it hung at 12.5, five and a half days later."""
    lines = ["11-02 08:00 error_s=0 moon_age_d=7 work=wound", "11-06 08:00 error_s=0"]
    history = story("mantel", lines, now="11-10 08:00", moon="yes")
    found = stop_candidates(history, "3:47", found_at=at("11-10 08:00"), falls={}, moon_age_d=12.5)
    assert near(found[0][0], "11-07 15:47")
    assert found[0][1] > 1.5 / 8
    late = [odds for time, odds in found if time > at("11-09 12:00")]
    assert max(late) < 0.02
    assert sum(odds for _, odds in found) == pytest.approx(1)


@pytest.mark.parametrize("after", ["11-05 08:00 work=stopped", "11-05 08:00 moon_age_d=29"])
def test_a_moon_tells_since_it_was_last_looked_at_going(after: str) -> None:
    lines = ["11-02 08:00 error_s=0 moon_age_d=7 work=wound", after, "11-06 08:00 error_s=0"]
    history = story("mantel", lines, now="11-08 08:00")
    found = stop_candidates(history, "3:47", found_at=at("11-08 08:00"), falls={}, moon_age_d=1.0)
    even = all(odds == pytest.approx(1 / len(found), abs=1e-3) for _, odds in found)
    # 29 days old on Thursday, new at 29.5: a day old on Friday night
    assert even if "stopped" in after else near(found[0][0], "11-07 03:47") or near(found[0][0], "11-06 15:47")


def test_a_moon_that_was_set_shows_the_skys() -> None:
    lines = ["11-02 08:00 error_s=0 work=moon-set", "11-06 08:00 error_s=0"]
    history = story("mantel", lines, now="11-10 08:00")
    hung = age_days(at("11-07 15:47"))
    found = stop_candidates(history, "3:47", found_at=at("11-10 08:00"), falls={}, moon_age_d=hung)
    assert near(found[0][0], "11-07 15:47")


@pytest.mark.parametrize(
    ("stops", "first"),
    [("work=stopped dial=8:05", "11-05 20:00"), ("work=ran-out dial=8:05", "11-05 20:00")],
)
def test_the_dial_is_read_less_the_error_that_was_forecast_before(stops: str, first: str) -> None:
    """It gains a minute a day; the last reading was misread by five, which the readings before betray."""
    lines = daily("11-02 08:00", "11-04 08:00", "error_s={60*d:.0f}", step_days=0.25)
    lines += ["11-05 08:00 error_s=480", f"11-06 08:00 {stops}"]
    history = story("longcase", lines, now="11-06 09:00")
    time = timekeeping_of(history)
    going = going_of(history, time.error_at)
    [stop] = going.stops
    # 8:05 less 3.5 minutes fast
    wanted = at(first) + timedelta(seconds=90)
    assert min(abs(candidate - wanted) for candidate, _ in stop.candidates) < MINUTE
    [rough] = going_of(history).stops
    assert min(abs(candidate - wanted) for candidate, _ in rough.candidates) > 3 * MINUTE


def test_a_clock_set_going_and_never_read_is_told_by_its_dial_alone() -> None:
    history = story("longcase", ["11-02 08:00 work=restarted"], now="11-02 18:00")
    time = timekeeping_of(history)
    found = stop_candidates(history, "3:47", found_at=at("11-02 18:00"), falls={}, error_at=time.error_at)
    assert [near(candidate, "11-02 15:47") for candidate, _ in found] == [True]
