"""Oil, safety and the moon."""

from __future__ import annotations

import pytest

from standwatch.model.words import Outcome
from tests.judge.judged import outcome, verdict, when
from tests.stories import daily

MET, MISSED, NOT_YET, NA = Outcome.MET, Outcome.MISSED, Outcome.NOT_YET_KNOWN, Outcome.NOT_APPLICABLE
GOING = daily("11-02 08:00", "11-16 08:00", "error_s=0")


@pytest.mark.parametrize(("last", "expected"), [("11-09 07:00", MET), ("11-09 06:59", NOT_YET)])
def test_oil_wants_a_week_of_going_less_an_hour(last: str, expected: Outcome) -> None:
    ledger = [*GOING[:7], f"{last} error_s=0 work=oil-checked amount=0 note=KM"]
    found = verdict("oil", "longcase", ledger, now="11-09 08:30")
    assert found.outcome is expected
    assert found.limit == 7
    if expected is MET:
        assert "KM" in found.because


def test_oil_unseen_says_when_a_week_is_gone() -> None:
    found = verdict("oil", "longcase", GOING[:3], now="11-04 08:30")
    assert (found.outcome, found.earliest) == (NOT_YET, when("11-09 08:00"))
    assert verdict("oil", "longcase", GOING, now="11-16 08:30").earliest == when("11-16 08:30")


def test_the_time_it_hung_is_not_going() -> None:
    ledger = [*GOING[:4], "11-06 08:00 work=stopped explained=yes", "11-09 08:00 work=restarted"]
    ledger += ["11-11 08:00 error_s=0 work=oil-checked amount=0 note=KM"]
    assert outcome("oil", "longcase", ledger, now="11-11 08:30") is NOT_YET  # three days and two
    ledger += ["11-13 08:00 error_s=0 work=oil-checked amount=0 note=KM"]
    assert outcome("oil", "longcase", ledger, now="11-13 08:30") is MET


def test_dark_oil_misses_at_any_time_until_it_is_opened() -> None:
    dark = "11-04 08:10 work=oil-checked amount=1 note=KM"
    assert outcome("oil", "longcase", [*GOING, dark], now="11-16 08:30") is MISSED
    late = "11-16 08:10 work=oil-checked amount=0 note=KM"
    assert outcome("oil", "longcase", [*GOING, dark, late], now="11-16 08:30") is MET, "the last one counts"
    dark_last = "11-16 08:20 work=oil-checked amount=1 note=KM"
    assert outcome("oil", "longcase", [*GOING, late, dark_last], now="11-16 08:30") is MISSED
    assert outcome("oil", "longcase", [*GOING, dark_last, "11-16 08:25 work=opened"], now="11-16 08:30") is NOT_YET


def test_oil_whose_look_was_not_told_is_no_evidence() -> None:
    untold = [*GOING, "11-16 08:10 work=oil-checked note=KM"]
    assert outcome("oil", "longcase", untold, now="11-16 08:30") is NOT_YET


def test_safety_is_signed_after_the_last_case_or_opening() -> None:
    signed = "11-05 08:00 work=safety-checked note=KM"
    assert outcome("safety", "longcase", [signed], now="11-06 08:00") is MET
    assert outcome("safety", "longcase", ["11-04 08:00 work=cased", signed], now="11-06 08:00") is MET
    for work in ("cased", "opened"):
        assert outcome("safety", "longcase", [signed, f"11-05 09:00 work={work}"], now="11-06 08:00") is NOT_YET
        # of one time, the order of the rows decides
        assert outcome("safety", "longcase", [signed, f"11-05 08:00 work={work}"], now="11-06 08:00") is NOT_YET
        assert outcome("safety", "longcase", [f"11-05 08:00 work={work}", signed], now="11-06 08:00") is MET
    assert outcome("safety", "longcase", [signed, "11-05 09:00 work=moved"], now="11-06 08:00") is MET


def moon(*lines: str, now: str = "11-20 08:30") -> Outcome:
    return outcome("moon", "longcase", lines, now=now, moon="yes")


def test_the_moon_gains_seven_days_a_week_within_a_day() -> None:
    first = "11-02 08:00 moon_age_d=22"
    assert moon(first, "11-09 08:00 moon_age_d=29") is MET
    assert moon(first, "11-09 08:00 moon_age_d=28") is MET
    assert moon(first, "11-09 08:00 moon_age_d=27.9") is MISSED
    assert moon(first, "11-09 08:00 moon_age_d=22") is MISSED
    # new moon falls between the 2nd and the 12th: the dial starts again after 29.5
    assert moon(first, "11-12 08:00 moon_age_d=2.5") is MET


def test_the_moon_wants_a_week_less_an_hour_since_it_was_set() -> None:
    assert moon("11-02 08:00 moon_age_d=22", "11-09 07:00 moon_age_d=29") is MET
    assert moon("11-02 08:00 moon_age_d=22", "11-09 06:59 moon_age_d=29") is NOT_YET
    assert moon("11-02 08:00 moon_age_d=22", "11-04 08:00 work=moon-set", "11-09 08:00 moon_age_d=29") is NOT_YET
    found = verdict("moon", "longcase", ["11-02 08:00 moon_age_d=22"], now="11-03 08:30", moon="yes")
    assert found.earliest == when("11-09 08:00")
    reset = ["11-02 08:00 moon_age_d=10", "11-03 08:00 moon_age_d=3 work=moon-set", "11-03 08:01 moon_age_d=23"]
    assert moon(*reset, "11-10 08:01 moon_age_d=0.5") is MET


def test_no_moon_does_not_apply() -> None:
    assert outcome("moon", "longcase", ["11-02 08:00 moon_age_d=22"], now="11-09 08:30") is NA
