"""The full run of every train. A longcase is rated 192 h and wants 204 h; wound Monday 2 November 2026 at 08:00.

192 h end on Tuesday the 10th at 08:00, 204 h at 20:00; an hour short is reached (common practice).
"""

from __future__ import annotations

from typing import Any

import pytest

from standwatch.judge.assessment import Verdict
from standwatch.judge.full_run import run_shown
from standwatch.judge.running import continuous_running, full_duration, weight_passage
from standwatch.model.answers import Quantity
from standwatch.model.words import Outcome, Train
from tests.judge.judged import case
from tests.stories import at, daily

MET, NOT_YET = Outcome.MET, Outcome.NOT_YET_KNOWN
GOING_ONLY = {"trains": "going"}
WOUND = "11-02 08:00 error_s=0 going_mm=0 strike_mm=0 work=wound"
DAYS = daily("11-03 08:00", "11-09 08:00", "error_s=0 going_mm={160*(d+1):.0f} strike_mm={160*(d+1):.0f}")


def longcase(*lines: str, now: str = "11-13 09:00", **columns: Any) -> Verdict:
    return full_duration(case("longcase", [WOUND, *DAYS, *lines], now=now, **columns))


@pytest.mark.parametrize(("last", "outcome"), [("11-10 18:59", NOT_YET), ("11-10 19:00", MET), ("11-11 09:00", MET)])
def test_shown_half_a_day_past_its_rated_time(last: str, outcome: Outcome) -> None:
    assert longcase(f"{last} error_s=0", **GOING_ONLY).outcome is outcome


@pytest.mark.parametrize(("last", "outcome"), [("11-10 06:59", NOT_YET), ("11-10 07:00", MET)])
def test_shown_at_its_rated_time_and_then_run_out(last: str, outcome: Outcome) -> None:
    assert longcase(f"{last} error_s=0", "11-10 18:00 work=ran-out", **GOING_ONLY).outcome is outcome


def test_the_time_of_a_run_out_shows_nothing() -> None:
    """Found on Friday the 13th, it may have died any day since Monday."""
    verdict = longcase("11-13 08:00 work=ran-out", **GOING_ONLY)
    assert verdict.outcome is NOT_YET
    assert verdict.observed == 168


def test_a_weekend_run_out_is_proved_by_its_dial() -> None:
    # 1320 mm at 160 a day: 8.25 days, Tuesday 14:00
    proved = longcase("11-13 08:00 dial=2:00 going_mm=1320 work=ran-out", **GOING_ONLY)
    assert proved.outcome is MET
    assert proved.observed == pytest.approx(198, abs=0.1)
    # 1240 mm: 7.75 days, Tuesday 02:00, six hours short
    early = longcase("11-13 08:00 dial=2:00 going_mm=1240 work=ran-out", **GOING_ONLY)
    assert early.outcome is NOT_YET


UNTOLD = ["11-10 08:00 error_s=0 going_mm=100 strike_mm=100", "11-11 09:00 error_s=0 going_mm=270 strike_mm=270"]


def test_a_run_that_somebody_helped_on_and_did_not_log_proves_nothing() -> None:
    """Its weights hang high on Tuesday the 10th: wound since Monday, so 168 hours are all that is shown."""
    verdict = longcase(*UNTOLD)
    assert verdict.outcome is NOT_YET
    assert verdict.observed == 168
    assert "wound since by its weight, and not logged" in verdict.because
    assert verdict.earliest == at("11-25 08:00")  # 204 h from the next round's wind, Monday 16 November
    logged = longcase("11-09 17:00 work=wound", *UNTOLD)
    assert logged.outcome is NOT_YET
    assert "after Wed 18 Nov 04:00 would prove it" in logged.because  # 204 h from Monday 17:00, an hour short


def test_the_other_train_was_wound_untold_and_this_one_fell_on() -> None:
    on = ["11-10 08:00 error_s=0 going_mm=100 strike_mm=1280", "11-11 09:00 error_s=0 going_mm=270 strike_mm=1445"]
    verdict = longcase(*on)
    assert "going shown to 168" in verdict.because
    assert "strike" not in verdict.because  # 217 hours of its own


