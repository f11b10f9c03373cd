"""Stories of winds, falls, stops and run-outs, and what is said of each train."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standwatch.estimate.answers import TrainRun
from standwatch.estimate.history import History
from standwatch.estimate.power import power_of
from standwatch.model.answers import Moment, NotYetKnown, Quantity
from standwatch.model.words import Train
from tests.stories import at, daily, story

LONGCASE: dict[str, Any] = {"going_usable_mm": 1400, "strike_usable_mm": 1400}
FALLS = daily("11-02 08:10", "11-06 08:10", "error_s=1 going_mm={165*d:.0f}")


def run(history: History, train: Train = Train.GOING) -> TrainRun:
    return next(r for r in power_of(history).trains if r.train is train)


def out(history: History, train: Train = Train.GOING) -> Moment:
    moment = run(history, train).runs_out
    assert isinstance(moment, Moment), moment
    assert moment.low <= moment.at <= moment.high
    return moment


def why(history: History, train: Train = Train.GOING) -> str:
    answer = run(history, train).runs_out
    assert isinstance(answer, NotYetKnown), answer
    return answer.because


def fall(history: History, train: Train = Train.GOING) -> Quantity:
    answer = run(history, train).fall_mm
    assert isinstance(answer, Quantity), answer
    assert answer.low <= answer.estimate <= answer.high
    return answer


def longcase(*lines: str, now: str, **columns: Any) -> History:
    return story("longcase", lines, now=now, **{**LONGCASE, **columns})


def about(moment: datetime, wanted: datetime, hours: float) -> None:
    assert abs(moment - wanted) <= timedelta(hours=hours), f"{moment} is not {wanted}"


def test_a_reference_has_no_train_to_wind() -> None:
    assert power_of(story("reference", "11-02 08:00 error_s=1 error_u_s=0.1", now="11-03 08:00")).trains == ()


def test_without_wind_or_fall_nothing_is_known() -> None:
    history = longcase("11-02 08:00 error_s=1", now="11-03 08:00")
    assert why(history) == "no wind and no fall told yet"
    assert isinstance(run(history).fall_mm, NotYetKnown)
    assert isinstance(run(history).speed_mm_per_day, NotYetKnown)


def test_a_fall_alone_places_the_weight() -> None:
    history = longcase("11-02 08:00 error_s=1 going_mm=740", now="11-02 08:00")
    assert abs(fall(history).estimate - 740) < 2
    about(out(history).at, at("11-06 08:00"), 2)  # 660 mm at 165 a day


def test_a_wind_alone_gives_a_wide_run() -> None:
    """1400 mm at 165 a day is 8.5 days; the kind's speed is known to a fifth."""
    moment = out(longcase("11-02 08:00 work=wound", now="11-02 08:00"))
    about(moment.at, at("11-10 19:00"), 6)
    assert timedelta(days=4) < moment.high - moment.low < timedelta(days=12)


def test_falls_narrow_the_run_day_by_day() -> None:
    widths = []
    for last in (3, 4, 6):
        lines = ["11-02 08:00 work=wound", *daily("11-03 08:10", f"11-0{last} 08:10", "going_mm={165+165*d:.0f}")]
        moment = out(longcase(*lines, now=f"11-0{last} 08:10"))
        widths.append(moment.high - moment.low)
    assert widths[0] > 1.5 * widths[1] > 2 * widths[2]


def test_the_speed_is_learned_over_winds_and_in_words_until_then() -> None:
    lines = ["11-02 08:00 work=wound", "11-06 08:00 going_mm=720", "11-06 08:05 work=wound"]
    speed = run(longcase(*lines, now="11-06 08:05")).speed_mm_per_day
    assert isinstance(speed, Quantity)
    assert speed.low < 178 < speed.high
    assert speed.doubt < 12
    about(out(longcase(*lines, now="11-06 08:05")).at, at("11-06 08:05") + timedelta(days=1394 / 178), 12)


