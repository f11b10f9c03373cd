"""Running without a stop, past the bob, and in its own case. 2 November 2026 is a Monday; rounds are Mon-Fri 08:00."""

from __future__ import annotations

import pytest

from standwatch.judge.running import continuous_running, full_duration, own_case, weight_passage
from standwatch.model.words import Outcome
from tests.judge.judged import case
from tests.stories import at, daily

MET, NOT_YET, MISSED, NOT_APPLICABLE = Outcome.MET, Outcome.NOT_YET_KNOWN, Outcome.MISSED, Outcome.NOT_APPLICABLE
START = "11-02 08:00 error_s=0 going_mm=0 work=wound"


class TestContinuousRunning:
    """A mantel clock wants 16 days."""

    @pytest.mark.parametrize(
        ("last", "outcome"), [("11-18 06:59", NOT_YET), ("11-18 07:00", MET), ("11-18 08:00", MET)]
    )
    def test_an_hour_short_is_reached(self, last: str, outcome: Outcome) -> None:
        lines = ["11-02 08:00 error_s=0 work=wound", f"{last} error_s=1"]
        assert continuous_running(case("mantel", lines, now="11-18 09:00")).outcome is outcome

    def test_time_since_the_last_fact_shows_nothing(self) -> None:
        lines = ["11-02 08:00 error_s=0 work=wound", "11-10 08:00 error_s=1"]
        verdict = continuous_running(case("mantel", lines, now="11-30 09:00"))
        assert verdict.outcome is NOT_YET
        assert verdict.observed == 8
        assert verdict.limit == 16
        assert "8.0 of 16 days without a stop since Mon 2 Nov 08:00" in verdict.because

    def test_seen_going_counts(self) -> None:
        lines = ["11-02 08:00 error_s=0 work=wound", "11-18 08:00 work=seen-going"]
        assert continuous_running(case("mantel", lines, now="11-18 09:00")).outcome is MET

    @pytest.mark.parametrize("explained", ["", "explained=yes"])
    def test_any_stop_starts_it_anew(self, explained: str) -> None:
        lines = ["11-02 08:00 error_s=0 work=wound", "11-17 08:00 error_s=1", f"11-18 07:00 work=stopped {explained}"]
        lines += ["11-18 08:00 work=restarted", "11-19 08:00 error_s=0"]
        verdict = continuous_running(case("mantel", lines, now="11-19 09:00"))
        assert verdict.observed == 1
        assert verdict.outcome is NOT_YET

    def test_it_is_never_missed_and_has_no_date_while_it_hangs(self) -> None:
        lines = ["11-02 08:00 error_s=0 work=wound", "11-03 08:00 work=stopped"]
        verdict = continuous_running(case("mantel", lines, now="11-03 09:00"))
        assert verdict.outcome is NOT_YET
        assert verdict.earliest is None
        assert verdict.because == "found hanging Tue 3 Nov 08:00"

    def test_run_out_in_time_the_days_it_hung_are_left_out(self) -> None:
        lines = ["11-02 08:00 error_s=0 work=wound", "11-10 08:00 error_s=1", "11-13 08:00 work=ran-out"]
        lines += ["11-13 08:05 work=wound amount=14", "11-13 08:10 work=restarted"]
        met = continuous_running(case("mantel", [*lines, "11-21 07:10 error_s=1"], now="11-21 09:00", going_turns=14))
        assert met.outcome is MET, "eight days before, eight (less an hour) after"
        short = continuous_running(case("mantel", [*lines, "11-21 07:09 error_s=1"], now="11-21 09:00", going_turns=14))
        assert short.outcome is NOT_YET

    @pytest.mark.parametrize(
        ("start", "earliest"),
        [
            ("11-02 08:00", "11-18 08:00"),  # 07:00 would do, but no one is in before the round
            ("11-02 12:00", "11-18 11:00"),
            ("11-04 08:00", "11-20 08:00"),
            ("11-05 12:00", "11-23 08:00"),  # a Saturday: Monday's round
        ],
    )
    def test_when_it_could_be_met(self, start: str, earliest: str) -> None:
        verdict = continuous_running(case("mantel", [f"{start} error_s=0 work=wound"], now="11-05 13:00"))
        assert verdict.earliest == at(earliest)

    def test_least_days_may_be_set(self) -> None:
        lines = ["11-02 08:00 error_s=0 work=wound", "11-05 08:00 error_s=1"]
        assert continuous_running(case("mantel", lines, now="11-05 09:00", least_days=3)).outcome is MET


