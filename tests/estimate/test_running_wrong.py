"""Stuck, running on, blows left out: by stories with known truth, and what must hold whatever the story."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from standwatch.estimate.history import History
from standwatch.estimate.look_again import falls_off
from standwatch.estimate.running_wrong import SURE_AT_ONCE, Wrong, running_wrong, watched
from standwatch.model.words import Train
from tests.stories import at, story

WOUND = "11-02 08:20  work=wound"
NAMED = 0.6


def days(falls: list[tuple[float, float]], *, cells: str = "", first: int = 3) -> list[str]:
    """One line a day from 3 November on: going and strike fallen so far."""
    return [
        f"11-{first + n:02d} 08:15  error_s=1 going_mm={going:g} strike_mm={strike:g} {cells}"
        for n, (going, strike) in enumerate(falls)
    ]


def even(count: int, going: float = 165, strike: float = 165) -> list[tuple[float, float]]:
    """So many days, all alike."""
    return [(going * (n + 1) + 8, strike * (n + 1) + 8) for n in range(count)]


def longcase(lines: list[str], now: str = "11-28 09:00") -> History:
    """A longcase's story of these lines, wound first."""
    return story("longcase", [WOUND, *lines], now=now)


def strike(history: History) -> Wrong:
    """What is said of the strike."""
    return next(wrong for wrong in running_wrong(history) if wrong.train is Train.STRIKE)


def test_a_sound_train_is_not_suspected() -> None:
    said = strike(longcase(days(even(6))))
    assert max(said.stuck, said.runs_on, said.lacks) < 0.05


def test_a_train_that_stands_is_stuck_by_the_second_day() -> None:
    falls = even(3) + [(165 * n + 8, 503.0) for n in (4, 5)]
    said = strike(longcase(days(falls)))
    assert said.stuck >= 0.9
    assert said.since is not None
    assert said.since[0] == at("11-05 08:15")


def test_a_stuck_train_stays_so_when_it_is_wound() -> None:
    falls = even(3) + [(165 * n + 8, 503.0) for n in (4, 5)]
    again = ["11-07 08:20  work=wound", *days([(173, 8), (338, 9)], first=8)]
    assert strike(longcase([*days(falls), *again])).stuck >= 0.9


def test_a_stuck_train_that_somebody_wound_and_freed_is_stuck_no_more() -> None:
    """Wound on the evening of the 7th, and nobody told: both weights hang high, and both fall again."""
    stuck = even(3) + [(165 * n + 8, 503.0) for n in (4, 5)]
    assert strike(longcase(days(stuck))).stuck >= 0.9
    assert strike(longcase(days([*stuck, (105, 101), (270, 266)]))).stuck < NAMED
    assert strike(longcase(days([*stuck, (105, 8), (270, 9)]))).stuck >= 0.9  # wound, and still stuck


def test_what_was_wound_and_not_told_is_no_stuck_train() -> None:
    falls = [*even(3), (100.0, 100.0), (265.0, 265.0)]
    said = strike(longcase(days(falls)))
    assert said.stuck < NAMED
    assert said.runs_on < 0.05


def test_a_train_that_ran_on_is_named_after_the_second_look() -> None:
    ran = [(g, s + 160) for g, s in even(5)[3:]]
    said = strike(longcase(days(even(3) + ran)))
    assert said.runs_on >= NAMED
    assert said.stuck < 0.05


def test_one_misread_weight_is_neither() -> None:
    falls = even(6)
    falls[3] = (falls[3][0], falls[3][1] - 100)
    told = watched(longcase(days(falls)), Train.STRIKE)
    assert all(max(w.stuck, w.runs_on) < NAMED for w in told)


@pytest.mark.parametrize(("share", "named"), [(0.2, True), (0.0, False)])
def test_a_fifth_of_the_blows_missing_is_seen_over_some_days(share: float, named: bool) -> None:  # noqa: FBT001  # a case
    second = ["11-09 08:20  work=wound", *days(even(6, strike=165 * (1 - share)), first=10)]
    said = strike(longcase([*days(even(6)), *second]))
    assert (said.lacks >= NAMED) is named
    assert said.stuck < NAMED
    if named:
        assert said.lack_mm == pytest.approx(said.due_mm * share, abs=15)


def test_hearing_it_strike_speaks_against_stuck() -> None:
    lines = [*days([*even(3), (668, 503)]), "11-06 08:16  error_s=1 going_mm=668 strike_mm=504"]
    silent = strike(longcase(lines))
    heard = strike(longcase([*lines[:-1], lines[-1] + " hour=8 blows=8"]))
    assert silent.stuck >= NAMED
    assert heard.stuck / (1 - heard.stuck) < silent.stuck / (1 - silent.stuck) / 20


