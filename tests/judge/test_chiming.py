"""The chime: what provokes it, slips, mornings, mis-sets and tunes."""

from __future__ import annotations

from typing import Any

import pytest

from standwatch.model.words import Outcome
from tests.judge.judged import assessed, outcome, verdict, when
from tests.stories import daily

MET, MISSED, NOT_YET, NA = Outcome.MET, Outcome.MISSED, Outcome.NOT_YET_KNOWN, Outcome.NOT_APPLICABLE
NOW = "11-13 12:30"
KIND = "floor-chiming"

QUARTERS = [f"11-02 09:{15 * (q - 1):02} chime=in-step quarter={q}" for q in (1, 2, 3, 4)]
MORNINGS = [f"11-{day:02} 09:00 chime=in-step quarter=4" for day in (3, 4, 5, 6)]
STEADY = [*QUARTERS, *MORNINGS]
OUT = "chime=out-of-step quarter=2"


def step(ledger: list[str], *, now: str = NOW, **columns: Any) -> Outcome:
    return outcome("chime-step", KIND, ledger, now=now, **columns)


def test_each_quarter_and_five_mornings() -> None:
    found = verdict("chime-step", KIND, STEADY, now=NOW)
    assert (found.outcome, found.observed, found.limit) == (MET, 5, 5)


def test_four_mornings_are_one_too_few() -> None:
    found = verdict("chime-step", KIND, STEADY[:-1], now=NOW)
    assert (found.outcome, found.because) == (NOT_YET, "4 of 5 mornings in step")
    assert found.earliest == when(NOW), "it can be heard today"
    tonight = [*STEADY[1:-1], "11-13 09:00 chime=in-step quarter=4"]
    assert verdict("chime-step", KIND, tonight, now=NOW).earliest == when(NOW), "only a quarter is wanted"
    monday = [*STEADY[:-2], "11-13 09:00 chime=in-step quarter=4"]
    assert verdict("chime-step", KIND, monday, now=NOW).earliest == when("11-16 08:00"), "today was heard already"


@pytest.mark.parametrize("quarter", [0, 1, 2])
def test_a_quarter_unheard_is_not_yet_known(quarter: int) -> None:
    found = verdict("chime-step", KIND, STEADY[:quarter] + STEADY[quarter + 1 :], now=NOW)
    assert found.outcome is NOT_YET
    assert f"quarter {quarter + 1} unheard" in found.because


def test_mornings_are_local_dates() -> None:
    # in summer time half past midnight is the day before in UTC
    one_day = ["07-06 00:30 chime=in-step quarter=4", "07-06 12:30 chime=in-step quarter=4"]
    assert verdict("chime-step", KIND, one_day, now="07-07 08:30").because.startswith("1 of 5 mornings")
    two_days = ["07-05 23:30 chime=in-step quarter=4", "07-06 00:30 chime=in-step quarter=4"]
    assert verdict("chime-step", KIND, two_days, now="07-07 08:30").because.startswith("2 of 5 mornings")


def test_out_of_step_and_nobody_touched_it_is_a_slip_even_if_it_corrected_itself() -> None:
    slip = verdict("chime-step", KIND, [*STEADY, f"11-09 10:15 {OUT}"], now=NOW)
    assert slip.outcome is MISSED
    assert step([f"11-09 10:15 {OUT}"]) is MISSED, "before the rest is there"
    assert step([*STEADY, f"11-09 10:15 {OUT}", "11-09 12:00 chime=in-step quarter=4"]) is MISSED


def test_a_slip_lasts_until_the_chime_is_put_right_or_the_clock_opened() -> None:
    slip = [*STEADY, f"11-06 10:15 {OUT}"]
    anew = [line.replace("11-0", "11-1") for line in STEADY]  # 12 to 16 November
    assert step([*slip, "11-06 11:00 work=chime-set"]) is NOT_YET
    assert step([*slip, "11-06 11:00 work=chime-set", *anew], now="11-16 12:00") is MET
    assert step([*slip, "11-06 11:00 work=opened", *anew], now="11-16 12:00") is MET
    assert step([*slip, *anew], now="11-16 12:00") is MISSED


@pytest.mark.parametrize(
    "work",
    [
        "hands-set amount=60",
        "hours-shifted amount=3",
        "held amount=3600",
        "restarted",
        "moved",
        "cased",
        "tune amount=1",
        "summer-time amount=3600",
    ],
)
def test_what_provokes_it_for_two_hours(work: str) -> None:
    touched = [*STEADY, f"11-09 10:00 work={work}"]
    assert step([*touched, f"11-09 12:00 {OUT}"]) is MET
    assert step([*touched, f"11-09 12:01 {OUT}"]) is MISSED