class TestWeightPassage:
    @pytest.mark.parametrize(("rewound", "outcome"), [("11-09 06:59", NOT_YET), ("11-09 07:00", MET)])
    def test_a_whole_wind_of_seven_days(self, rewound: str, outcome: Outcome) -> None:
        lines = [START, "11-06 08:00 error_s=1", f"{rewound} error_s=2 work=wound", "11-10 08:00 error_s=2"]
        assert weight_passage(case("regulator", lines, now="11-10 09:00")).outcome is outcome

    @pytest.mark.parametrize(("shown", "outcome"), [("11-09 06:59", NOT_YET), ("11-09 07:00", MET)])
    def test_seven_days_of_the_wind_that_still_runs(self, shown: str, outcome: Outcome) -> None:
        verdict = weight_passage(case("regulator", [START, f"{shown} error_s=1"], now="11-09 09:00"))
        assert verdict.outcome is outcome

    def test_a_longcase_goes_through_two(self) -> None:
        once = [START, "11-09 08:00 error_s=2 work=wound"]
        verdict = weight_passage(case("longcase", once, now="11-09 09:00"))
        assert (verdict.outcome, verdict.observed, verdict.limit) == (NOT_YET, 1, 2)
        assert verdict.earliest == at("11-16 08:00")
        twice = [*once, "11-16 07:00 error_s=2"]
        assert weight_passage(case("longcase", twice, now="11-16 09:00")).outcome is MET

    @pytest.mark.parametrize(("rewound", "outcome"), [("11-03 06:59", NOT_YET), ("11-03 07:00", MET)])
    @pytest.mark.parametrize("kind", ["longcase-30h", "cuckoo"])
    def test_one_day_of_a_clock_wound_daily(self, kind: str, rewound: str, outcome: Outcome) -> None:
        lines = [START, f"{rewound} error_s=2 work=wound"]
        assert weight_passage(case(kind, lines, now="11-03 09:00")).outcome is outcome

    def test_a_stop_takes_it_away_unless_explained(self) -> None:
        lines = [START, "11-09 08:00 error_s=1 work=wound", "11-10 08:00 error_s=1", "11-11 08:00 work=stopped"]
        assert weight_passage(case("regulator", lines, now="11-11 09:00")).outcome is NOT_YET
        lines[-1] += " explained=yes"
        assert weight_passage(case("regulator", lines, now="11-11 09:00")).outcome is MET

    @pytest.mark.parametrize("broken", ["stopped explained=yes", "restarted"])
    def test_a_wind_with_a_stop_in_it_is_not_gone_through(self, broken: str) -> None:
        lines = [START, "11-05 08:00 error_s=1", f"11-05 09:00 work={broken}", "11-05 10:00 work=restarted"]
        lines += ["11-09 08:00 error_s=1 work=wound", "11-10 08:00 error_s=0"]
        assert weight_passage(case("regulator", lines, now="11-10 09:00")).outcome is NOT_YET

    def test_a_run_out_in_time_ends_a_whole_wind(self) -> None:
        lines = [START, "11-10 08:00 error_s=1", "11-11 08:00 work=ran-out"]
        assert weight_passage(case("regulator", lines, now="11-11 09:00")).outcome is MET

    def test_short_winds_never_add_up(self) -> None:
        lines = daily("11-02 08:00", "11-20 08:00", "error_s={d:.1f}")
        lines += [f"11-{day:02} 08:01 work=wound" for day in (2, 6, 10, 14, 18)]
        verdict = weight_passage(case("regulator", lines, now="11-20 09:00"))
        assert (verdict.outcome, verdict.observed) == (NOT_YET, 0)

    def test_the_strike_weight_wound_alone_ends_no_wind(self) -> None:
        lines = [START, "11-05 08:00 error_s=1 work=wound train=strike", "11-09 08:00 error_s=2"]
        assert weight_passage(case("weight-wall", lines, now="11-09 09:00")).outcome is MET

    @pytest.mark.parametrize("work", ["moved", "cased"])
    def test_a_move_keeps_it_and_an_opening_does_not(self, work: str) -> None:
        lines = [START, "11-09 08:00 error_s=2 work=wound", f"11-10 08:00 work={work}", "11-11 08:00 error_s=0"]
        assert weight_passage(case("regulator", lines, now="11-11 09:00")).outcome is MET
        opened = [line.replace(f"work={work}", "work=opened") for line in lines]
        assert weight_passage(case("regulator", opened, now="11-11 09:00")).outcome is NOT_YET

    @pytest.mark.parametrize("kind", ["mantel", "carriage", "torsion", "reference", "spring-wall-31d"])
    def test_springs_have_no_weight_to_pass(self, kind: str) -> None:
        assert weight_passage(case(kind, ["11-02 08:00 error_s=0"], now="11-02 09:00")).outcome is NOT_APPLICABLE


LONGCASE_CASED = [
    *daily("10-19 08:00", "11-01 08:00", "error_s={d:.1f}"),
    "11-02 08:00 error_s=14 work=cased",
    "11-02 08:05 work=wound",
    "11-02 12:00 hour=12 blows=12",
]


def in_case(last: str) -> list[str]:
    days = daily("11-03 08:00", "11-07 08:00", "error_s={d+1:.1f}")
    return [*LONGCASE_CASED, *days, f"{last} error_s=6"]