def test_a_wind_is_after_the_reading_of_its_row() -> None:
    history = longcase("11-02 08:00 work=wound", "11-06 08:00 going_mm=660 work=wound", now="11-06 08:00")
    assert fall(history).estimate < 12


def test_raised_by_an_amount() -> None:
    history = longcase("11-02 08:00 going_mm=1000", "11-02 08:05 work=wound amount=300", now="11-02 08:05")
    assert abs(fall(history).estimate - 700) < 3


def test_winding_strike_alone_leaves_going() -> None:
    lines = ["11-02 08:00 work=wound", "11-05 08:00 going_mm=495 strike_mm=500"]
    before = longcase(*lines, now="11-05 08:10")
    after = longcase(*lines, "11-05 08:05 work=wound train=strike", now="11-05 08:10")
    assert run(before) == run(after)
    assert out(after, Train.STRIKE).low > out(before, Train.STRIKE).high


def test_an_endless_chain_has_one_weight() -> None:
    lines = ["11-02 08:00 work=wound", "11-02 20:00 going_mm=700", "11-02 20:05 work=wound train=strike"]
    history = story("longcase-30h", lines, now="11-02 20:05")
    assert fall(history).estimate < 15
    assert out(history).low > at("11-03 20:00")


def test_while_it_hangs_the_weights_stand() -> None:
    lines = ["11-02 08:00 work=wound", *FALLS[1:], "11-06 08:20 work=stopped dial=8:15 going_mm=662"]
    hung = longcase(*lines, now="11-09 08:00")
    assert why(hung) == "stopped, and not restarted since"
    assert abs(fall(hung).estimate - 662) < 8
    again = longcase(*lines, "11-09 08:00 work=restarted", now="11-09 08:00")
    about(out(again).at, at("11-09 08:00") + timedelta(days=738 / 165), 8)


def test_found_going_again_it_runs() -> None:
    lines = ["11-02 08:00 work=wound", *FALLS[1:], "11-06 08:20 work=stopped", "11-07 08:00 error_s=5"]
    assert out(longcase(*lines, now="11-07 08:00")).at > at("11-10 08:00")


def test_after_a_stop_nobody_saw_the_doubt_is_wider() -> None:
    lines = ["11-02 08:00 work=wound", *FALLS[1:]]
    seen = [*lines, "11-06 08:20 work=stopped", "11-06 08:30 work=restarted"]
    unseen = [*lines, "11-08 08:20 work=stopped", "11-08 08:30 work=restarted"]
    known = out(longcase(*seen, now="11-06 08:30"))
    doubtful = out(longcase(*unseen, now="11-08 08:30"))
    assert doubtful.high - doubtful.low > known.high - known.low + timedelta(days=1)


def test_run_out_it_hangs_at_its_floor_until_wound() -> None:
    lines = ["11-02 08:00 work=wound", *FALLS[1:], "11-11 08:00 work=ran-out train=going"]
    history = longcase(*lines, now="11-12 08:00")
    assert why(history) == "ran out, and not wound since"
    assert why(history, Train.STRIKE) == "the clock ran out and hangs"
    assert abs(fall(history).estimate - 1400) < 10
    wound = longcase(*lines, "11-12 08:00 work=wound", "11-12 08:05 work=restarted", now="11-12 08:05")
    about(out(wound).at, at("11-12 08:05") + timedelta(days=1394 / 165), 10)


def test_run_out_early_it_hangs_where_it_was_read() -> None:
    history = longcase("11-02 08:00 work=wound", "11-05 08:00 going_mm=480 work=ran-out train=going", now="11-05 09:00")
    assert abs(fall(history).estimate - 480) < 10


def test_a_move_goes_on_and_an_opening_loses_the_wind() -> None:
    lines = ["11-02 08:00 work=wound", *FALLS[1:]]
    before = out(longcase(*lines, now="11-06 09:00"))
    moved = out(longcase(*lines, "11-06 09:00 work=moved note=B2", now="11-06 09:00"))
    about(moved.at, before.at, 0.2)
    opened = longcase(*lines, "11-06 09:00 work=oiled", now="11-06 09:00")
    assert why(opened) == "no wind and no fall told since it was opened"
    assert run(opened).wound_at is None
    again = longcase(*lines, "11-06 09:00 work=oiled", "11-06 10:00 going_mm=300", now="11-06 10:00")
    assert abs(fall(again).estimate - 300) < 5