@pytest.mark.parametrize("work", ["wound", "nut amount=0.2", "seen-going", "bumped", "levelled", "beat-set"])
def test_what_does_not_provoke_it(work: str) -> None:
    assert step([*STEADY, f"11-09 10:00 work={work}", f"11-09 10:15 {OUT}"]) is MISSED


def test_work_provokes_nothing_that_was_found_before_it() -> None:
    assert step([*STEADY, f"11-09 10:00 {OUT} work=hands-set amount=60"]) is MISSED
    assert step([*STEADY, f"11-09 10:00 {OUT}", "11-09 10:00 work=hands-set"]) is MISSED
    assert step([*STEADY, "11-09 10:00 work=hands-set", f"11-09 10:00 {OUT}"]) is MET


def test_the_end_of_the_nights_silence_provokes_it() -> None:
    assert step([*STEADY, f"11-09 09:00 {OUT}"], night_silence="22:00-07:00") is MET
    assert step([*STEADY, f"11-09 09:01 {OUT}"], night_silence="22:00-07:00") is MISSED
    assert step([*STEADY, f"11-09 06:59 {OUT}"], night_silence="22:00-07:00") is MISSED
    assert step([*STEADY, f"11-09 00:30 {OUT}"], night_silence="20:00-23:00") is MET, "it ended last evening"
    assert step([*STEADY, f"11-09 09:00 {OUT}"]) is MISSED


def test_the_nights_silence_ends_by_civil_time_on_both_sides_of_the_change() -> None:
    # the clocks go back on 25 October 2026: seven is 06:00 UTC the day before, 07:00 UTC the day after
    for day in ("10-24", "10-26"):
        assert step([f"{day} 09:00 {OUT}"], night_silence="22:00-07:00") is NOT_YET
        assert step([f"{day} 09:01 {OUT}"], night_silence="22:00-07:00") is MISSED


def test_winding_a_chime_that_had_run_out_provokes_it() -> None:
    out = [*STEADY, "11-09 09:00 work=ran-out train=chime"]
    assert step([*out, "11-09 10:00 work=wound train=chime", f"11-09 12:00 {OUT}"]) is MET
    assert step([*out, "11-09 10:00 work=wound", f"11-09 12:00 {OUT}"]) is MET
    assert step([*out, "11-09 10:00 work=wound train=going", f"11-09 12:00 {OUT}"]) is MISSED
    rewound = [*out, "11-09 09:10 work=wound train=chime", "11-09 10:00 work=wound", f"11-09 11:30 {OUT}"]
    assert step(rewound) is MISSED, "that wind was of a chime that had not run out"


def test_a_mis_set_provokes_it_until_it_is_heard_in_step_again() -> None:
    tripped = [*STEADY, "11-09 08:00 work=mis-set amount=1"]
    assert step([*tripped, f"11-12 10:00 {OUT}"]) is MET
    assert step([*tripped, "11-09 09:00 chime=in-step quarter=4", f"11-12 10:00 {OUT}"]) is MISSED


def test_a_chime_that_did_not_run_wants_explaining() -> None:
    silent = [*STEADY, "11-09 10:15 chime=not-running"]
    found = verdict("chime-step", KIND, silent, now=NOW)
    assert found.outcome is NOT_YET
    assert "explain it" in found.because
    assert step([*STEADY, "11-09 10:15 chime=not-running explained=yes"]) is MET
    assert step([*silent, "11-09 11:00 work=chime-set"]) is NOT_YET, "everything is wanted anew"
    assert step([*STEADY, "11-09 10:15 chime=silent"]) is MET, "the selector stood at silent"


TRIES = [
    *(f"11-{day} {text}" for day, n in (("03", 1), ("04", 2), ("05", 3))
      for text in (f"10:00 work=mis-set amount={n}", f"12:00 {OUT.replace('out-of', 'in')}"))
]  # fmt: skip


def mis_set(ledger: list[str], **columns: Any) -> Outcome:
    return outcome("mis-set", KIND, ledger, now=NOW, **columns)


def test_three_mis_sets_each_right_by_the_second_hour() -> None:
    found = verdict("mis-set", KIND, TRIES, now=NOW)
    assert (found.outcome, found.observed, found.limit) == (MET, 3, 3)
    late = [line.replace("11-05 12:00", "11-05 12:01") for line in TRIES]
    found = verdict("mis-set", KIND, late, now=NOW)
    assert (found.outcome, found.observed) == (NOT_YET, 2)
    assert mis_set(TRIES[:4]) is NOT_YET


