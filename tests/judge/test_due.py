"""What is due until a time."""

from __future__ import annotations

from standwatch.judge.due import Due, due
from tests.judge.judged import assessed, rounds, when
from tests.stories import daily

NOW = "11-20 08:20"
READ = daily("11-02 08:05", "11-20 08:05", "error_s={0.1*d:.1f}")
WOUND = ["11-16 08:10 work=wound", *daily("11-17 08:06", "11-20 08:06", "going_mm={150*(d+1):.0f}")]


def found(kind: str, lines: list[str], until: str, *, now: str = NOW, **more: object) -> list[Due]:
    return list(due([assessed(kind, lines, now=now, **more)], rounds(), when(until)))


def test_a_wind_is_due_at_its_run_down_with_its_interval() -> None:
    # 1275 mm at 150 a day: 8.5 days after the wind, Tuesday the 24th in the evening
    (wind,) = found("regulator", [*READ, *WOUND], "11-25 09:00")
    assert (wind.tag, wind.what) == ("T1", "wind")
    assert wind.low < wind.at < wind.high
    assert wind.at.date() == when("11-24 08:00").date()
    assert found("regulator", [*READ, *WOUND], "11-22 09:00") == []


def test_what_has_run_out_is_due_since_it_was_found() -> None:
    (wind,) = found("regulator", [*READ[:10], "11-02 08:10 work=wound", "11-12 08:10 work=ran-out"], "11-12 08:30",
                    now="11-12 08:20")  # fmt: skip
    assert (wind.what, wind.at) == ("wind", when("11-12 08:10"))


def test_a_stopped_clock_is_explained_not_wound() -> None:
    assert found("regulator", [*READ, *WOUND, "11-20 08:10 work=stopped"], "12-20 09:00") == []


def test_an_hour_still_to_be_heard_is_due_when_the_clock_will_strike_it() -> None:
    hours = [h for h in range(1, 13) if h != 10]
    heard = [f"11-03 {8 + n:02}:00 hour={h} blows={h}" for n, h in enumerate(hours)]
    fast = daily("11-02 08:05", "11-20 08:05", "error_s=120")
    listen = [d for d in found("longcase", [*fast, *heard], "11-20 18:00") if d.what == "listen"]
    assert len(listen) == 1
    assert abs((listen[0].at - when("11-20 09:58")).total_seconds()) < 5, "two minutes fast"
    shifted = [*fast, *heard, "11-20 08:10 work=hours-shifted amount=1"]
    listen = [d for d in found("longcase", shifted, "11-20 18:00") if d.what == "listen"]
    assert abs((listen[0].at - when("11-20 08:58")).total_seconds()) < 5, "it shows ten at nine"


def test_an_hour_that_sounds_while_the_shop_is_closed_is_not_due() -> None:
    hours = [h for h in range(1, 13) if h != 7]
    heard = [f"11-03 {8 + n:02}:00 hour={h} blows={h}" for n, h in enumerate(hours)]
    assert [d.what for d in found("longcase", [*READ, *heard], "12-20 18:00")] == []


def test_a_slip_is_listened_to_at_the_next_quarter() -> None:
    ledger = [*READ, "11-19 10:15 chime=out-of-step quarter=1"]
    listen = [d for d in found("floor-chiming", ledger, "11-20 18:00") if d.what == "listen"]
    assert [d.at for d in listen] == [when("11-20 08:30")]


def test_settled_and_suspect_readings_want_another_look() -> None:
    nut = [*READ, "11-20 08:10 work=nut amount=0.1"]
    settled = [("recheck", when("11-23 08:00"))]  # since Friday 20:10: the round of Monday sees it
    assert [(d.what, d.at) for d in found("regulator", nut, "11-23 08:00") if d.what == "recheck"] == settled
    assert found("regulator", nut, "11-23 07:59") == []
    beat = [*READ[:-1], "11-19 09:00 work=beat-set"]
    again = [d for d in found("regulator", beat, "11-20 18:00", now="11-19 09:10") if d.what == "recheck"]
    assert [d.at for d in again] == [when("11-20 08:00")], "an hour short of a day will do"
    odd = [*READ, "11-20 08:12 error_s=300"]
    assert [(d.what, d.at) for d in found("regulator", odd, "11-20 09:00")] == [("recheck", when(NOW))]


def test_calls_by_the_shops_days() -> None:
    steps = ["11-02 09:00 released", "11-03 09:00 delivered"]
    told = assessed("longcase", READ[:1], now="11-04 09:00", handed=steps)
    on_days = due([told], rounds(), when("12-01 09:00"), (9, 14))
    assert [(d.what, d.at) for d in on_days] == [("call", when("11-12 09:00")), ("call", when("11-17 09:00"))]
    assert due([told], rounds(), when("11-17 08:59")) == ()
    assert [d.at for d in due([told], rounds(), when("11-17 09:00"))] == [when("11-17 09:00")]


def test_released_and_in_the_shop_it_is_only_kept_wound() -> None:
    ledger = [*READ, *WOUND, "11-20 08:12 error_s=300"]
    kinds = {d.what for d in found("regulator", ledger, "12-20 09:00", handed=["11-20 08:15 released"])}
    assert kinds == {"wind"}


def test_soonest_first() -> None:
    clocks = [assessed("regulator", [*READ, *WOUND], now=NOW, tag=tag) for tag in ("b", "a")]
    clocks.append(assessed("regulator", [*READ, "11-20 08:10 work=nut"], now=NOW, tag="c"))
    assert [d.tag for d in due(clocks, rounds(), when("12-01 09:00"))] == ["c", "a", "b"]
