"""A stop: what is asked in which order, what an answer leads to, and what stops share."""

from __future__ import annotations

from datetime import timedelta

import pytest

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import BadValue
from standwatch.model.facts import CheckIn
from standwatch.model.words import Work
from standwatch.service.bench.stoppage import (
    TICKS,
    answer,
    first_wanting,
    gathering_of,
    left_to_ask,
    may_restart,
    questions_of,
    row_of,
    stops_of,
    usual_answer,
    what_would_tell,
    with_reason,
)
from standwatch.service.stand import Stand
from tests.shop import NOW, morning


def put(stand: Stand, kind: str = "longcase", **columns: object) -> None:
    """A clock wound nine days ago and read each morning until yesterday's."""
    stand.add_clock({"tag": "T1", "kind": kind, **columns}, NOW)
    stand.check_in({"tag": "T1", "at": morning(5), "error_s": 0, "work": "wound"}, NOW)
    for ago in (4, 3, 2, 1):
        cells: dict[str, object] = {"error_s": 5 - ago}
        if kind == "longcase":
            cells |= {"going_mm": 165 * (5 - ago), "strike_mm": 160 * (5 - ago)}
        stand.check_in({"tag": "T1", "at": morning(ago), **cells}, NOW)


def told(stand: Stand) -> Assessment:
    return stand.assess("T1", NOW)


def asked(stand: Stand) -> list[str]:
    return [question.name for question in questions_of(told(stand).estimates.history)]


def test_it_is_asked_in_the_order_in_which_it_is_lost(stand: Stand) -> None:
    put(stand, moon="yes")
    assert asked(stand) == ["dial", "left, strike", "right, going", "moon", "which", "caught"]


def test_of_springs_no_height_is_asked(stand: Stand) -> None:
    put(stand, "mantel")
    assert asked(stand) == ["dial", "which", "caught"]


def test_what_is_recorded_is_not_asked_again(stand: Stand) -> None:
    put(stand)
    stop = stand.check_in({"tag": "T1", "at": NOW, "work": "stopped", "dial": "3:47", "going_mm": 750}, NOW)
    history = told(stand).estimates.history
    row = row_of(history, stop.id)
    assert [question.name for question in left_to_ask(history, row)] == ["left, strike", "caught"]
    assert left_to_ask(history, None) == questions_of(history)
    assert "left, strike" in may_restart(told(stand), left_to_ask(history, row))
    assert row_of(history, "nothing") is None


def test_answers_become_the_ledger_s_cells(stand: Stand) -> None:
    put(stand, moon="yes", going_scale_mm=1000, scale="up")
    history = told(stand).estimates.history
    dial, strike, going, moon, which, caught = questions_of(history)
    assert answer(dial, "347", history) == ({"dial": "3:47"}, "3:47")
    assert answer(dial, "3:47", history)[0] == {"dial": "3:47"}
    assert answer(strike, "640", history)[0] == {"strike_mm": 640}
    assert answer(going, "250", history)[0] == {"going_mm": 750}, "on a scale whose figures grow upwards"
    assert answer(moon, "7.5", history)[0] == {"moon_age_d": 7.5}
    assert answer(which, "2", history)[0] == {"work": Work.RAN_OUT}
    assert answer(caught, "3", history) == ({"note": TICKS[2]}, TICKS[2])
    assert answer(caught, "fly loose", history)[0] == {"note": "fly loose"}
    for question, typed in [(dial, "1360"), (dial, "x"), (strike, "99999"), (moon, "31"), (moon, "x"), (which, "3")]:
        with pytest.raises(BadValue):
            answer(question, typed, history)


def test_figures_are_taken_when_none_could_follow(stand: Stand) -> None:
    put(stand)
    history = told(stand).estimates.history
    dial, strike, _, which, caught = questions_of(history)
    assert dial.complete("347")
    assert not dial.complete("10")
    assert not dial.complete("105"), "it may become 10:5x"
    assert strike.complete("640")
    assert not strike.complete("64")
    assert which.complete("2")
    assert caught.complete("6")
    assert not caught.complete("7")
    assert not caught.complete("fly")