def test_a_mis_set_fails_only_after_its_two_hours() -> None:
    def heard(time: str) -> Outcome:
        return mis_set([*TRIES[:5], f"11-05 {time} {OUT}"])

    assert heard("12:00") is NOT_YET
    assert heard("12:01") is MISSED
    assert mis_set([TRIES[0], f"11-03 13:00 {OUT}"]) is MISSED, "one failed misses before the rest is tried"


def test_a_failed_mis_set_is_missed_until_tried_again() -> None:
    failed = [*TRIES[:4], "11-05 10:00 work=mis-set amount=3", f"11-05 13:00 {OUT}"]
    assert mis_set([*failed, "11-06 10:00 work=mis-set amount=3"]) is NOT_YET
    assert mis_set([*failed, "11-06 10:00 work=mis-set amount=2"]) is MISSED, "another number is no second try"
    assert mis_set([*failed, "11-06 10:00 work=mis-set amount=3", "11-06 11:00 chime=in-step"]) is MET


def test_something_else_may_explain_a_chime_out_of_step_after_a_mis_set() -> None:
    tried = [*TRIES[:5], "11-05 12:30 work=hands-set amount=30", f"11-05 13:00 {OUT}"]
    assert mis_set(tried) is NOT_YET


def test_what_is_heard_in_the_row_of_the_next_mis_set_belongs_to_the_one_before() -> None:
    ledger = ["11-03 10:00 work=mis-set amount=1", "11-03 12:00 chime=in-step work=mis-set amount=2"]
    found = verdict("mis-set", KIND, ledger, now=NOW)
    assert found.observed == 1


def test_a_chime_put_right_by_hand_has_not_corrected_itself() -> None:
    helped = [*TRIES[:5], "11-05 11:00 work=chime-set", TRIES[5]]
    assert mis_set(helped) is NOT_YET
    assert mis_set([*TRIES[:5], "11-05 11:00 chime=in-step work=chime-set"]) is MET, "it was right before"
    late = [*TRIES[:5], f"11-05 12:30 {OUT} work=chime-set", "11-05 13:00 chime=in-step"]
    assert mis_set(late) is MISSED, "out of step after its two hours"
    assert mis_set([*late, *(line.replace("11-05", "11-06") for line in TRIES[4:])]) is MET


def test_only_self_correcting_chimes_are_mis_set() -> None:
    assert mis_set(TRIES, self_correcting="no") is NA
    assert outcome("mis-set", "longcase", TRIES, now=NOW) is NA


def turned(position: int, day: str, quarters: tuple[int, ...] = (1, 2, 3, 4)) -> list[str]:
    heard = [f"{day} 10:{15 * (q - 1):02} chime=in-step quarter={q}" for q in quarters]
    return [f"{day} 09:00 work=tune amount={position}", *heard]


SILENT = ["11-05 09:00 work=tune amount=0", "11-05 10:00 chime=silent"]


def tunes(ledger: list[str]) -> Outcome:
    return outcome("tunes", KIND, ledger, now=NOW, tunes="Larkspur; Mill")


def test_each_tune_four_quarters_and_silent_with_the_return() -> None:
    ledger = [*turned(1, "11-03"), *turned(2, "11-04"), *SILENT, *turned(1, "11-06", (4,))]
    found = verdict("tunes", KIND, ledger, now=NOW, tunes="Larkspur; Mill")
    assert (found.outcome, found.observed, found.limit) == (MET, 3, 3)
    assert tunes(ledger[:-1]) is NOT_YET, "the return was not heard"
    assert tunes(ledger[:-2]) is NOT_YET, "not turned back"
    assert tunes([*turned(1, "11-03"), *turned(2, "11-04"), SILENT[0], *turned(1, "11-06")]) is NOT_YET
    assert tunes([*turned(1, "11-03"), *SILENT, *turned(1, "11-06")]) is NOT_YET, "the second tune"


def test_a_tunes_quarters_belong_to_one_turn_of_the_selector() -> None:
    split = [*turned(2, "11-03", (1, 2)), *turned(1, "11-04"), *SILENT, *turned(2, "11-06", (3, 4))]
    assert tunes(split) is NOT_YET
    assert tunes([*split, *turned(2, "11-07")]) is MET


def test_no_tunes_do_not_apply() -> None:
    assert outcome("tunes", KIND, turned(1, "11-03"), now=NOW) is NA
    assert outcome("tunes", "longcase", turned(1, "11-03"), now=NOW, tunes="Larkspur") is NA


