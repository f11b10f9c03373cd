"""Mean rate and day range: the fewest readings, the span, the last round, and the limit."""

from __future__ import annotations

import pytest

from standwatch.model.answers import Quantity
from standwatch.model.words import Outcome
from tests.judge.judged import case, outcome, rounds, verdict, when
from tests.stories import daily

MET, MISSED, NOT_YET = Outcome.MET, Outcome.MISSED, Outcome.NOT_YET_KNOWN


def test_five_readings_over_four_days_meet_a_weight_clock() -> None:
    found = verdict(
        "mean-rate", "longcase", daily("11-02 08:00", "11-06 08:00", "error_s={2*d:.1f}"), now="11-06 08:30"
    )
    assert found.outcome is MET
    assert isinstance(found.observed, Quantity)
    assert found.observed.low < 2 < found.observed.high
    assert found.limit == 10
    assert found.earliest is None


def test_four_readings_never_meet_or_miss() -> None:
    for pace in (0, 2, 200):
        ledger = daily("11-02 08:00", "11-11 08:00", f"error_s={{{pace}*d:.1f}}", step_days=3)
        found = verdict("mean-rate", "longcase", ledger, now="11-11 08:30")
        assert found.outcome is NOT_YET
        assert found.because == "4 of 5 readings"
        assert found.earliest == when("11-12 08:00")
        assert outcome("day-range", "longcase", ledger, now="11-11 08:30") is NOT_YET


@pytest.mark.parametrize(("last", "expected"), [("07:00", MET), ("06:59", NOT_YET)])
def test_four_days_are_reached_when_short_by_an_hour_at_most(last: str, expected: Outcome) -> None:
    ledger = [*daily("11-02 08:00", "11-05 08:00", "error_s={2*d:.1f}"), f"11-06 {last} error_s=8"]
    found = verdict("mean-rate", "longcase", ledger, now="11-06 08:30")
    assert found.outcome is expected
    if expected is NOT_YET:
        assert found.earliest == when("11-09 08:00"), "read today already, and Saturday is closed"


@pytest.mark.parametrize(("last", "expected"), [("07:00", MET), ("06:59", NOT_YET)])
def test_springs_want_one_whole_wind_a_week_unless_kept_otherwise(last: str, expected: Outcome) -> None:
    ledger = [
        "11-02 08:00 error_s=0 work=wound",
        *daily("11-03 08:00", "11-08 08:00", "error_s={2*(d+1):.1f}"),
        f"11-09 {last} error_s=14",
    ]
    assert outcome("mean-rate", "mantel", ledger, now="11-09 08:30") is expected


def test_a_wind_as_it_is_kept_sets_the_span_of_springs() -> None:
    ledger = ["11-02 08:05 work=wound", "11-06 08:05 work=wound"]
    ledger += daily("11-02 08:00", "11-06 08:00", "error_s={2*d:.1f}")
    assert "of 4 days" not in verdict("mean-rate", "mantel", ledger, now="11-06 08:30").because
    assert "of 7 days" in verdict("mean-rate", "mantel", ledger[:1] + ledger[2:], now="11-06 08:30").because


@pytest.mark.parametrize(("day", "expected"), [("11-15", NOT_YET), ("11-16", MET)])
def test_torsion_and_month_clocks_want_fourteen_days(day: str, expected: Outcome) -> None:
    ledger = daily("11-02 08:00", f"{day} 08:00", "error_s={d:.1f}")
    assert outcome("mean-rate", "torsion", ledger, now="11-16 08:30") is expected


def test_the_nut_opens_the_rate_anew() -> None:
    ledger = daily("11-02 08:00", "11-09 08:00", "error_s={2*d:.1f}")
    assert outcome("mean-rate", "longcase", ledger, now="11-09 08:05") is MET
    opened = verdict("mean-rate", "longcase", [*ledger, "11-09 08:10 work=nut amount=0.3"], now="11-09 08:30")
    assert opened.outcome is NOT_YET
    assert opened.because == "0 of 5 readings since the rate was opened"
    # settled at 20:10 on Monday; readings Tuesday to Saturday would do, but the shop is closed until Monday
    assert opened.earliest == when("11-16 08:00")


def test_a_reading_within_the_nuts_settling_counts_for_nothing() -> None:
    ledger = ["11-02 08:00 error_s=0 work=nut amount=0.2", "11-02 19:59 error_s=1"]
    ledger += daily("11-03 08:00", "11-06 08:00", "error_s={2+2*d:.1f}")
    assert "4 of 5" in verdict("mean-rate", "longcase", ledger, now="11-06 08:30").because