class TestOwnCase:
    @pytest.mark.parametrize(("last", "outcome"), [("11-08 07:04", NOT_YET), ("11-08 07:05", MET)])
    def test_six_days_of_a_wind(self, last: str, outcome: Outcome) -> None:
        verdict = own_case(case("longcase", in_case(last), now="11-09 07:00"))
        assert verdict.outcome is outcome, verdict.because

    def test_not_cased_yet(self) -> None:
        verdict = own_case(case("longcase", [START], now="11-06 09:00"))
        assert verdict.outcome is NOT_YET
        assert verdict.because == "not in its own case yet"
        # cased on Monday the 9th, six days on is Sunday: Monday the 16th
        assert verdict.earliest == at("11-16 08:00")

    def test_days_before_the_casing_do_not_count(self) -> None:
        lines = [START, *daily("11-03 08:00", "11-07 08:00", "error_s=1"), "11-08 08:00 error_s=1 work=cased"]
        lines += ["11-09 08:00 error_s=1", "11-09 12:00 hour=12 blows=12"]
        verdict = own_case(case("longcase", lines, now="11-09 13:00"))
        assert verdict.observed == pytest.approx(1 + 4 / 24)

    def test_twelve_is_heard_there(self) -> None:
        silent = [line for line in in_case("11-08 08:00") if "hour=12" not in line]
        verdict = own_case(case("longcase", silent, now="11-09 07:00"))
        assert verdict.outcome is NOT_YET
        assert "the hour twelve heard" in verdict.because
        wrong = [*silent, "11-08 12:00 hour=12 blows=11"]
        assert own_case(case("longcase", wrong, now="11-09 07:00")).outcome is MISSED
        right = [*wrong, "11-09 00:00 hour=12 blows=12"]
        assert own_case(case("longcase", right, now="11-09 07:00")).outcome is MET

    def test_a_twelve_heard_before_the_casing_says_nothing_of_it(self) -> None:
        lines = ["11-01 12:00 hour=12 blows=12", *(x for x in in_case("11-08 08:00") if "hour=12" not in x)]
        assert own_case(case("longcase", lines, now="11-09 07:00")).outcome is NOT_YET

    def test_each_quarter_in_step_there(self) -> None:
        lines = in_case("11-08 08:00")
        quarters = [f"11-08 1{q}:00 chime=in-step quarter={q}" for q in (1, 2, 4)]
        verdict = own_case(case("floor-chiming", [*lines, *quarters], now="11-09 07:00"))
        assert verdict.outcome is NOT_YET
        assert "quarter 3 in step" in verdict.because
        whole = [*lines, *quarters, "11-08 16:45 chime=in-step quarter=3"]
        assert own_case(case("floor-chiming", whole, now="11-09 07:00")).outcome is MET

    def test_a_rate_out_of_limits_there_misses(self) -> None:
        lines = [*LONGCASE_CASED, *daily("11-03 08:00", "11-09 07:00", "error_s={60*d:.1f}")]
        assert own_case(case("longcase", lines, now="11-09 07:30")).outcome is MISSED

    @pytest.mark.parametrize(("last", "outcome"), [("11-09 06:59", NOT_YET), ("11-09 07:00", MET)])
    def test_a_spring_goes_one_whole_wind_as_it_is_kept(self, last: str, outcome: Outcome) -> None:
        lines = ["10-19 08:00 error_s=0 work=wound", "10-26 08:00 error_s=0 work=wound"]
        lines += ["11-02 08:00 work=cased", "11-02 08:00 work=wound", "11-02 12:00 hour=12 blows=12"]
        lines += [*daily("11-03 09:00", "11-08 09:00", "error_s={d+1:.1f}"), f"{last} error_s=7"]
        verdict = own_case(case("mantel", lines, now="11-09 09:00"))
        assert verdict.limit == 7
        rate_open = "of 7 days since the rate" in verdict.because  # it settles a day before its own week begins
        assert (outcome is MET) is not ("of 7 days gone" in verdict.because)
        assert rate_open

    @pytest.mark.parametrize(("last", "outcome"), [("11-04 06:59", NOT_YET), ("11-04 07:00", MET)])
    def test_two_days_over_the_winds_of_a_clock_wound_daily(self, last: str, outcome: Outcome) -> None:
        lines = ["11-02 08:00 error_s=0 work=cased", "11-02 08:05 work=wound", "11-02 12:00 error_s=0 hour=12 blows=12"]
        lines += ["11-03 08:00 error_s=0 work=wound", f"{last} error_s=0"]
        verdict = own_case(case("cuckoo", lines, now="11-04 09:00"))
        assert verdict.limit == 2
        assert (outcome is MET) is not ("days gone" in verdict.because)

    def test_not_applicable(self) -> None:
        assert own_case(case("longcase", [START], now="11-03 08:00", movement_only="yes")).outcome is NOT_APPLICABLE
        assert own_case(case("torsion", ["11-02 08:00 error_s=0"], now="11-03 08:00")).outcome is NOT_APPLICABLE


def test_a_reference_is_compared_for_its_rate_alone() -> None:
    found = case("reference", ["11-02 08:00 error_s=0"], now="11-03 08:00")
    for rule in (continuous_running, full_duration, weight_passage, own_case):
        verdict = rule(found)
        assert verdict.outcome is NOT_APPLICABLE
        assert verdict.limit is None
