"""Twelve counts: what is heard, wrong, put right and heard again."""

from __future__ import annotations

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
    assert found.because == "seven unheard: shift the hours once, or stage it by hand"


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