def test_one_look_at_one_visit_calls_no_train_stuck() -> None:
    """It hangs 7 mm lower than the day before; where it hangs as it hung, one look is enough."""
    assert strike(longcase(days([*even(3), (668, 510)]))).stuck < NAMED
    assert strike(longcase(days([*even(3), (668, 503)]))).stuck >= SURE_AT_ONCE


def chain_lines(*readings: str) -> list[str]:
    """A 30-hour longcase of one weight, wound each day after these readings."""
    lines = [WOUND]
    for reading in readings:
        lines += [reading, reading[:8] + ":20  work=wound"]
    return lines


def chain(*readings: str) -> History:
    """The History of such a clock."""
    return story("longcase-30h", chain_lines(*readings), now="11-20 09:00")


EVEN_DAYS = tuple(f"11-{day:02d} 08:15  error_s=1 going_mm=1385" for day in (3, 4, 5, 6))


def test_a_fall_that_only_the_strike_can_lack_is_told_at_once() -> None:
    # time takes .55 of a chain's fall: 769 of 1385 mm; a wind that leaves as little comes after the day's work
    said = strike(chain(*EVEN_DAYS, "11-07 08:15  error_s=1 going_mm=1250", "11-08 08:15  error_s=1 going_mm=768"))
    assert said.stuck >= NAMED


def test_a_train_that_stuck_while_nobody_came_is_told_by_the_next_day() -> None:
    hung = "11-09 08:15  work=ran-out going_mm=1725"
    again = ["11-09 08:21  work=restarted"]
    lines = [*chain_lines(*EVEN_DAYS, hung), *again, "11-10 08:15  error_s=1 going_mm=768", "11-10 08:16  going_mm=770"]
    assert strike(story("longcase-30h", lines, now="11-20 09:00")).stuck >= NAMED
    lines[-2:] = ["11-10 08:15  error_s=1 going_mm=1385"]
    assert strike(story("longcase-30h", lines, now="11-20 09:00")).stuck < 0.1


def test_a_wind_by_day_that_nobody_told_is_no_stuck_train() -> None:
    # wound at three in the afternoon: 17 hours' time and blows
    said = strike(chain(*EVEN_DAYS, "11-07 08:15  error_s=1 going_mm=960", "11-08 08:15  error_s=1 going_mm=1385"))
    assert said.stuck < 0.1


def test_putting_it_right_ends_it() -> None:
    falls = even(3) + [(165 * n + 8, 503.0) for n in (4, 5)]
    right = ["11-07 09:00  work=strike-set", *days([(165 * 6 + 8, 503 + 158)], first=8)]
    assert strike(longcase([*days(falls), *right])).stuck < NAMED


def test_a_reading_more_leaves_what_was_said_before() -> None:
    lines = days(even(3) + [(165 * n + 8, 503.0) for n in (4, 5)])
    short, long = longcase(lines[:4]), longcase(lines)
    assert watched(long, Train.STRIKE)[:4] == watched(short, Train.STRIKE)


def test_springs_and_unread_weights_say_nothing() -> None:
    assert running_wrong(story("mantel", [WOUND, "11-03 08:15  error_s=1"], now="11-04 09:00")) == ()
    assert running_wrong(longcase(["11-03 08:15  error_s=1 going_mm=170"])) == ()


def test_one_weight_for_both_trains_takes_two_visits() -> None:
    lines = [WOUND]
    for n in range(4):
        lines += [f"11-{3 + n:02d} 08:15  error_s=1 going_mm=1385", f"11-{3 + n:02d} 08:20  work=wound"]
    first = [*lines, "11-07 08:15  error_s=1 going_mm=775", "11-07 08:20  work=wound"]
    both = [*first, "11-08 08:15  error_s=1 going_mm=768", "11-08 08:20  work=wound"]
    told = {len(ls): strike(story("longcase-30h", ls, now="11-12 09:00")).stuck for ls in (first, both)}
    assert told[len(first)] < NAMED <= told[len(both)]


def test_a_fall_far_off_is_to_be_looked_at_again() -> None:
    history = longcase(days(even(4)), now="11-07 08:15")
    row = history.visits[-1].row
    sound = row.model_copy(update={"at": at("11-07 08:15"), "going_mm": 833.0, "strike_mm": 833.0})
    off = sound.model_copy(update={"strike_mm": 668.0})
    assert falls_off(history, sound) == ()
    [found] = falls_off(history, off)
    assert found.train is Train.STRIKE
    assert found.expected.low < 833 < found.expected.high
    assert "look again" in found.text
    # a clock that hangs shows where it stopped: no reading of one that goes
    assert falls_off(history, off.model_copy(update={"work": "stopped"})) == ()


def test_time_alone_changes_nothing() -> None:
    history = longcase(days(even(3) + [(165 * n + 8, 503.0) for n in (4, 5)]))
    assert running_wrong(replace(history, now=history.now + timedelta(days=3))) == running_wrong(history)