def test_the_customers_case_is_the_floor() -> None:
    lines = ["11-02 08:00 work=wound", *FALLS[1:]]
    assert run(longcase(*lines, now="11-06 09:00", case_fall_mm=1000)).floor_mm == 1000
    shorter = out(longcase(*lines, now="11-06 09:00", case_fall_mm=1000))
    about(shorter.at, at("11-02 08:00") + timedelta(days=1000 / 165), 4)


def test_past_the_case_and_going_its_own_floor_counts() -> None:
    lines = ["11-02 08:00 work=wound", *daily("11-03 08:10", "11-09 08:10", "error_s=1 going_mm={165+165*d:.0f}")]
    about(
        out(longcase(*lines, now="11-09 09:00", case_fall_mm=1000)).at,
        at("11-02 08:00") + timedelta(days=1400 / 165),
        4,
    )


def test_past_its_floor_and_going_the_floor_is_asked_for() -> None:
    lines = ["11-02 08:00 work=wound", *daily("11-03 08:10", "11-09 08:10", "error_s=1 going_mm={165+165*d:.0f}")]
    assert "measure" in why(longcase(*lines, now="11-09 09:00", going_usable_mm=1000))


def test_seen_going_after_its_time_it_is_not_said_to_have_run_out() -> None:
    """By the kind's speed it runs out on the tenth or so; seen on the twelfth, it runs out after that."""
    lines = ["11-02 08:00 work=wound", "11-12 08:00 work=seen-going"]
    assert out(longcase(*lines, now="11-12 08:00")).low >= at("11-12 08:00")


def test_unseen_after_its_time_it_is_said_when_it_ran_out() -> None:
    assert out(longcase("11-02 08:00 work=wound", *FALLS[1:], now="11-20 08:00")).high < at("11-12 08:00")


@pytest.mark.parametrize("misread", [0, 60, 250, 480, 900])
def test_one_misread_fall_wrecks_nothing(misread: int) -> None:
    sound = ["11-02 08:00 work=wound", *FALLS[1:4], "11-07 08:00 going_mm=825", "11-08 08:00 going_mm=990"]
    wrong = [*sound[:3], f"11-04 18:00 going_mm={misread}", *sound[3:]]
    good, bad = out(longcase(*sound, now="11-08 08:00")), out(longcase(*wrong, now="11-08 08:00"))
    about(bad.at, good.at, 2)
    assert bad.high - bad.low < 2 * (good.high - good.low)


def test_a_wind_that_nobody_told_is_seen_by_the_falls() -> None:
    lines = ["11-02 08:00 work=wound", *FALLS[1:], "11-07 08:00 going_mm=120", "11-08 08:00 going_mm=285"]
    about(out(longcase(*lines, now="11-08 08:00")).at, at("11-08 08:00") + timedelta(days=1115 / 165), 10)


def test_a_train_that_stands_still_does_not_break_the_forecast() -> None:
    lines = [
        "11-02 08:00 work=wound",
        *daily("11-03 08:10", "11-09 08:10", "error_s=1 going_mm={165+165*d:.0f} strike_mm=5"),
    ]
    stuck = run(longcase(*lines, now="11-09 09:00"), Train.STRIKE)
    assert isinstance(stuck.runs_out, Moment)
    assert stuck.runs_out.low > at("11-14 08:00")


def test_weights_where_the_kind_has_springs() -> None:
    """Nothing is known of their fall but what is told: down 1000 mm in 8 and a half days."""
    untold = story("mantel", "11-02 08:00 work=wound", now="11-02 08:00", drive="weight")
    assert why(untold) == "how far its weight can fall was not told"
    told = story("mantel", "11-02 08:00 work=wound", now="11-02 08:00", drive="weight", going_usable_mm=1000)
    about(out(told).at, at("11-02 08:00") + timedelta(days=8.5), 6)


