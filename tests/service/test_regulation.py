"""What the Regulate screen shows: advice, what a turn does, what to do next, a turn as typed."""

from __future__ import annotations

from datetime import timedelta

import pytest

from standwatch.judge.regulation import Advice
from standwatch.judge.turns import PastTurn
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.service.bench.regulating import (
    Regulation,
    Turned,
    agreement,
    eighths,
    read_turns,
    regulation_of,
    told_turns,
)
from standwatch.service.stand import Stand
from tests.service.test_regulating import TURN, nut, read
from tests.service.test_stand import MINUTE, add
from tests.shop import NOW, morning

LOWER = Advice(Quantity(-0.31, -0.45, -0.17), "lower", Quantity(2.0, -1.0, 5.0), "")


def shown(stand: Stand) -> Regulation:
    [told] = stand.view(NOW).assessments
    return regulation_of(told, stand.view(NOW))


def test_a_clock_that_gains_is_to_be_lowered(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, 10, 0, 24)
    found = shown(stand)
    assert isinstance(found.advice, Advice)
    assert found.advice.direction == "lower"
    assert found.bob
    assert isinstance(found.turn, Quantity)
    assert found.turn.estimate == pytest.approx(TURN)
    assert found.taught == 0
    assert found.what_next.startswith("Turn it, then read it once more")


def test_after_a_turn_it_is_read_once_more_and_left_to_settle(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, 10, 0, 24)
    nut(stand, 0, at=NOW, amount=-0.5)
    found = shown(stand)
    assert isinstance(found.advice, NotYetKnown)
    assert found.taught == 0, "nothing is read since, so it has taught nothing"
    assert found.what_next.startswith(
        "Read it once more now: its pendulum was held meanwhile; it settles until the round of "
    )
    assert "can be judged about" in found.what_next
    stand.check_in({"tag": "T1", "at": NOW + MINUTE / 2, "error_s": 240}, NOW + MINUTE)
    [told] = stand.view(NOW + MINUTE).assessments
    again = regulation_of(told, stand.view(NOW + MINUTE))
    assert again.what_next.startswith("It settles until the round of ")


def test_a_clock_that_stands_is_set_going_before_its_nut_is_judged(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, 10, 0, 24)
    stop = stand.check_in({"tag": "T1", "at": NOW, "dial": "3:47", "work": "stopped"}, NOW)
    assert shown(stand).what_next == "It stands still: explain its stop first; its nut is judged once it goes."
    stand.correct(stop.id, {"explained": "yes"}, NOW)
    assert shown(stand).what_next == "It stands still: set it going first; its nut is judged once it goes."


def test_too_few_readings_say_when_there_will_be_enough(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, 2, 0, 24)
    found = shown(stand)
    assert found.advice == NotYetKnown("3 of 5 readings since the rate was opened")
    # two rounds more after today's
    assert "can be judged about" in found.what_next


def test_a_turn_the_other_way_is_offered_to_be_turned_round(stand: Stand) -> None:
    add(stand, "T1")
    error = read(stand, 30, 20, 10)
    nut(stand, 20, amount=-0.4)
    read(stand, 19, 0, 20, error + 20)
    found = shown(stand)
    assert found.other_way is not None
    assert found.other_way.turns == -0.4


def test_a_balance_has_no_bob_and_its_turns_are_learned(stand: Stand) -> None:
    add(stand, "T1", kind="carriage")
    read(stand, 10, 0, 60)
    found = shown(stand)
    assert not found.bob
    assert isinstance(found.turn, NotYetKnown)
    assert isinstance(found.advice, NotYetKnown)
    assert "slower" in found.advice.because


@pytest.mark.parametrize(
    ("text", "turns"),
    [
        ("0.3", -0.3),
        ("+0.3", 0.3),
        ("-0.3", -0.3),
        ("−0.3", -0.3),
        ("3/8", -0.375),
        ("1 1/4", -1.25),
        ("+1/2", 0.5),
        ("?", None),
    ],
)
def test_a_turn_as_typed_goes_the_advised_way_unless_its_sign_says_otherwise(text: str, turns: float | None) -> None:
    assert read_turns(text, LOWER) == Turned(turns)


@pytest.mark.parametrize("text", ["", "0", "0.0", "abc", "1/0", "--1", "1,5", "0/4"])
def test_what_is_no_turn_is_said(text: str) -> None:
    assert read_turns(text, LOWER).problem


def test_without_advice_the_way_must_be_said() -> None:
    silent = NotYetKnown("leave it")
    assert "which way?" in read_turns("0.3", silent).problem
    assert read_turns("-0.3", silent) == Turned(-0.3)
    assert read_turns("?", silent) == Turned(None)


@pytest.mark.parametrize(
    ("turns", "doubt", "words"),
    [
        (0.28, 0.08, "1/4"),
        (-0.375, 0.05, "3/8"),
        (1.26, 0.3, "1 1/4"),
        (0.19, 0.1, ""),
        (2.0, 0.1, "2"),
        (0.31, 0.01, ""),
        (0.04, 0.1, ""),
        (4.5, 1.0, ""),
    ],
)
def test_eighths_of_a_turn_where_they_are_near_enough(turns: float, doubt: float, words: str) -> None:
    assert eighths(turns, doubt) == words


def test_turns_are_told_to_their_doubt() -> None:
    assert told_turns(LOWER) == ("0.31", "0.14")


def test_what_came_of_a_turn() -> None:
    at = morning(3) - timedelta(days=1)
    assert agreement(PastTurn(at, 0.5, Quantity(7, 2, 12), Quantity(6, 5, 7))) == "as expected"
    assert agreement(PastTurn(at, 0.5, Quantity(7, 6, 8), Quantity(16, 15, 17))) == "9 faster than expected"
    assert agreement(PastTurn(at, 0.5, Quantity(7, 6, 8), NotYetKnown("too early"))) == ""
    assert agreement(PastTurn(at, None, NotYetKnown("not told"), Quantity(7, 6, 8))) == ""
