"""What is worth hearing next, in words and when: a chiming clock on Friday 13 November, at twenty past twelve."""

from __future__ import annotations

from typing import Any

import pytest

from standwatch.judge.hearing import Hearing, chime_to_hear, to_hear
from standwatch.model.words import Requirement
from tests.judge.judged import case, when
from tests.judge.test_chiming import OUT, STEADY, TRIES, turned
from tests.judge.test_striking import TWELVE, hours
from tests.stories import daily

NOW = "11-13 12:20"
READ = daily("11-02 08:05", "11-13 08:05", "error_s=0")
STEP, TUNES, MIS_SET = Requirement.CHIME_STEP, Requirement.TUNES, Requirement.MIS_SET
COUNTS = Requirement.TWELVE_COUNTS


def heard(*lines: str, wanted: Requirement = STEP, kind: str = "floor-chiming", **columns: Any) -> Hearing | None:
    return to_hear(case(kind, [*READ, *lines], now=NOW, **columns), frozenset({wanted}))


def said(*lines: str, wanted: Requirement = STEP, **columns: Any) -> str:
    found = heard(*lines, wanted=wanted, **columns)
    return found.text if found is not None else ""


def test_the_hour_that_sounds_next_is_named_with_its_time() -> None:
    assert said(wanted=COUNTS) == "hear the twelve hours; one sounds at 13:00"
    assert said(*hours("11-03", *range(1, 10)), wanted=COUNTS) == (
        "hear ten, eleven and twelve; ten sounds on Mon 16 Nov at 10:00"
    )
    assert said(*hours("11-03", *range(1, 8)), wanted=COUNTS).startswith(
        "hear 5 of the twelve hours; eight sounds on Mon"
    )
    assert said(*TWELVE[1:], wanted=COUNTS) == "hear one at 13:00"


def test_hours_that_no_open_shop_hears_come_with_the_shift_and_what_staging_costs() -> None:
    found = heard(*hours("11-03", 1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12), wanted=COUNTS)
    assert found is not None
    assert found.at is None
    assert found.text == (
        "hear seven; it sounds only when the shop is closed: shift the hours once, the hands 1 hour on, or stage it by "
        "hand (about 13 minutes and half a day's fall)"
    )
    both = said(*hours("11-03", 1, 2, 3, 4, 5, 6, 8, 9, 11, 12), wanted=COUNTS)
    assert both.startswith(
        "hear seven and ten; ten sounds on Mon 16 Nov at 10:00; seven sounds only when the shop is closed"
    )


def test_the_next_quarter_that_is_still_wanted() -> None:
    found = heard(*STEADY[:2], *STEADY[3:])
    assert found is not None
    assert (found.text, found.at, found.short) == (
        "listen at 12:45: quarter 3 in step",
        when("11-13 12:45"),
        "listen 12:45",
    )
    assert said(*STEADY[:-1]) == "listen at 12:30: a further morning in step"
    assert heard(*STEADY[:-1], "11-13 09:00 chime=in-step quarter=4") is None, "today's morning was heard"


def test_a_chime_that_did_not_sound_is_heard_again_today() -> None:
    silent = [*STEADY, "11-13 12:15 chime=not-running quarter=1"]
    assert said(*silent) == "listen at 12:30: it did not sound on Fri 13 Nov; explain that, or put the chime right"
    assert heard(*silent[:-1], silent[-1] + " explained=yes") is None


def test_one_that_corrects_itself_is_given_the_hour_another_is_put_right() -> None:
    touched = [*STEADY, "11-13 11:40 work=tune amount=1", f"11-13 12:15 {OUT}"]
    assert said(*touched) == "correcting: listen after 13:00"
    other = heard(*touched, self_correcting="no")
    assert other is not None
    assert other.text == "out of step, and it does not correct itself: put the chime right and listen at 12:30"
    assert other.short == "set the chime"


def test_a_slip_is_heard_again_once_it_is_put_right() -> None:
    assert (
        chime_to_hear(case("floor-chiming", [*READ, *STEADY, f"11-12 10:15 {OUT}"], now=NOW)).text
        == "then listen at 12:30"
    )


