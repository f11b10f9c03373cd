"""Leads of the strike: seen, and just not."""

from __future__ import annotations

import pytest

from tests.estimate.leads.seen import codes, lead
from tests.stories import daily


def first_blows(early: float, *, days: tuple[int, ...] = (4, 6, 9)) -> list[str]:
    """A mantel clock that gains 5 s a day, read by its minute hand; on some days by its first blow too."""
    lines = daily("11-02 08:05", "11-10 08:05", "error_s={5*d:.0f}")
    return [*lines, *(f"11-{d:02} 09:00 error_s={5 * (d - 2) + early:.0f} read_by=first-blow" for d in days)]


@pytest.mark.parametrize(("off", "said"), [(100, "1:40 early"), (-130, "2:10 late")])
def test_the_first_blow_against_the_hands(off: float, said: str) -> None:
    found = lead("strike-early-or-late", "mantel", first_blows(off), now="11-10 10:00")
    assert found is not None
    assert found.odds > 0.9
    assert found.text == f"the first blow comes {said} by the hands: minute-hand bush or lifting piece; turn the bush"


@pytest.mark.parametrize("off", [55, -40, 0])
def test_within_a_minute_is_none(off: float) -> None:
    assert codes("mantel", first_blows(off), now="11-10 10:00") == []


def test_one_first_blow_is_no_pattern() -> None:
    assert codes("mantel", first_blows(100, days=(6,)), now="11-10 10:00") == []


def test_hands_set_between_are_taken_into_account() -> None:
    ledger = first_blows(0, days=(4,))
    ledger += ["11-10 08:10 work=hands-set amount=-100", "11-10 09:00 error_s=-60 read_by=first-blow"]
    assert codes("mantel", ledger, now="11-10 10:00") == []


def twelves(full: float, last: float) -> list[str]:
    """A spring-driven wall clock whose twelve was timed the day after a wind and on its last day."""
    return [
        "11-02 08:00 work=wound",
        f"11-02 12:00 hour=12 blows=12 strike_s={full}",
        f"11-08 12:00 hour=12 blows=12 strike_s={last}",
    ]


def test_twelve_slower_by_more_than_a_quarter() -> None:
    found = lead("strike-slow", "spring-wall", twelves(20, 27), now="11-08 13:00")
    assert found is not None
    assert found.odds > 0.9
    assert found.text.startswith("twelve blows take 27 s late in the wind and 20 s fully wound")


def test_a_fifth_slower_is_usual() -> None:
    assert codes("spring-wall", twelves(20, 24), now="11-08 13:00") == []


def test_a_wind_between_the_two_makes_both_full() -> None:
    ledger = [*twelves(20, 27), "11-07 08:00 work=wound train=strike"]
    assert codes("spring-wall", ledger, now="11-08 13:00") == []


def test_only_twelve_is_compared() -> None:
    assert codes("spring-wall", [line.replace("=12 ", "=11 ") for line in twelves(20, 27)], now="11-08 13:00") == []


def counted(*pairs: tuple[int, int]) -> list[str]:
    """Hours shown and blows heard, one a day."""
    return [f"11-{3 + n:02} 12:00 hour={hour} blows={blows}" for n, (hour, blows) in enumerate(pairs)]


def test_wrong_by_one_constant() -> None:
    found = lead("strike-off-by-constant", "longcase", counted((3, 4), (5, 6), (12, 1)), now="11-08 09:00")
    assert found is not None
    assert found.odds > 0.8
    assert found.text.startswith("the strike counts 1 too many at 3, 5, 12: ")
    few = lead("strike-off-by-constant", "longcase", counted((3, 1), (6, 4)), now="11-08 09:00")
    assert few is not None
    assert few.text.startswith("the strike counts 2 too few at 3, 6: ")


@pytest.mark.parametrize(
    "pairs",
    [((3, 4),), ((3, 4), (5, 4)), ((3, 4), (5, 5)), ((3, 4), (3, 4)), ((3, 3), (5, 5)), ((3, 4), (5, 6), (7, 7))],
)
def test_one_alone_or_unlike_ones_are_none(pairs: tuple[tuple[int, int], ...]) -> None:
    assert "strike-off-by-constant" not in codes("longcase", counted(*pairs), now="11-09 09:00")


def test_put_right_since() -> None:
    ledger = [*counted((3, 4), (5, 6)), "11-08 12:10 work=strike-set"]
    assert "strike-off-by-constant" not in codes("longcase", ledger, now="11-09 09:00")