def test_a_rate_outside_its_limit_is_missed_and_one_beside_it_is_neither() -> None:
    def at_pace(pace: float) -> Outcome:
        ledger = daily("11-02 08:00", "11-13 08:00", f"error_s={{{pace}*d:.1f}}")
        return outcome("mean-rate", "longcase", ledger, now="11-13 08:30")

    assert at_pace(30) is MISSED
    assert at_pace(-30) is MISSED
    assert at_pace(10) is NOT_YET
    assert at_pace(-2) is MET


def test_hands_set_and_a_restart_keep_the_rate() -> None:
    ledger = daily("11-02 08:00", "11-06 08:00", "error_s={2*d:.1f}")
    ledger += ["11-06 08:10 work=hands-set amount=-8", "11-07 08:00 error_s=2"]
    ledger += ["11-07 09:00 work=stopped explained=yes", "11-07 10:00 work=restarted", "11-08 08:00 error_s=30"]
    assert outcome("mean-rate", "longcase", ledger, now="11-08 08:30") is MET


def test_a_reference_has_no_limit_unless_one_is_given() -> None:
    ledger = daily("11-02 08:00", "11-09 08:00", "error_s={0.001*d:.4f} error_u_s=0.0001")
    bare = verdict("mean-rate", "reference", ledger, now="11-09 08:30")
    assert (bare.outcome, bare.limit, bare.because, bare.earliest) == (NOT_YET, None, "no limit given", None)
    assert outcome("mean-rate", "reference", ledger, now="11-09 08:30", mean_rate_limit="0.1") is MET


def test_day_range_wants_a_reading_no_older_than_a_round() -> None:
    ledger = daily("11-02 08:00", "11-12 08:00", "error_s={2*d:.1f}")
    # Friday's round has begun: the last but one was Thursday's, at eight
    assert outcome("day-range", "longcase", ledger, now="11-13 08:30") is MET
    earlier = [*ledger[:-1], "11-12 07:59 error_s=20"]
    found = verdict("day-range", "longcase", earlier, now="11-13 08:30")
    assert found.outcome is NOT_YET
    assert found.because == "last read Thu 12 Nov, older than a round"
    assert found.earliest == when("11-13 08:30"), "it can be read now"


def test_day_range_over_a_weekend_and_a_holiday() -> None:
    ledger = daily("11-02 08:00", "11-12 08:00", "error_s={2*d:.1f}")
    friday_off = rounds(holidays=[when("11-13 08:00").date()])
    # Friday was closed, so on Monday morning the last but one round was Thursday's
    assert outcome("day-range", "longcase", ledger, now="11-16 08:30", shop=friday_off) is MET
    assert outcome("day-range", "longcase", ledger, now="11-16 08:30") is NOT_YET


def test_a_day_range_outside_its_limit_is_missed() -> None:
    errors = (0, 4, 5, 11, 12, 16, 17, 23)  # gains from one day to the next: 4, 1, 6, 1, 4, 1, 6
    ledger = [f"11-{day:02} 08:00 error_s={error}" for day, error in enumerate(errors, start=2)]
    assert outcome("day-range", "longcase", ledger, now="11-09 08:30", day_range_limit="1.5") is MISSED
    assert outcome("day-range", "longcase", ledger, now="11-09 08:30", day_range_limit="5") is NOT_YET
    assert outcome("day-range", "longcase", ledger, now="11-09 08:30", day_range_limit="20") is MET


def test_readings_too_coarse_for_any_step_have_no_date() -> None:
    ledger = daily("11-02 08:00", "11-20 08:00", "error_s={2*d:.1f} error_u_s=30")
    found = verdict("day-range", "regulator", ledger, now="11-20 08:30")
    assert (found.outcome, found.earliest) == (NOT_YET, None)


def test_a_suspect_reading_does_not_reach_the_span() -> None:
    ledger = [*daily("11-02 08:00", "11-05 08:00", "error_s={d:.1f}"), "11-06 08:00 error_s=300"]
    told = case("longcase", ledger, now="11-06 08:30")
    assert [s.error_s for s in told.estimates.time.suspects] == [300]
    assert outcome("mean-rate", "longcase", ledger, now="11-06 08:30") is NOT_YET