@pytest.mark.parametrize(
    ("lines", "text", "short"),
    [
        ([], "set the selector to Larkspur and hear quarters 1, 2, 3 and 4", "hear tune 1"),
        (turned(1, "11-12", (1, 2)), "hear Larkspur, quarters 3 and 4", "hear tune 1"),
        (turned(1, "11-12"), "set the selector to Mill and hear quarters 1, 2, 3 and 4", "hear tune 2"),
        (
            [*turned(1, "11-11"), *turned(2, "11-12")],
            "set the selector to silent, hear that it is, then a tune in step",
            "hear silent",
        ),
        (
            [*turned(1, "11-11"), *turned(2, "11-12"), "11-13 09:00 work=tune amount=0"],
            "hear that the chime keeps silent, then a tune in step",
            "hear silent",
        ),
        (
            [*turned(1, "11-11"), *turned(2, "11-12"), "11-13 09:00 work=tune amount=0", "11-13 09:30 chime=silent"],
            "set the selector from silent to a tune, and hear it in step",
            "hear silent",
        ),
    ],
)
def test_tunes_and_silent_step_by_step(lines: list[str], text: str, short: str) -> None:
    found = heard(*lines, wanted=TUNES, tunes="Larkspur;Mill")
    assert found is not None
    assert (found.text, found.short) == (text, short)


def test_a_selector_left_on_silent_is_named_while_the_chime_is_wanted() -> None:
    """The chime's own requirements are not asked for while it stands at silent."""
    silent = [*STEADY[:2], "11-13 11:00 work=tune amount=0"]
    assert said(*silent, wanted=COUNTS).startswith("hear the twelve hours")
    found = heard(*silent, wanted=Requirement.OIL)
    assert found is not None
    assert found.text == "the selector stands at silent: set it to a tune, and hear the chime"
    assert heard(*STEADY, silent[-1], wanted=Requirement.OIL) is None, "all was heard before"


def test_the_mis_set_that_is_wanted_and_the_one_that_runs() -> None:
    assert (
        said(*TRIES[:4], wanted=MIS_SET)
        == "trip the chime 3 quarters out by hand, and hear it in step within two hours"
    )
    assert said(*TRIES[2:], wanted=MIS_SET).startswith("trip the chime 1 quarter out by hand")
    runs = heard(*TRIES[:4], "11-13 11:40 work=mis-set amount=3", wanted=MIS_SET)
    assert runs is not None
    assert (runs.text, runs.at) == ("listen by 13:40: in step after the mis-set", when("11-13 13:40"))
    put_right = [*TRIES[:4], "11-13 11:40 work=mis-set amount=3", "11-13 12:00 work=chime-set"]
    assert said(*put_right, wanted=MIS_SET).startswith("trip the chime 3 quarters out by hand")


def test_in_its_own_case_twelve_and_each_quarter_are_heard_once_more() -> None:
    """Hands, gongs and rods were off."""
    own_case, cased = Requirement.OWN_CASE, "11-12 16:00 work=cased"
    assert heard(*TWELVE, *STEADY, wanted=own_case) is None, "not cased yet"
    assert said(*STEADY, cased, wanted=own_case) == "listen at 12:30: quarters 1, 2, 3 and 4 in step in its own case"
    quarters = [f"11-13 09:{15 * q} chime=in-step quarter={q}" for q in (1, 2, 3)]
    assert said(*STEADY, cased, *quarters, wanted=own_case) == "listen at 13:00: quarter 4 in step in its own case"
    whole = [*STEADY, cased, *quarters, "11-13 10:00 chime=in-step quarter=4"]
    assert said(*whole, wanted=own_case) == "hear twelve on Mon 16 Nov at 12:00, in its own case"
    assert heard(*whole, "11-13 12:00 hour=12 blows=12", wanted=own_case) is None
    assert said(cased, wanted=own_case, kind="longcase") == "hear twelve on Mon 16 Nov at 12:00, in its own case"
    assert heard(cased, wanted=own_case, kind="regulator") is None
