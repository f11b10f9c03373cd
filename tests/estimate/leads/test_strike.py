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
