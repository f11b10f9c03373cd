"""When a clock was shown going, and what counts as a stop. Ledgers play in November 2026; 2 November is a Monday."""

from __future__ import annotations

from datetime import timedelta

import pytest

from standwatch.estimate.going import Going, going_of, settling_until
from standwatch.estimate.history import history_of
from standwatch.model.facts import Clock, Handover
from standwatch.model.records import Record, build
from standwatch.model.words import Train
from tests.stories import ZONE, at, daily, rows, story

WOUND = "11-02 08:00 error_s=0 going_mm=0 work=wound"


def going(kind: str, lines: list[str], now: str, **columns: object) -> Going:
    return going_of(story(kind, lines, now=now, year=2026, **columns))


def test_days_of_going_are_counted_to_the_last_fact_that_shows_it() -> None:
    found = going("regulator", [WOUND, *daily("11-03 08:00", "11-06 08:00", "error_s=1")], "11-09 07:00")
    assert found.days == 4
    assert found.running_since == at("11-02 08:00")
    assert found.last_shown == at("11-06 08:00")


@pytest.mark.parametrize(
    "fact", ["error_s=1", "dial=8:00", "hour=8 blows=8", "chime=in-step", "chime=out-of-step", "work=seen-going"]
)
def test_each_fact_that_shows_going(fact: str) -> None:
    assert going("floor-chiming", [WOUND, f"11-03 08:00 {fact}"], "11-03 09:00").days == 1


@pytest.mark.parametrize(
    "fact", ["amplitude_deg=2", "going_mm=135", "chime=silent", "chime=not-running", "temperature_c=19", "work=bumped"]
)
def test_what_shows_no_going(fact: str) -> None:
    assert going("floor-chiming", [WOUND, f"11-03 08:00 {fact}"], "11-03 09:00").days == 0


def test_a_wind_alone_shows_nothing() -> None:
    found = going("regulator", ["11-02 08:00 work=wound"], "11-03 08:00")
    assert found.running_since is None
    assert found.days == 0


def test_a_stop_starts_the_count_anew_and_it_hangs_until_restarted() -> None:
    lines = [WOUND, "11-05 08:00 error_s=3", '11-06 08:00 dial=3:47 work=stopped note="line off its pulley"']
    hung = going("regulator", lines, "11-06 08:05")
    assert hung.hangs is not None
    assert hung.days == 0
    assert hung.running_since is None
    assert [stop.explained for stop in hung.unexplained] == [False]
    again = going("regulator", [*lines, "11-06 09:00 work=restarted", "11-07 09:00 error_s=0"], "11-07 10:00")
    assert again.hangs is None
    assert again.running_since == at("11-06 09:00")
    assert again.days == 1
    assert again.stops[0].restarted_at == at("11-06 09:00")
    assert again.unexplained, "restarting explains nothing"


def test_a_stop_that_was_explained() -> None:
    lines = [WOUND, "11-05 08:00 error_s=3", "11-06 08:00 work=stopped explained=yes"]
    assert not going("regulator", lines, "11-06 09:00").unexplained


def test_going_again_ends_the_hanging_where_nobody_told_the_restart() -> None:
    lines = [
        WOUND,
        "11-05 08:00 error_s=3",
        "11-06 08:00 work=stopped",
        "11-06 12:00 error_s=0",
        "11-07 12:00 error_s=0",
    ]
    found = going("regulator", lines, "11-07 13:00")
    assert found.hangs is None
    assert found.running_since == at("11-06 12:00")
    assert found.days == 1


def test_a_restart_without_a_stop_starts_the_count_anew() -> None:
    lines = [WOUND, "11-05 08:00 error_s=3", "11-05 09:00 work=restarted", "11-06 09:00 error_s=0"]
    found = going("regulator", lines, "11-06 10:00")
    assert found.running_since == at("11-05 09:00")
    assert found.days == 1
    assert not found.stops


@pytest.mark.parametrize("work", ["moved", "cased", "held amount=300", "hands-set amount=60", "nut amount=1", "wound"])
def test_work_that_leaves_the_count_alone(work: str) -> None:
    lines = [WOUND, f"11-04 08:00 work={work}", "11-05 08:00 error_s=3"]
    assert going("regulator", lines, "11-05 09:00").days == 3


@pytest.mark.parametrize("work", ["opened", "oiled"])
def test_opening_starts_everything_anew(work: str) -> None:
    lines = [WOUND, "11-04 08:00 error_s=0 work=stopped", f"11-05 08:00 work={work}", "11-06 08:00 error_s=1"]
    found = going("regulator", lines, "11-06 09:00")
    assert found.running_since == at("11-05 08:00")
    assert found.days == 1
    assert not found.stops
    assert not found.winds
    assert found.hangs is None


def test_days_on_the_bench_after_an_opening_are_not_going() -> None:
    lines = [WOUND, "11-05 08:00 work=opened", "11-12 08:00 error_s=1", "11-13 08:00 error_s=1"]
    assert going("regulator", lines, "11-13 09:00").days == 1


