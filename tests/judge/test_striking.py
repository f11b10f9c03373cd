"""Twelve counts: what is heard, wrong, put right and heard again."""

from __future__ import annotations

import re

import pytest

from standwatch.model.words import Outcome
from tests.judge.judged import outcome, verdict, when

MET, MISSED, NOT_YET, NA = Outcome.MET, Outcome.MISSED, Outcome.NOT_YET_KNOWN, Outcome.NOT_APPLICABLE
NOW = "11-10 08:30"


def hours(day: str, *heard: int, right: bool = True) -> list[str]:
    return [f"{day} {8 + n // 4:02}:{15 * (n % 4):02} hour={h} blows={h if right else h - 1}"
            for n, h in enumerate(heard)]  # fmt: skip


TWELVE = hours("11-03", *range(1, 13))


def test_each_hour_once_staged_or_not() -> None:
    found = verdict("twelve-counts", "longcase", [*TWELVE[:-1], TWELVE[-1] + " staged=yes"], now=NOW)
    assert (found.outcome, found.observed, found.limit) == (MET, 12, 12)


@pytest.mark.parametrize("left_out", range(12))
def test_eleven_are_one_too_few(left_out: int) -> None:
    found = verdict("twelve-counts", "longcase", TWELVE[:left_out] + TWELVE[left_out + 1 :], now=NOW)
    assert (found.outcome, found.observed, found.earliest) == (NOT_YET, 11, when(NOW))


def test_seven_can_be_had_by_shifting_the_hours_or_by_hand() -> None:
    found = verdict("twelve-counts", "longcase", hours("11-03", 1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12), now=NOW)
    assert found.because == (
        "seven unheard; it sounds only when the shop is closed: shift the hours once, the hands 1 hour on, or stage it "
        "by hand (about 4 minutes and half a day's fall)"
    )
    shifted = [*hours("11-03", 1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12), "11-09 08:00 work=hours-shifted amount=1"]
    assert verdict("twelve-counts", "longcase", shifted, now=NOW).because == "seven unheard"


@pytest.mark.parametrize(
    ("more", "said"), [(0, "12 strikes"), (1, "13 strikes"), (3, "15 strikes"), (18, "30 strikes")]
)
def test_what_strikes_heard_still_allow_is_told(more: int, said: str) -> None:
    """The exact bound where none of n is wrong, 1 - 0.05^(1/n) (Clopper and Pearson 1934), lies under the one told."""
    again = [f"11-{4 + n // 9:02} {9 + n % 9:02}:00 hour={(8 + n % 9) % 12 + 1} blows={(8 + n % 9) % 12 + 1}"
             for n in range(more)]  # fmt: skip
    found = verdict("twelve-counts", "longcase", [*TWELVE, *again], now=NOW)
    assert found.outcome is MET
    assert found.because.startswith(f"each hour heard: {said} and none wrong, which still allows 1 wrong in ")
    one_in = int(re.findall(r"1 wrong in (\d+)", found.because)[0])
    strikes = 12 + more
    assert 1 - 0.05 ** (1 / strikes) < 3 / strikes <= 1 / one_in
    assert 1 / (one_in + 1) < 3 / strikes, "no wider than the rule of three"


def test_an_hour_without_its_blows_and_a_half_hour_blow_count_for_nothing() -> None:
    rest = [*TWELVE[1:], "11-03 13:00 hour=1", "11-03 13:30 blows=1"]
    assert outcome("twelve-counts", "longcase", rest, now=NOW) is NOT_YET


def test_a_wrong_count_misses_before_the_rest_is_heard_until_put_right() -> None:
    wrong = hours("11-03", 4, right=False)
    assert outcome("twelve-counts", "longcase", wrong, now=NOW) is MISSED
    assert outcome("twelve-counts", "longcase", [*wrong, *hours("11-04", *range(1, 13))], now=NOW) is MISSED
    assert outcome("twelve-counts", "longcase", [*wrong, "11-04 08:00 work=strike-set"], now=NOW) is NOT_YET


def test_once_put_right_counts_start_anew_and_the_wrong_hour_is_wanted_twice() -> None:
    ledger = [*TWELVE, *hours("11-04", 4, right=False), "11-04 09:00 work=strike-set"]
    again = hours("11-05", *range(1, 13))
    found = verdict("twelve-counts", "longcase", [*ledger, *again[:3], *again[4:]], now=NOW)
    assert (found.outcome, found.because) == (NOT_YET, "four twice unheard")
    found = verdict("twelve-counts", "longcase", [*ledger, *again], now=NOW)
    assert (found.outcome, found.observed, found.because) == (NOT_YET, 11, "four once more unheard")
    assert outcome("twelve-counts", "longcase", [*ledger, *again, *hours("11-06", 4)], now=NOW) is MET


def test_a_second_putting_right_remembers_both_wrong_hours() -> None:
    ledger = [*hours("11-03", 4, right=False), "11-03 12:00 work=strike-set"]
    ledger += [*hours("11-04", 9, right=False), "11-04 12:00 work=strike-set", *hours("11-05", *range(1, 13))]
    found = verdict("twelve-counts", "longcase", ledger, now=NOW)
    assert found.because == "four once more and nine once more unheard"