def test_strike_runs_out_on_an_hour() -> None:
    lines = ["11-02 08:10 work=wound", *daily("11-03 08:10", "11-06 08:10", "strike_mm={165+165*d:.0f}")]
    moment = out(longcase(*lines, now="11-06 08:10"), Train.STRIKE)
    assert {m.minute for m in (moment.low, moment.at, moment.high)} == {0}


def test_a_silent_night_spares_the_chime() -> None:
    lines = ["11-02 08:10 work=wound"]
    by_day = story("floor-chiming", lines, now="11-02 08:10", night_silence="22:00-07:00")
    always = story("floor-chiming", lines, now="11-02 08:10")
    begun = at("11-02 08:10")
    ratio = (out(by_day, Train.CHIME).at - begun) / (out(always, Train.CHIME).at - begun)
    assert ratio == pytest.approx(24 / 15, rel=0.05)
    assert 7 <= out(by_day, Train.CHIME).at.hour <= 22


def test_set_to_silent_the_chime_weight_hangs() -> None:
    lines = ["11-02 08:10 work=wound", "11-04 08:10 work=tune amount=0"]
    history = story("floor-chiming", lines, now="11-09 08:10", chime_usable_mm=1300)
    assert why(history, Train.CHIME) == "set to silent, its weight hangs"
    again = story("floor-chiming", [*lines, "11-09 08:10 work=tune amount=1"], now="11-09 08:10", chime_usable_mm=1300)
    assert out(again, Train.CHIME).at > at("11-16 00:00")


@settings(max_examples=60, deadline=None)
@given(
    falls=st.lists(st.integers(0, 300), max_size=4),
    last=st.floats(0.0, 3.0),
    raised=st.one_of(st.none(), st.integers(1, 1200)),
    winds=st.integers(1, 3),
)
def test_a_later_wind_never_shortens_the_run(falls: list[int], last: float, raised: int | None, winds: int) -> None:
    lines = ["11-02 08:00 work=wound"]
    lines += [f"11-0{3 + i} 08:00 error_s=1 going_mm={sum(falls[: i + 1])}" for i in range(len(falls))]
    now = datetime(2026, 11, 2 + len(falls), 8, 1) + timedelta(days=last)  # noqa: DTZ001
    told = "" if raised is None else f" amount={raised}"
    before = run(longcase(*lines, now=f"{now:%m-%d %H:%M}")).runs_out
    for _ in range(winds):
        lines.append(f"{now:%m-%d %H:%M} work=wound{told}")
        after = run(longcase(*lines, now=f"{now:%m-%d %H:%M}")).runs_out
        if isinstance(before, Moment):
            assert isinstance(after, Moment)
            second = timedelta(seconds=1)
            assert after.at >= before.at - second
            assert after.low >= before.low - second
            assert after.high >= before.high - second
        before = after


def test_a_fact_undone_gives_yesterdays_answer_back() -> None:
    lines = ["11-02 08:00 work=wound", *FALLS[1:]]
    before = power_of(longcase(*lines, now="11-06 09:00"))
    power_of(longcase(*lines, "11-06 08:30 going_mm=100 work=stopped", now="11-06 09:00"))
    assert power_of(longcase(*lines, now="11-06 09:00")) == before


def test_one_weight_hangs_alike_for_both_trains() -> None:
    lines = ["11-02 08:20 work=wound"]
    for day in (3, 4, 5):
        lines += [f"11-{day:02d} 08:15 error_s=1 going_mm=1100", f"11-{day:02d} 08:20 work=wound"]
    going, strike = power_of(story("longcase-30h", lines, now="11-05 09:00")).trains
    assert (strike.train, strike.runs_out, strike.fall_mm) == (Train.STRIKE, going.runs_out, going.fall_mm)
    assert isinstance(going.runs_out, Moment)