def run_out(found: str, dial: str = "") -> list[str]:
    """A longcase (rated 192 h) wound on 2 November at 08:00, last read on the 9th, found run out."""
    return [WOUND, *daily("11-03 08:00", "11-09 08:00", "error_s=0"), f"{found} {dial} work=ran-out"]


@pytest.mark.parametrize(
    ("found", "in_time"),
    [("11-10 06:59", False), ("11-10 07:00", True), ("11-10 08:00", True), ("11-11 08:00", True)],
)
def test_a_run_out_is_a_stop_when_found_before_the_rated_time(found: str, in_time: bool) -> None:  # noqa: FBT001
    stop = going("longcase", run_out(found), "11-11 09:00").stops[0]
    assert stop.in_time is in_time


def test_a_run_out_is_a_stop_when_its_dial_tells_only_times_before_the_rated_one() -> None:
    early = going("longcase", run_out("11-10 08:30", "dial=5:00"), "11-11 09:00").stops[0]
    assert not early.in_time, "it stood from 5:00 at the latest, three hours short"
    late = going("longcase", run_out("11-10 08:30", "dial=7:30"), "11-11 09:00").stops[0]
    assert late.in_time


def test_a_run_out_in_time_adds_the_days_before_and_after_and_not_those_it_hung() -> None:
    lines = [*run_out("11-12 08:00"), "11-12 08:05 work=wound", "11-12 08:10 work=restarted", "11-14 08:10 error_s=0"]
    found = going("longcase", lines, "11-14 09:00")
    assert found.stops[0].shown_until == at("11-09 08:00")
    assert found.days == pytest.approx(7 + 2)
    assert found.running_since == at("11-02 08:00")
    assert not found.unexplained


def test_the_dial_of_a_run_out_adds_the_hours_it_proves() -> None:
    lines = [WOUND, *daily("11-03 08:00", "11-09 08:00", "error_s=0 going_mm={165*(d+1):.0f}")]
    # 165 mm a day: 1361 mm is 8.25 days, Tuesday 14:00
    found = going("longcase", [*lines, "11-12 08:00 dial=2:00 going_mm=1361 work=ran-out"], "11-12 09:00")
    shown = found.stops[0].shown_until
    assert shown is not None
    assert abs(shown - at("11-10 14:00")) < timedelta(minutes=2)
    assert found.days == pytest.approx(8.25, abs=0.01)
    assert found.stops[0].in_time


def test_a_weight_that_hangs_too_high_makes_a_late_found_run_out_a_stop() -> None:
    lines = [WOUND, *daily("11-03 08:00", "11-06 08:00", "error_s=0 going_mm={165*(d+1):.0f}")]
    # 1031 mm is 6.25 days, Sunday 14:00, though it was found after its rated time
    found = going("longcase", [*lines, "11-12 08:00 dial=2:00 going_mm=1031 work=ran-out"], "11-12 09:00")
    assert not found.stops[0].in_time


def test_a_second_restart_after_a_run_out_in_time_is_a_restart_like_any_other() -> None:
    lines = [*run_out("11-12 08:00"), "11-12 08:05 work=wound", "11-12 08:10 work=restarted", "11-13 08:10 error_s=0"]
    lines += ["11-13 09:00 work=restarted", "11-14 09:00 error_s=0"]
    assert going("longcase", lines, "11-14 10:00").days == 1


@pytest.mark.parametrize(
    ("turns", "stop"),
    [("12.5", True), ("12.6", False), ("14", False), ("", False)],
)
def test_a_spring_that_takes_few_turns_stopped_with_power_left(turns: str, stop: bool) -> None:  # noqa: FBT001
    """Under 0.9 of 14 turns (12.6) and a whole turn short."""
    told = f"amount={turns}" if turns else ""
    lines = [WOUND.replace("going_mm=0", ""), *daily("11-03 08:00", "11-10 08:00", "error_s=0")]
    lines += ["11-11 08:00 work=ran-out", f"11-11 08:05 work=wound {told}"]
    assert going("mantel", lines, "11-11 09:00", going_turns="14").stops[0].in_time is not stop


@pytest.mark.parametrize(("turns", "stop"), [("7.0", True), ("7.1", False)])
def test_a_whole_turn_short_of_eight(turns: str, stop: bool) -> None:  # noqa: FBT001
    """7.1 of 8 turns is under 0.9, but less than a turn short."""
    lines = ["11-02 08:00 error_s=0 work=wound", *daily("11-03 08:00", "11-10 08:00", "error_s=0")]
    lines += ["11-11 08:00 work=ran-out", f"11-11 08:05 work=wound amount={turns}"]
    assert going("mantel", lines, "11-11 09:00", going_turns="8").stops[0].in_time is not stop


def test_a_strike_that_runs_out_alone_stops_no_clock() -> None:
    lines = [WOUND, "11-05 08:00 error_s=0", "11-06 08:00 error_s=0", "11-06 08:01 work=ran-out train=strike"]
    found = going("longcase", lines, "11-06 09:00")
    assert not found.stops
    assert found.days == 4
    assert [stop.train for stop in found.side_stops] == [Train.STRIKE]
    assert found.run_down == (Train.STRIKE,)
    assert len(found.unexplained) == 1
    wound = going("longcase", [*lines, "11-06 08:05 work=wound train=strike"], "11-06 09:00")
    assert wound.run_down == ()