def test_no_passage_of_a_wind_that_was_two() -> None:
    """Seven days from wind to wind, but wound untold on the fourth."""
    early = daily("11-03 08:00", "11-05 08:00", "error_s=0 going_mm={160*(d+1):.0f}")
    late = daily("11-06 08:00", "11-13 08:00", "error_s=0 going_mm={100+160*d:.0f}")
    shown = weight_passage(case("longcase", [WOUND, *early, *late], now="11-13 09:00", trains="going"))
    assert shown.observed == 0
    told = [WOUND, *early, "11-05 17:00 work=wound", *late]
    assert weight_passage(case("longcase", told, now="11-13 09:00", trains="going")).observed == 1


def test_a_wind_in_between_begins_a_new_run() -> None:
    assert longcase("11-10 12:00 error_s=0 work=wound", "11-11 09:00 error_s=0", **GOING_ONLY).outcome is NOT_YET
    strike_wound = longcase("11-10 12:00 error_s=0 work=wound train=strike", "11-11 09:00 error_s=0", **GOING_ONLY)
    assert strike_wound.outcome is MET


@pytest.mark.parametrize("fact", ["work=seen-going", "hour=9 blows=9"])
def test_the_going_train_is_shown_by_an_error_or_a_dial_alone(fact: str) -> None:
    assert longcase(f"11-11 09:00 {fact}", **GOING_ONLY).outcome is NOT_YET
    assert longcase("11-11 09:00 dial=9:00", **GOING_ONLY).outcome is MET


def test_every_train_is_wanted_and_the_least_shown_is_told() -> None:
    verdict = longcase("11-09 10:00 hour=10 blows=10", "11-10 20:00 error_s=0", now="11-10 20:30")
    assert verdict.outcome is NOT_YET
    assert verdict.observed == 170
    assert verdict.limit == 204
    assert verdict.because == "strike shown to 170 of 204 hours; a count now would prove it"
    assert verdict.earliest == at("11-11 08:00")


def test_a_clock_with_fall_to_spare_is_read_after_its_time() -> None:
    verdict = longcase(now="11-09 09:00", going_usable_mm=1900, strike_usable_mm=1900)
    assert verdict.because == (
        "going and strike shown to 168 of 204 hours; a reading and a count after Tue 10 Nov 19:00 would prove it"
    )
    assert verdict.earliest == at("11-11 08:00")


def test_a_clock_that_will_not_last_the_night_is_read_before_it_runs_out() -> None:
    """1340 mm at 160 a day: run out on Tuesday at 17:00, before anyone could see it past 19:00."""
    verdict = longcase(now="11-09 09:00", going_usable_mm=1340, **GOING_ONLY)
    assert verdict.because == (
        "going shown to 168 of 204 hours; a reading after Tue 10 Nov 07:00, then its run-out, would prove it"
    )
    assert verdict.earliest is not None
    assert at("11-10 12:00") < verdict.earliest <= at("11-11 08:00")


def test_a_weekend_run_out_is_left_to_its_dial_and_weights() -> None:
    """Wound Friday 13th; 8 days end on Saturday the 21st, and it runs out that night."""
    lines = ["11-13 08:00 error_s=0 going_mm=0 work=wound"]
    lines += daily("11-16 08:00", "11-20 08:00", "error_s=0 going_mm={160*(d+3):.0f}")
    found = case("longcase", lines, now="11-20 09:00", trains="going", going_usable_mm=1340)
    verdict = full_duration(found)
    assert "left to run out, its dial and weights would prove it" in verdict.because
    assert verdict.earliest == at("11-23 08:00")


SHORT = "runs out before anyone sees it pass 192 hours: let another wind run"


