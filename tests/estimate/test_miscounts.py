"""What a wrong count tells of the fault: how count wheels and racks differ is common practice."""

from __future__ import annotations

import pytest

from standwatch.estimate.miscounts import changed_places, off_by, what_to_try
from tests.stories import story


def advice(*lines: str, half_hour: bool = False) -> str:
    visits = story("longcase", lines, now="11-20 08:00").since_opened
    return what_to_try(visits, half_hour=half_hour)


def test_one_wrong_count_wants_another() -> None:
    assert advice("11-12 09:00 hour=9 blows=10").startswith("hear the next hour too")
    again = advice("11-12 09:00 hour=9 blows=10", "11-13 09:00 hour=9 blows=10")
    assert again.startswith("hear the next hour too"), "the same hour twice says nothing of others"


def test_a_constant_is_an_hour_hand_or_a_count_wheel_and_tripping_tells_which() -> None:
    said = advice("11-12 09:00 hour=9 blows=10", "11-12 12:00 hour=12 blows=1")
    assert said.startswith("hour hand or count wheel out; trip it once: if it counts on")


@pytest.mark.parametrize("train", ["", " train=going", " train=chime"])
def test_only_a_strike_that_was_run_out_leaves_its_count_wheel_behind(train: str) -> None:
    right, wrong = "11-10 09:00 hour=9 blows=9", ("11-12 09:00 hour=9 blows=6", "11-12 10:00 hour=10 blows=7")
    ran_out = "11-11 09:00 work=ran-out train=strike"
    assert advice(right, ran_out, *wrong).startswith("a count wheel, left behind")
    assert "trip it once" in advice(right, ran_out.replace(" train=strike", train), *wrong)
    assert "trip it once" in advice(ran_out.replace("11-11", "11-09"), right, *wrong), "it was right after that"
    assert "trip it once" in advice(right, *wrong, ran_out.replace("11-11", "11-13")), "it was wrong before that"


def test_no_count_wheel_puts_itself_right() -> None:
    wrong, right = "11-12 09:00 hour=9 blows=10", "11-12 10:00 hour=10 blows=10"
    assert advice(wrong, right).startswith("right again since: misheard, or a rack and no count wheel")
    assert advice(wrong, "11-12 09:30 work=wound", right).startswith("right again since: misheard")
    silent = wrong.replace("blows=10", "blows=0")
    assert advice(silent, right).startswith("right again since: a rack that was held off or hung in warning for once")


@pytest.mark.parametrize("work", ["hands-set", "hours-shifted amount=2", "summer-time amount=3600", "restarted"])
def test_but_hands_led_past_an_hour_may(work: str) -> None:
    said = advice("11-12 09:00 hour=9 blows=10", f"11-12 09:30 work={work}", "11-12 10:00 hour=10 blows=10")
    assert said.startswith("right again since the hands were moved; if that put it right, log it")


def test_unlike_numbers_are_no_constant() -> None:
    assert advice("11-12 09:00 hour=9 blows=10", "11-12 10:00 hour=10 blows=8").startswith("not always by as much")


def test_a_silent_strike_is_looked_at_first() -> None:
    assert advice("11-12 09:00 hour=9 blows=0").startswith("look whether it is run down")


def test_half_hours_in_place_of_hours() -> None:
    ones = ("11-12 09:00 hour=9 blows=1", "11-12 10:00 hour=10 blows=1")
    assert advice(*ones, half_hour=True).startswith("hour and half-hour have changed places")
    assert advice(*ones).startswith("not always by as much")
    assert not changed_places([(9, 1)], half_hour=True)


def test_how_far_off_goes_round_the_twelve() -> None:
    assert [off_by(9, 10), off_by(12, 1), off_by(1, 12), off_by(6, 6)] == [1, 1, 11, 0]