def test_a_going_train_that_runs_out_alone_stops_the_clock() -> None:
    lines = [WOUND, "11-05 08:00 error_s=0", "11-06 08:01 work=ran-out train=going"]
    assert going("longcase", lines, "11-06 09:00").hangs is not None


def test_a_hanging_told_twice_is_one_stop() -> None:
    lines = [WOUND, "11-05 08:00 error_s=0", "11-06 08:00 work=stopped", "11-07 08:00 work=stopped explained=yes"]
    found = going("longcase", lines, "11-07 09:00")
    assert len(found.stops) == 1
    assert found.stops[0].found_at == at("11-06 08:00")
    assert found.stops[0].explained


def test_facts_of_one_visit_keep_their_order() -> None:
    lines = ["11-02 08:00 error_s=0 work=wound", "11-11 08:00 work=ran-out", "11-11 08:00 work=wound"]
    lines += ["11-11 08:00 work=restarted", "11-11 08:00 error_s=0", "11-12 08:00 error_s=0"]
    found = going("longcase", lines, "11-12 09:00")
    assert found.hangs is None
    assert found.stops[0].shown_until == at("11-02 08:00")
    assert found.days == 1


def test_winds_of_one_train_leave_the_others_alone() -> None:
    lines = [WOUND, "11-05 08:00 error_s=0 work=wound train=going", "11-06 08:00 error_s=0 hour=8 blows=8"]
    found = going("longcase", lines, "11-06 09:00")
    going_winds, strike_winds = found.winds_of(Train.GOING), found.winds_of(Train.STRIKE)
    assert [wind.wound_at for wind in going_winds] == [at("11-02 08:00"), at("11-05 08:00")]
    assert [wind.wound_at for wind in strike_winds] == [at("11-02 08:00")]
    assert strike_winds[0].shown_until == at("11-06 08:00")
    assert going_winds[0].shown_until == at("11-05 08:00"), "read as found, before its wind"


def test_one_weight_for_both_trains_is_wound_for_both() -> None:
    lines = ["11-02 08:00 error_s=0 work=wound", "11-03 08:00 error_s=0 work=wound train=going"]
    assert len(going("longcase-30h", lines, "11-03 09:00").winds_of(Train.STRIKE)) == 2


def test_a_strike_is_shown_by_blows_or_by_a_fall_that_has_grown() -> None:
    lines = ["11-02 08:00 strike_mm=0 work=wound", "11-03 08:00 strike_mm=120", "11-04 08:00 strike_mm=122"]
    lines += ["11-05 08:00 strike_mm=240", "11-05 09:00 hour=9 blows=9", "11-05 10:00 hour=10 blows=0"]
    strike = going("longcase", lines, "11-05 11:00").winds_of(Train.STRIKE)[0]
    assert strike.shown == (at("11-05 08:00"), at("11-05 09:00"))


def test_settling() -> None:
    def until(kind: str, *lines: str) -> object:
        history = story(kind, [WOUND, *lines], now="11-12 09:00")
        return settling_until(history, going_of(history))

    assert until("longcase", "11-11 20:59 work=nut amount=1") is None
    assert until("longcase", "11-11 21:30 work=nut amount=1") == at("11-12 09:30")
    assert until("longcase", "11-11 10:00 work=beat-set") == at("11-12 10:00")
    assert until("torsion", "11-10 10:00 work=beat-set") == at("11-12 10:00")
    assert until("longcase", "11-11 10:00 work=restarted") == at("11-12 10:00")
    assert until("longcase", "11-11 10:00 work=ran-out", "11-11 10:10 work=restarted") is None
    assert until("longcase", "11-11 08:00 work=stopped", "11-11 10:10 work=restarted") == at("11-12 10:10")
    assert until("longcase", "11-11 10:00 work=hands-set amount=30") is None


def test_a_later_wind_never_takes_going_away() -> None:
    before = going("longcase", [WOUND, "11-08 08:00 error_s=0"], "11-08 09:00")
    after = going("longcase", [WOUND, "11-08 08:00 error_s=0", "11-08 08:30 work=wound"], "11-08 09:00")
    assert before.days == after.days == 6


def test_days_at_its_owners_are_not_counted_and_break_nothing() -> None:
    """Delivered on the 5th, back on the 20th: three days before, one after."""
    lines = [WOUND, "11-05 08:00 error_s=1", "11-20 08:00 error_s=0", "11-21 08:00 error_s=0"]
    steps = [("11-05 09:00", "delivered"), ("11-19 09:00", "reopened")]
    handed = [build(Handover, {"at": at(when), "tag": "T1", "what": what}) for when, what in steps]
    history = history_of(
        build(Clock, {"tag": "T1", "kind": "regulator"}),
        rows(lines),
        now=at("11-21 09:00"),
        zone=ZONE,
        handovers=[Record(f"h{n}", step, n, n, None, step.at) for n, step in enumerate(handed)],
    )
    found = going_of(history)
    assert found.days == 4
    assert found.running_since == at("11-02 08:00")
