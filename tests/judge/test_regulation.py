"""Advice on the nut: which way, how much, what it becomes, and when to be silent."""

from __future__ import annotations

from typing import Any

import pytest

from standwatch.judge.regulation import Advice, advise, turn_effect
from standwatch.model.answers import NotYetKnown, Quantity
from tests.judge.judged import case
from tests.stories import daily


def advice(kind: str, ledger: list[str], *, now: str, target: float = 0.0, **columns: Any) -> Advice | NotYetKnown:
    return advise(case(kind, ledger, now=now, **columns).estimates, target)


def gaining(pace: float, last: str = "11-13") -> list[str]:
    return daily("11-02 08:00", f"{last} 08:00", f"error_s={{{pace}*d:.1f}}")


def test_a_fast_seconds_pendulum_is_lowered_eighty_per_cent_of_the_way() -> None:
    found = advice("longcase", gaining(20), now="11-13 08:30", nut_pitch_mm="0.65")
    assert isinstance(found, Advice)
    # S = 43200 x 0.65 x 0.9 / 993.6 = 25.4 s/day a turn (common practice: 20 to 50); 0.8 x 20 / 25.4 = 0.63
    assert found.direction == "lower"
    assert found.turns.estimate == pytest.approx(-0.63, abs=0.02)
    assert found.turns.low < found.turns.estimate < found.turns.high < 0
    assert found.rate_after.estimate == pytest.approx(4, abs=0.5), "what the other 20 % leave"
    assert "80 % of the way" in found.note


def test_a_slow_one_is_raised() -> None:
    found = advice("longcase", gaining(-20), now="11-13 08:30")
    assert isinstance(found, Advice)
    assert found.direction == "raise"
    assert found.turns.estimate > 0
    assert -6 < found.rate_after.estimate < -2


def test_the_doubt_after_it_is_that_of_the_rate_and_of_the_turn() -> None:
    found = advice("longcase", gaining(20), now="11-13 08:30")
    assert isinstance(found, Advice)
    # 16 s/day of change known to 25 %: 4 s/day standard, 7.8 at 95 %, and the rate's own doubt
    assert 7.8 < found.rate_after.doubt < 8.5


def test_a_target_is_kept_to() -> None:
    found = advice("longcase", gaining(20), now="11-13 08:30", target=20.0)
    assert isinstance(found, NotYetKnown)
    towards = advice("longcase", gaining(20), now="11-13 08:30", target=40.0)
    assert isinstance(towards, Advice)
    assert towards.direction == "raise"


def test_silent_on_fewer_than_five_readings_since_the_rate_was_opened() -> None:
    assert advice("longcase", gaining(20, "11-05"), now="11-05 08:30") == NotYetKnown(
        "4 of 5 readings since the rate was opened"
    )
    assert isinstance(advice("longcase", gaining(20, "11-06"), now="11-06 08:30"), Advice)
    nut = [*gaining(20), "11-13 08:10 work=nut amount=-0.5"]
    assert isinstance(advice("longcase", nut, now="11-13 08:30"), NotYetKnown)


def test_silent_within_half_the_limit_or_two_standard_errors() -> None:
    # 5.2 of a limit of 10, then 4.8
    assert isinstance(advice("longcase", gaining(5.2, "11-20"), now="11-20 08:30"), Advice)
    near = advice("longcase", gaining(4.8, "11-20"), now="11-20 08:30")
    assert isinstance(near, NotYetKnown)
    assert "half the limit" in near.because
    for_home = advice("longcase", gaining(2, "11-20"), now="11-20 08:30", target=-0.348919)
    assert isinstance(for_home, NotYetKnown)
    assert for_home.because.endswith("half the limit of 10 of the target of −0.349")
    coarse = daily("11-02 08:00", "11-06 08:00", "error_s={8*d:.1f} error_u_s=30")
    doubtful = advice("longcase", coarse, now="11-06 08:30")
    assert isinstance(doubtful, NotYetKnown)
    assert "its doubt" in doubtful.because


