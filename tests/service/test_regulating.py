"""Past turns of the nut: what was to follow by what was known then, and what followed."""

from __future__ import annotations

from datetime import timedelta

import pytest

from standwatch.judge.turns import PastTurn
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.service.stand import Stand
from tests.service.test_stand import MINUTE, add
from tests.shop import NOW, morning

# a longcase's nut: 43200 x 0.65 x 0.9 / 993.6 = 25.4 s/day a turn, to a quarter (common practice)
TURN = 43200 * 0.65 * 0.9 / 993.621386


def read(stand: Stand, first: int, last: int, rate: float, error_s: float = 0.0) -> float:
    """T1 read each morning from `first` to `last` days ago, gaining `rate` a day; its error at the end."""
    for ago in range(first, last - 1, -1):
        stand.check_in({"tag": "T1", "at": morning(ago), "error_s": error_s + rate * (first - ago)}, NOW)
    return error_s + rate * (first - last)


def nut(stand: Stand, ago: float, **cells: object) -> None:
    stand.check_in({"tag": "T1", "at": morning(ago), "work": "nut", **cells}, NOW)


def past(stand: Stand) -> tuple[PastTurn, ...]:
    return stand.past_turns("T1", NOW)


def known(answer: object) -> Quantity:
    assert isinstance(answer, Quantity), answer
    return answer


@pytest.fixture
def turned(stand: Stand) -> Stand:
    """A longcase that gained 24 a day, lowered by half a turn twelve days ago, and then gained 9."""
    add(stand, "T1")
    error = read(stand, 20, 12, 24)
    nut(stand, 12, amount=-0.5)
    read(stand, 11, 4, 9, error + 9)
    return stand


def test_a_turn_is_measured_by_the_readings_on_both_sides(turned: Stand) -> None:
    [turn] = past(turned)
    assert (turn.at, turn.turns) == (morning(12), -0.5)
    predicted, became = known(turn.predicted), known(turn.became)
    assert predicted.estimate == pytest.approx(24 - TURN / 2, abs=0.7)
    assert predicted.doubt == pytest.approx(1.96 * 0.25 * TURN / 2, rel=0.2)  # and a little of the rate's own
    assert became.estimate == pytest.approx(9, abs=0.7)


def test_what_came_later_changes_no_prediction(turned: Stand) -> None:
    [before] = past(turned)
    turned.check_in({"tag": "T1", "at": NOW, "error_s": 290}, NOW)
    nut(turned, 0, at=NOW, amount=-0.3)
    first, second = past(turned)
    assert first.predicted == before.predicted
    # by now its own turns have taught what one does: the second is predicted with less doubt a turn
    assert known(second.predicted).doubt / 0.3 < known(first.predicted).doubt / 0.5 + 1
    assert isinstance(second.became, NotYetKnown)


def test_a_reading_in_the_turn_s_own_row_was_as_found(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, 20, 13, 24)
    nut(stand, 12, amount=-0.5, error_s=24 * 8)
    with_it = known(past(stand)[0].predicted)
    assert with_it.estimate == pytest.approx(24 - TURN / 2, abs=0.7)
    history = stand._assessor.history_before("T1", stand.facts("T1")[-1].id)
    assert [v.at for v in history.readings][-1] == morning(12)
    assert history.breaks == ()


def test_what_a_turn_led_to_ends_with_the_next_work_that_opens_the_rate(turned: Stand) -> None:
    [before] = past(turned)
    turned.check_in({"tag": "T1", "at": morning(4) + MINUTE, "work": "beat-set"}, NOW)
    for ago in (3, 2, 1, 0):
        turned.check_in({"tag": "T1", "at": morning(ago), "error_s": -50.0 * (4 - ago)}, NOW)
    [after] = past(turned)
    assert known(after.became).estimate == pytest.approx(known(before.became).estimate, abs=0.5)


def test_turns_before_the_clock_was_opened_are_not_shown(turned: Stand) -> None:
    turned.check_in({"tag": "T1", "at": morning(2), "work": "opened"}, NOW)
    assert past(turned) == ()
    assert len(turned.past_turns("T1", morning(3))) == 1


def test_a_corrected_turn_counts_as_if_right_from_the_start(turned: Stand) -> None:
    [row] = [r for r in turned.facts("T1") if r.body.work is not None]
    turned.correct(row.id, {"amount": "-0.6"}, NOW)
    [turn] = past(turned)
    assert turn.turns == -0.6
    assert known(turn.predicted).estimate == pytest.approx(24 - 0.6 * TURN, abs=0.7)


def test_of_a_balance_nothing_is_predicted_until_its_turns_have_taught(stand: Stand) -> None:
    add(stand, "T1", kind="carriage")
    error = read(stand, 40, 26, 60)
    nut(stand, 26, amount=-0.5)
    error = read(stand, 25, 12, 30, error + 30)
    nut(stand, 12, amount=-0.4)
    read(stand, 11, 0, 6, error + 6)
    first, second = past(stand)
    assert isinstance(first.predicted, NotYetKnown)
    # half a division took 30 s/day off, so four tenths take 24
    assert known(second.predicted).estimate == pytest.approx(6, abs=6)
    assert known(second.became).estimate == pytest.approx(6, abs=2)
    assert known(second.predicted).low < 6 < known(second.predicted).high


def test_turns_nobody_told_have_no_prediction(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, 20, 12, 24)
    nut(stand, 12)
    [turn] = past(stand)
    assert turn.turns is None
    assert isinstance(turn.predicted, NotYetKnown)
    assert turn.became == NotYetKnown("0 of 2 readings since it settled")


def test_no_turns_no_past(stand: Stand) -> None:
    add(stand, "T1")
    read(stand, 20, 12, 24)
    assert past(stand) == ()
    assert stand.past_turns("T1", NOW - timedelta(days=400)) == ()