def test_a_run_that_will_be_too_short_is_told_as_sure_only_where_its_interval_is() -> None:
    """1265 mm at 160 a day are 7.9 days, and may well be 8; 1180 mm are 7.4."""
    lines = ["11-13 08:00 error_s=0 going_mm=0 work=wound"]
    lines += daily("11-16 08:00", "11-20 08:00", "error_s=0 going_mm={160*(d+3):.0f}")
    near, short = (
        full_duration(case("longcase", lines, now="11-20 09:00", trains="going", going_usable_mm=room))
        for room in (1265, 1180)
    )
    assert near.because.endswith(f"; it likely {SHORT}")
    assert short.because.endswith(f"; it {SHORT}")
    assert short.earliest == near.earliest == at("12-02 08:00")  # wound on Monday the 23rd: full on Tuesday evening
    mantel = ["11-13 08:00 error_s=0 work=wound", *daily("11-16 08:00", "11-20 08:00", "error_s=0")]
    assert SHORT in full_duration(case("mantel", mantel, now="11-20 09:00")).because


@pytest.mark.parametrize(
    ("fact", "outcome"),
    [
        ("hour=9 blows=9", MET),
        ("strike_mm=1440", MET),
        ("strike_mm=1122", NOT_YET),
        ("hour=9 blows=0", NOT_YET),
        ("chime=in-step", NOT_YET),
    ],
)
def test_the_strike_is_shown_by_blows_or_a_fall_that_has_grown(fact: str, outcome: Outcome) -> None:
    """It read 1120 mm on Monday."""
    assert longcase("11-11 09:00 error_s=0", f"11-11 09:00 {fact}").outcome is outcome


def test_the_strike_of_a_clock_that_ran_out_is_proved_by_its_fall() -> None:
    both = longcase("11-13 08:00 dial=2:00 going_mm=1320 strike_mm=1320 work=ran-out")
    assert both.outcome is MET
    stuck = longcase("11-13 08:00 dial=2:00 going_mm=1320 strike_mm=1120 work=ran-out")
    assert stuck.outcome is NOT_YET


def test_one_train_may_serve_in_one_wind_and_the_other_in_the_next() -> None:
    lines = ["11-10 20:00 error_s=0", "11-11 08:00 error_s=0 work=wound", "11-19 20:00 hour=8 blows=8"]
    assert longcase(*lines, now="11-20 08:00").outcome is MET


def chiming(*lines: str) -> Verdict:
    start = "11-02 08:00 error_s=0 work=wound"
    going = ["11-11 09:00 error_s=0 hour=9 blows=9"]
    return full_duration(case("floor-chiming", [start, *lines, *going], now="11-11 12:00"))


@pytest.mark.parametrize(("heard", "outcome"), [("in-step", MET), ("out-of-step", NOT_YET), ("not-running", NOT_YET)])
def test_the_chime_is_shown_by_a_quarter_in_step(heard: str, outcome: Outcome) -> None:
    assert chiming(f"11-11 09:00 chime={heard} quarter=4").outcome is outcome


@pytest.mark.parametrize(
    ("silent", "outcome"),
    [
        ("11-01 08:00 work=tune amount=0", NOT_YET),
        ("11-04 08:00 work=tune amount=0", NOT_YET),
        ("11-04 08:00 chime=silent", NOT_YET),
        ("11-04 08:00 work=tune amount=2", MET),
    ],
)
def test_no_tune_of_the_run_was_silent(silent: str, outcome: Outcome) -> None:
    back = "11-05 08:00 work=tune amount=1"
    assert chiming(silent, back, "11-11 09:00 chime=in-step quarter=4").outcome is outcome


def test_a_selector_put_back_before_the_wind_is_no_matter() -> None:
    lines = ["10-30 08:00 work=tune amount=0", "10-31 08:00 work=tune amount=1"]
    assert chiming(*lines, "11-11 09:00 chime=in-step quarter=4").outcome is MET