def test_logged_turns_teach_what_a_turn_does() -> None:
    # this clock's nut makes 40 s/day a turn: 24 fast, half a turn down, 4 fast
    ledger = [*daily("11-02 08:00", "11-12 08:00", "error_s={24*d:.1f}"), "11-12 08:05 work=nut amount=-0.5"]
    ledger += daily("11-13 08:00", "11-23 08:00", "error_s={246+4*d:.1f}")
    told = case("longcase", ledger, now="11-23 08:30", mean_rate_limit="4").estimates
    learned = turn_effect(told)
    assert learned is not None
    # the length says 25.4 to a quarter, the turn 40 by backlash and both rates' doubt: between them, nearer 40
    assert 33 < learned[0] < 42
    assert abs(learned[0] - 40) < 2 * learned[1] < 0.25 * 25.4 * 1.5
    found = advise(told)
    assert isinstance(found, Advice)
    assert found.turns.estimate == pytest.approx(-0.1, abs=0.02), "the whole way: it is not the first time"
    assert abs(found.rate_after.estimate) < 0.5
    assert found.note == ""


def test_many_turns_make_one_suspicious() -> None:
    found = advice("longcase", gaining(120), now="11-13 08:30", mean_rate_limit="10")
    assert isinstance(found, Advice)
    assert "suspect" in found.note


def test_a_balance_has_no_bob_and_is_not_advised_in_turns_until_they_are_learned() -> None:
    ledger = daily("11-02 08:00", "11-16 08:00", "error_s={60*d:.1f}")
    blind = advice("carriage", ledger, now="11-16 08:30")
    assert isinstance(blind, NotYetKnown)
    assert "towards slower" in blind.because
    # half a division of the index takes a minute a day
    ledger += ["11-16 08:05 work=nut amount=-0.5", *daily("11-17 08:00", "11-30 08:00", "error_s={870+30*d:.1f}")]
    told = case("carriage", ledger, now="11-30 08:30").estimates
    learned = turn_effect(told)
    assert learned is not None
    assert learned[0] == pytest.approx(60, abs=12)
    found = advise(told)
    assert isinstance(found, Advice)
    assert found.direction == "slower"
    assert found.turns.estimate == pytest.approx(-0.5, abs=0.15)


def test_a_reference_is_not_regulated() -> None:
    ledger = daily("11-02 08:00", "11-16 08:00", "error_s={5*d:.1f} error_u_s=0.01")
    assert isinstance(advice("reference", ledger, now="11-16 08:30", mean_rate_limit="0.1"), NotYetKnown)


def test_an_unread_clock_is_left_alone() -> None:
    assert isinstance(advice("longcase", [], now="11-16 08:30"), NotYetKnown)


def test_turns_and_rates_carry_their_interval() -> None:
    found = advice("longcase", gaining(20), now="11-13 08:30")
    assert isinstance(found, Advice)
    for quantity in (found.turns, found.rate_after):
        assert isinstance(quantity, Quantity)
        assert quantity.low < quantity.estimate < quantity.high


@pytest.mark.parametrize(("told", "before", "after", "said"), [(0.5, -4, 9, True), (-0.3, 16, 9, False)])
def test_coming_from_the_other_way_the_play_is_taken_up_first(
    told: float, before: float, after: float, *, said: bool
) -> None:
    lines = [
        *daily("11-02 08:00", "11-09 08:00", f"error_s={{{before}*d:.1f}}"),
        f"11-09 08:10 work=nut amount={told}",
        *daily("11-10 08:00", "11-20 08:00", f"error_s={{{7 * before}+{after}*(d+1):.1f}}"),
    ]
    found = advice("longcase", lines, now="11-20 08:30")
    assert isinstance(found, Advice)
    assert found.direction == "lower"
    assert ("take up the play first, and finish in one direction" in found.note) is said