@pytest.mark.parametrize(
    ("lines", "word"),
    [
        ([], "·"),
        (STEADY, "in"),
        ([*STEADY, f"11-09 10:15 {OUT}"], "off"),
        ([*STEADY, f"11-09 10:15 {OUT}", "11-09 12:00 chime=in-step"], "slip"),
        ([*STEADY, "11-09 10:15 chime=silent"], "silent"),
    ],
)
def test_a_word_for_a_narrow_column(lines: list[str], word: str) -> None:
    assert assessed(KIND, lines, now=NOW).chime_word == word
    assert assessed("longcase", daily("11-02 08:00", "11-05 08:00", "error_s=0"), now=NOW).chime_word == "–"


def test_a_slip_that_came_right_since_says_so_and_what_ends_it() -> None:
    slip = [*STEADY, f"11-09 10:15 {OUT}"]
    found = verdict("chime-step", KIND, slip, now=NOW)
    assert found.because == "out of step on Mon 9 Nov and nobody touched it: a slip, until it is put right"
    again = verdict("chime-step", KIND, [*slip, "11-09 12:00 chime=in-step quarter=4"], now=NOW)
    assert again.because == (
        "out of step on Mon 9 Nov and nobody touched it: a slip, until it is put right, though in step again since"
    )


def test_a_mis_set_before_an_opening_excuses_nothing_after_it() -> None:
    tripped = ["11-05 08:00 work=mis-set amount=1", "11-06 08:00 work=opened"]
    assert step([*tripped, f"11-09 10:00 {OUT}"]) is MISSED
    assert step([tripped[0], f"11-09 10:00 {OUT}"]) is NOT_YET


def test_the_nights_silence_is_kept_by_the_dial() -> None:
    """Two hours on, the dial shows seven at five: by eight its two hours are over."""
    shifted = [*STEADY, "11-07 09:00 work=hours-shifted amount=2"]
    assert step([*shifted, f"11-09 07:00 {OUT}"], night_silence="22:00-07:00") is MET
    assert step([*shifted, f"11-09 07:01 {OUT}"], night_silence="22:00-07:00") is MISSED
    # the clocks go back on 25 October 2026; left on summer time, its dial shows seven at six
    left = ["10-20 09:00 error_s=0", f"10-26 08:01 {OUT}"]
    assert step(left, now="10-26 12:00", night_silence="22:00-07:00") is MISSED
    held = [left[0], "10-25 09:00 work=summer-time amount=-3600", left[1]]
    assert step(held, now="10-26 12:00", night_silence="22:00-07:00") is NOT_YET


def test_a_mis_set_that_failed_says_how_far_it_was_set() -> None:
    failed = verdict("mis-set", KIND, ["11-03 10:00 work=mis-set amount=1", f"11-03 13:00 {OUT}"], now=NOW)
    assert failed.because == "still out of step two hours after it was set 1 quarter out: put it right and try again"
    assert verdict("mis-set", KIND, TRIES[:4], now=NOW).because == "2 of 3 passes; 3 quarters out to try"
    assert verdict("mis-set", KIND, TRIES[2:], now=NOW).because == "2 of 3 passes; 1 quarter out to try"


@pytest.mark.parametrize(
    ("right", "said"),
    [
        ("12:00", "1 of 3 passes; 2 and 3 quarters out to try"),
        ("12:01", "0 of 3 passes; 1, 2 and 3 quarters out to try, 1 heard right 1 minute too late"),
        ("12:15", "0 of 3 passes; 1, 2 and 3 quarters out to try, 1 heard right 15 minutes too late"),
        ("13:15", "0 of 3 passes; 1, 2 and 3 quarters out to try"),
    ],
)
def test_a_mis_set_heard_right_just_over_two_hours_after_says_so(right: str, said: str) -> None:
    lines = ["11-03 10:00 work=mis-set amount=1", f"11-03 {right} chime=in-step quarter=1"]
    assert verdict("mis-set", KIND, lines, now=NOW).because == said


def test_of_the_one_try_left_it_is_said_without_its_number() -> None:
    lines = [*TRIES[:4], "11-05 10:00 work=mis-set amount=3", "11-05 12:01 chime=in-step quarter=1"]
    late = "2 of 3 passes; 3 quarters out to try, heard right 1 minute too late"
    assert verdict("mis-set", KIND, lines, now=NOW).because == late


def test_tunes_are_told_by_their_names_in_the_selectors_order() -> None:
    def because(*lines: str) -> str:
        return verdict("tunes", KIND, lines, now=NOW, tunes="Larkspur; Mill").because

    assert because() == "to hear: Larkspur and Mill, four quarters each; silent with the return from it"
    assert because(*turned(1, "11-03")) == "to hear: Mill, four quarters; silent with the return from it"
    assert because(*SILENT, *turned(2, "11-06")) == "to hear: Larkspur, four quarters"