def test_what_is_heard_in_the_row_of_the_putting_right_is_as_found() -> None:
    ledger = [*TWELVE[:-1], "11-04 12:00 hour=12 blows=12 work=strike-set"]
    assert outcome("twelve-counts", "longcase", ledger, now=NOW) is NOT_YET


def test_a_move_banks_the_counts_and_an_opening_clears_them() -> None:
    assert outcome("twelve-counts", "longcase", [*TWELVE, "11-04 08:00 work=moved"], now=NOW) is MET
    assert outcome("twelve-counts", "longcase", [*TWELVE, "11-04 08:00 work=cased"], now=NOW) is MET
    assert outcome("twelve-counts", "longcase", [*TWELVE, "11-04 08:00 work=oiled"], now=NOW) is NOT_YET
    cleared = [*hours("11-03", 4, right=False), "11-03 12:00 work=opened", *hours("11-04", *range(1, 13))]
    assert outcome("twelve-counts", "longcase", cleared, now=NOW) is MET


def test_a_regulator_does_not_strike() -> None:
    assert outcome("twelve-counts", "regulator", TWELVE, now=NOW) is NA


WRONG_AT_FOUR = hours("11-03", 4, right=False)


def test_a_wrong_count_says_what_to_try_and_what_is_wanted_then() -> None:
    found = verdict("twelve-counts", "longcase", WRONG_AT_FOUR, now=NOW)
    assert found.because == (
        "struck 3 at four on Tue 3 Nov: hear the next hour too, a count wheel that is out stays out by as much; "
        "once put right, hear four twice"
    )
    silent = verdict("twelve-counts", "longcase", ["11-03 09:00 hour=9 blows=0"], now=NOW)
    assert silent.because.startswith("did not strike nine on Tue 3 Nov: look whether it is run down")


def test_what_was_heard_before_the_putting_right_says_nothing_of_a_new_fault() -> None:
    once = ["11-03 09:00 hour=9 blows=10", "11-03 12:00 work=strike-set", "11-04 10:00 hour=10 blows=11"]
    found = verdict("twelve-counts", "longcase", once, now=NOW)
    assert "hear the next hour too" in found.because
    assert "trip it once" in verdict("twelve-counts", "longcase", [once[0], once[2]], now=NOW).because


def test_as_long_as_many_are_unheard_their_number_is_told() -> None:
    assert verdict("twelve-counts", "longcase", hours("11-03", *range(1, 8)), now=NOW).because == "7 of 12 heard"
    some = [1, 2, 3, 4, 5, 6, 9, 12]
    found = verdict("twelve-counts", "longcase", hours("11-03", *some), now=NOW)
    assert found.because.startswith("seven, eight, ten and eleven unheard; seven sounds only when the shop is closed")


def test_what_is_tried_goes_by_the_order_of_hearing() -> None:
    wrong, right = "11-03 09:00 hour=9 blows=10", "11-03 10:00 hour=10 blows=10"
    assert "right again since" in verdict("twelve-counts", "longcase", [wrong, right], now=NOW).because
    swapped = ["11-03 09:00 hour=9 blows=9", "11-03 10:00 hour=10 blows=11"]
    assert "hear the next hour too" in verdict("twelve-counts", "longcase", swapped, now=NOW).because


def test_half_hours_heard_are_no_counts_whatever_they_strike() -> None:
    halves = [f"11-03 {8 + n:02}:30 blows={1 if n else 5}" for n in range(4)]
    found = verdict("twelve-counts", "longcase", [*TWELVE, *halves], now=NOW, half_hour="yes")
    assert (found.outcome, found.observed) == (MET, 12)
    assert "12 strikes" in found.because


def test_staged_counts_are_strikes_heard_too() -> None:
    found = verdict("twelve-counts", "longcase", [f"{line} staged=yes" for line in TWELVE], now=NOW)
    assert "12 strikes" in found.because


@pytest.mark.parametrize(("shifts", "said"), [((1,), "1 hour"), ((3, -1), "2 hours"), ((-2,), "10 hours")])
def test_hours_still_shifted_are_told_once_all_are_heard(shifts: tuple[int, ...], said: str) -> None:
    lines = [f"11-04 {9 + n:02}:00 work=hours-shifted amount={h}" for n, h in enumerate(shifts)]
    found = verdict("twelve-counts", "longcase", [*TWELVE, *lines], now=NOW)
    assert found.outcome is MET
    assert found.because.endswith(f"; the hands are still {said} on, put them right before it goes")


@pytest.mark.parametrize("back", [-1, 11])
def test_put_back_or_led_on_to_twelve_they_are_right(back: int) -> None:
    lines = ["11-04 09:00 work=hours-shifted amount=1", f"11-04 10:00 work=hours-shifted amount={back}"]
    assert verdict("twelve-counts", "longcase", [*TWELVE, *lines], now=NOW).because.endswith("(95 %)")