class TestStops:
    PROVED = ("11-10 20:00 error_s=0",)
    LATER = ("11-11 08:00 error_s=0 work=wound", "11-12 08:00 error_s=0")

    def test_an_unexplained_stop_takes_it_away(self) -> None:
        verdict = longcase(*self.PROVED, *self.LATER, "11-13 08:00 work=stopped", **GOING_ONLY)
        assert verdict.outcome is NOT_YET
        assert verdict.because == "going: no wind told since the stop nobody explained"

    def test_trains_that_lack_the_same_say_it_once(self) -> None:
        verdict = longcase("11-10 20:00 error_s=0", "11-11 08:00 work=stopped")
        assert verdict.because == "going and strike: no wind told since the stop nobody explained"

    def test_explained_at_once_or_later_it_stays(self) -> None:
        lines = [WOUND, *DAYS, *self.PROVED, *self.LATER, "11-13 08:00 work=stopped explained=yes"]
        found = case("longcase", lines, now="11-13 09:00", trains="going")
        assert full_duration(found).outcome is MET
        assert continuous_running(found).observed == 0

    def test_a_run_with_a_stop_in_it_proves_nothing(self) -> None:
        lines = ["11-09 09:00 work=stopped explained=yes", "11-09 09:05 work=restarted", "11-11 09:00 error_s=0"]
        verdict = longcase(*lines, **GOING_ONLY)
        assert verdict.outcome is NOT_YET
        assert verdict.observed == 168

    def test_a_run_with_a_restart_in_it_proves_nothing(self) -> None:
        lines = ["11-09 09:05 work=restarted", "11-11 09:00 error_s=0"]
        assert longcase(*lines, **GOING_ONLY).outcome is NOT_YET

    def test_a_restart_that_begins_the_run_is_part_of_it(self) -> None:
        lines = ["11-02 08:00 work=wound", "11-02 08:30 work=restarted", "11-10 19:00 error_s=0"]
        assert full_duration(case("longcase", lines, now="11-11 09:00", trains="going")).outcome is MET

    def test_hanging_after_the_wind_is_not_running(self) -> None:
        lines = ["11-02 08:00 work=wound", "11-04 08:00 work=restarted", "11-11 08:00 error_s=0"]
        verdict = full_duration(case("longcase", lines, now="11-11 09:00", trains="going"))
        assert verdict.observed == 168

    def test_an_early_run_out_is_a_stop(self) -> None:
        lines = [*self.PROVED, *self.LATER, "11-13 08:00 work=ran-out"]
        assert longcase(*lines, **GOING_ONLY).outcome is NOT_YET

    def test_a_strike_that_ran_out_early_costs_its_own_run_alone(self) -> None:
        lines = [WOUND, *DAYS, "11-10 20:00 error_s=0 hour=8 blows=8", "11-11 08:00 error_s=0 work=wound"]
        lines += ["11-13 08:00 error_s=0", "11-13 08:00 work=ran-out train=strike"]
        found = case("longcase", lines, now="11-13 09:00")
        assert run_shown(found, Train.GOING)
        assert not run_shown(found, Train.STRIKE)
        assert full_duration(found).outcome is NOT_YET
        assert continuous_running(found).observed == 11

    def test_opening_takes_everything_away(self) -> None:
        assert longcase(*self.PROVED, "11-11 08:00 work=oiled", "11-12 08:00 error_s=0").outcome is NOT_YET


class TestCaseFloor:
    """The weight must still hang within the customer's case when the time is reached."""

    def test_by_reading(self) -> None:
        # 8.5 days at 160 mm a day are 1360 mm
        lines = ("11-10 20:00 error_s=0 going_mm=1360",)
        assert longcase(*lines, case_fall_mm=1365, **GOING_ONLY).outcome is MET
        verdict = longcase(*lines, case_fall_mm=1340, **GOING_ONLY)
        assert verdict.outcome is NOT_YET
        assert "past the 1340 mm of its case" in verdict.because

    def test_by_forecast(self) -> None:
        assert longcase("11-10 20:00 error_s=0", case_fall_mm=1390, **GOING_ONLY).outcome is MET
        assert longcase("11-10 20:00 error_s=0", case_fall_mm=1330, **GOING_ONLY).outcome is NOT_YET

    def test_a_later_reading_past_it_does_not_undo_what_was_within(self) -> None:
        """At 204 h it hung at 1360 mm, though at 216 h it was read at 1440."""
        assert longcase("11-11 08:00 error_s=0 going_mm=1440", case_fall_mm=1400, **GOING_ONLY).outcome is MET