def test_one_wild_blow_or_one_wild_hand_is_no_pattern() -> None:
    wild = [*first_blows(0, days=(4, 6)), "11-09 09:00 error_s=635 read_by=first-blow"]
    assert "strike-early-or-late" not in codes("mantel", wild, now="11-10 10:00")
    two = [*first_blows(0, days=(4,)), "11-06 09:00 error_s=320 read_by=first-blow"]
    assert "strike-early-or-late" not in codes("mantel", two, now="11-10 10:00")


def test_hands_misread_beside_a_sound_blow_are_left_out() -> None:
    """Five minutes misread on the 6th and the 8th, which the other readings tell."""
    lines = [
        line.replace("error_s=20", "error_s=-280").replace("error_s=30", "error_s=-270")
        for line in first_blows(0, days=())
    ]
    blows = [f"11-{d:02} 09:00 error_s={5 * (d - 2)} read_by=first-blow" for d in (6, 8)]
    assert "strike-early-or-late" not in codes("mantel", [*lines, *blows], now="11-10 10:00")


def test_the_blow_next_to_a_reading_of_the_hands_is_compared() -> None:
    blows = {"11-04 08:30": 0, "11-05 15:00": 240, "11-07 08:30": 0, "11-08 15:00": 240}
    ledger = [*(f"{at} error_s={off} read_by=first-blow" for at, off in blows.items()),
              *(f"11-{d} 08:05 error_s=0 read_by=minute-hand" for d in ("02", "04", "07", "10"))]  # fmt: skip
    assert "strike-early-or-late" not in codes("mantel", ledger, now="11-10 10:00")


def test_several_blows_beside_one_reading_of_the_hands_are_one_comparison() -> None:
    blows = [f"11-{d:02} {h}:00 error_s=100 read_by=first-blow" for d in (3, 4) for h in ("09", "12", "15")]
    once = ["11-04 08:05 error_s=0 read_by=minute-hand", *blows]
    assert "strike-early-or-late" not in codes("mantel", once, now="11-06 10:00")
    twice = [*once, "11-03 08:05 error_s=0 read_by=minute-hand"]
    assert "strike-early-or-late" in codes("mantel", twice, now="11-06 10:00")


def test_a_clock_read_by_its_blow_is_held_against_its_hands_all_the_same() -> None:
    blows = daily("11-02 09:00", "11-12 09:00", "error_s={100+5*d:.0f} read_by=first-blow")
    hands = [f"11-{d:02} 08:55 error_s={5 * (d - 2)} read_by=minute-hand" for d in (4, 7, 9)]
    found = lead("strike-early-or-late", "mantel", [*blows, *hands], now="11-12 10:00")
    assert found is not None
    assert "1:40 early" in found.text


def test_a_weight_has_no_weak_spring() -> None:
    by_weight = [*twelves(20, 27)[:2], "11-09 12:00 hour=12 blows=12 strike_s=27"]
    found = lead("strike-slow", "longcase", by_weight, now="11-09 13:00")
    assert found is not None
    assert found.text.endswith("fully wound: thick oil or a stiff fly; time twelve again on the last day")
    spring = lead("strike-slow", "spring-wall", twelves(20, 27), now="11-08 13:00")
    assert spring is not None
    assert "thick oil, a weak strike spring or a stiff fly" in spring.text


def test_hours_and_half_hours_in_each_others_place() -> None:
    ones = counted((9, 1), (10, 1), (2, 1))
    found = lead("strike-off-by-constant", "longcase", ones, now="11-08 09:00", half_hour="yes")
    assert found is not None
    assert found.text == ("the strike gives one blow at 2, 9, 10: hour and half-hour have changed places; trip it once")
    assert "strike-off-by-constant" not in codes("longcase", ones, now="11-08 09:00")


def test_a_strike_that_keeps_silent_is_off_by_no_constant() -> None:
    assert "strike-off-by-constant" not in codes("longcase", counted((9, 0), (10, 0)), now="11-08 09:00")
    assert "strike-off-by-constant" not in codes("longcase", counted((5, 2), (3, 0)), now="11-08 09:00"), "3 too few?"


def test_a_constant_says_how_to_tell_the_hour_hand_from_the_count_wheel() -> None:
    found = lead("strike-off-by-constant", "longcase", counted((3, 4), (5, 6)), now="11-08 09:00")
    assert found is not None
    assert found.text == (
        "the strike counts 1 too many at 3, 5: hour hand or count wheel out; trip it once: if it counts on, trip it "
        "until right; if it repeats, set the hour hand"
    )
    stood = ["11-02 12:00 hour=12 blows=12", "11-02 13:00 work=ran-out train=strike", *counted((3, 1), (5, 3))]
    found = lead("strike-off-by-constant", "longcase", stood, now="11-08 09:00")
    assert found is not None
    assert found.text.endswith("a count wheel, left behind while the strike was run out: trip it until it is right")