def test_a_weight_at_its_floor_ran_out(stand: Stand) -> None:
    put(stand)
    history = told(stand).estimates.history
    which = questions_of(history)[3]
    # 165 mm a day for the 8.5 days that it has to go
    assert usual_answer(which, history, {"going_mm": 1400}) == "2"
    assert usual_answer(which, history, {"going_mm": 900}) == "1"
    assert usual_answer(which, history, {}) == ""
    assert usual_answer(questions_of(history)[0], history, {"going_mm": 900}) == ""


def test_the_height_tells_which_half_day(stand: Stand) -> None:
    put(stand)
    stop = stand.check_in({"tag": "T1", "at": NOW, "work": "stopped", "dial": "3:47"}, NOW)
    [shown] = stops_of(told(stand))
    assert (shown.dial, shown.hangs, shown.wanting, len(shown.candidates)) == ("3:47", True, True, 2)
    assert what_would_tell(shown, told(stand).estimates.history) == "the height of the going weight would tell which"
    # 3:47 at night is 0.8 of a day after the last reading: 165 mm a day makes 132 more than the 660 of then
    stand.correct(stop.id, {"going_mm": "792"}, NOW)
    [shown] = stops_of(told(stand))
    assert shown.candidates[0][1] > 0.9
    assert shown.candidates[0][0].hour == 3
    assert what_would_tell(shown, told(stand).estimates.history) == ""


def test_a_spring_tells_nothing_more(stand: Stand) -> None:
    put(stand, "mantel")
    stand.check_in({"tag": "T1", "at": NOW, "work": "stopped", "dial": "3:47"}, NOW)
    [shown] = stops_of(told(stand))
    assert "a spring doesn't tell" in what_would_tell(shown, told(stand).estimates.history)


def test_stops_are_listed_latest_first_and_the_unexplained_is_looked_at(stand: Stand) -> None:
    put(stand)
    first = stand.check_in({"tag": "T1", "at": NOW - timedelta(hours=9), "work": "stopped", "dial": "11:00"}, NOW)
    stand.check_in({"tag": "T1", "at": NOW - timedelta(hours=8), "work": "restarted"}, NOW)
    second = stand.check_in(
        {"tag": "T1", "at": NOW, "work": "stopped", "dial": "3:47", "explained": "yes", "note": "fly"}, NOW
    )
    shown = stops_of(told(stand))
    assert [stop.id for stop in shown] == [second.id, first.id]
    assert [stop.wanting for stop in shown] == [False, True]
    assert first_wanting(shown) == 1
    assert first_wanting(shown[:1]) == 0
    assert shown[0].said == "fly"


def test_a_reason_follows_what_was_seen() -> None:
    assert with_reason("hands touch", " bent ") == "hands touch; bent"
    assert with_reason("", "bent") == "bent"


def test_a_clock_that_goes_may_not_be_set_going(stand: Stand) -> None:
    put(stand)
    assert may_restart(told(stand), ()) == "it goes"
    assert stops_of(told(stand)) == ()
    assert gathering_of(told(stand)).places == ()


def test_where_stops_lie(stand: Stand) -> None:
    put(stand)
    stand.check_in({"tag": "T1", "at": NOW, "work": "stopped", "dial": "3:47", "going_mm": 792}, NOW)
    gathering = gathering_of(told(stand))
    [where] = gathering.places
    assert where.dial_s == 3 * 3600 + 47 * 60
    assert where.height == 792
    assert gathering.weights
    assert gathering.top == pytest.approx(165 * 8.5)
    assert gathering.clusters == ()


def test_a_row_without_the_stop_is_no_row(stand: Stand) -> None:
    put(stand)
    row = row_of(told(stand).estimates.history, stand.facts("T1")[0].id)
    assert isinstance(row, CheckIn)