@pytest.mark.parametrize(("last", "outcome"), [("11-03 12:59", NOT_YET), ("11-03 13:00", MET)])
def test_thirty_hours_want_thirty(last: str, outcome: Outcome) -> None:
    lines = ["11-02 08:00 error_s=0 work=wound", f"{last} error_s=0 hour=1 blows=1"]
    verdict = full_duration(case("cuckoo", lines, now="11-03 14:00"))
    assert verdict.outcome is outcome
    assert verdict.limit == 30


class TestInferred:
    """A torsion clock's and a 31-day clock's runs are inferred, and named so."""

    TORSION = (
        "11-02 08:00 error_s=0 work=wound",
        *daily(
            "11-03 08:00", "11-29 08:00", "error_s=0 amplitude_deg=310 overswing_left_deg=25 overswing_right_deg=26"
        ),
    )

    @pytest.mark.parametrize(("last", "outcome"), [("11-30 06:59", NOT_YET), ("11-30 07:00", MET)])
    def test_torsion_by_its_least_days_and_its_swing(self, last: str, outcome: Outcome) -> None:
        swing = "amplitude_deg=310 overswing_left_deg=25 overswing_right_deg=26"
        verdict = full_duration(case("torsion", [*self.TORSION, f"{last} error_s=0 {swing}"], now="11-30 09:00"))
        assert verdict.outcome is outcome
        assert verdict.because.startswith("inferred")

    def test_torsion_with_too_little_swing(self) -> None:
        lines = [line.replace("=25", "=15") for line in (*self.TORSION, "11-30 08:00 error_s=0")]
        verdict = full_duration(case("torsion", lines, now="11-30 09:00"))
        assert verdict.outcome is NOT_YET
        assert "swing" in verdict.because

    @staticmethod
    def month(turns: float, wound: str = "11-16 08:00", **columns: Any) -> Verdict:
        lines = [
            "11-02 08:00 error_s=0 work=wound",
            "11-09 08:00 error_s=0",
            f"{wound} error_s=0 work=wound amount={turns}",
        ]
        return full_duration(case("spring-wall-31d", lines, now="11-17 09:00", **columns))

    def test_a_month_by_the_turns_told_so_far(self) -> None:
        """Fourteen days took 6 of 16 turns: 37 days. 8 of 16: 28 days."""
        turns: dict[str, Any] = {"going_turns": 16, "strike_turns": 16}
        good = self.month(6, **turns)
        assert good.outcome is MET
        assert isinstance(good.observed, Quantity)
        assert good.observed.estimate == pytest.approx(14 * 24 * 16 / 6)
        assert good.limit == 744
        assert good.because.startswith("inferred")
        assert self.month(8, **turns).outcome is NOT_YET

    def test_a_week_of_turns_at_least(self) -> None:
        turns: dict[str, Any] = {"going_turns": 16, "strike_turns": 16}
        assert self.month(2, "11-09 06:59", **turns).outcome is NOT_YET
        assert self.month(2, "11-09 07:00", **turns).outcome is MET

    def test_turns_can_be_counted_after_a_week(self) -> None:
        lines = ["11-02 08:00 error_s=0 work=wound", "11-04 08:00 error_s=0"]
        verdict = full_duration(case("spring-wall-31d", lines, now="11-04 09:00", going_turns=16, strike_turns=16))
        assert "no wind of a week or more told in turns yet" in verdict.because
        assert verdict.earliest == at("11-09 08:00")

    def test_turns_to_full_are_wanted_of_each_train(self) -> None:
        verdict = self.month(6, going_turns=16)
        assert verdict.outcome is NOT_YET
        assert "strike: its turns to full are not given" in verdict.because
