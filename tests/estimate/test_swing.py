"""Which swings count, what is to spare, and whether the swing falls."""

from __future__ import annotations

import math
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from scipy.stats import t as student_t

from standwatch.estimate.answers import Swing
from standwatch.estimate.swing import student, swing_of
from standwatch.model.answers import NotYetKnown, Quantity
from tests.estimate.weights_on_test import START, Ledger
from tests.stories import at, daily, story


def swing(kind: str, *lines: str, now: str = "11-29 08:00", **columns: Any) -> Swing:
    return swing_of(story(kind, lines, now=now, **columns))


def known(answer: object) -> Quantity:
    assert isinstance(answer, Quantity), answer
    return answer


def why(answer: object) -> str:
    assert isinstance(answer, NotYetKnown), answer
    return answer.because


def test_nothing_read() -> None:
    found = swing("longcase", "11-02 08:00 error_s=1")
    assert why(found.amplitude) == why(found.spare_pct) == why(found.trend_pct_per_week) == "no swing read yet"
    assert why(swing("longcase", "11-02 08:00 amplitude_deg=2.5 work=levelled").amplitude) == (
        "no swing read since it was levelled"
    )


@pytest.mark.parametrize(
    ("kind", "degrees", "share"),
    [("longcase", 2.5, 0.03), ("mantel", 5, 0.06), ("carriage", 240, 0.04), ("torsion", 310, 0.03)],
)
def test_the_last_reading_with_its_doubt(kind: str, degrees: float, share: float) -> None:
    found = swing(kind, "11-02 08:00 amplitude_deg=1", f"11-03 08:00 amplitude_deg={degrees}")
    assert known(found.amplitude).estimate == degrees
    assert known(found.amplitude).doubt == pytest.approx(1.96 * share * degrees, rel=1e-3)
    assert [r.doubt_deg for r in found.readings] == pytest.approx([share, share * degrees])


def test_spare_is_over_its_own_unlocking_point() -> None:
    spare = known(swing("longcase", "11-02 08:00 amplitude_deg=2.5", unlock_deg=2.0).spare_pct)
    assert spare.estimate == pytest.approx(25)
    assert spare.doubt == pytest.approx(1.96 * 0.03 * 125, rel=1e-3)
    without = swing("longcase", "11-02 08:00 amplitude_deg=2.5").spare_pct
    assert why(without) == "no unlocking point: swing can't be judged; two minutes with the bob"
    assert why(swing("carriage", "11-02 08:00 amplitude_deg=240").spare_pct) == "a balance is judged in degrees"
    assert (
        why(swing("torsion", "11-02 08:00 amplitude_deg=300").spare_pct)
        == "a torsion pendulum is judged by its overswing"
    )


def times(found: Swing) -> list[str]:
    return [f"{reading.at:%d %H:%M}" for reading in found.readings]


@pytest.mark.parametrize("work", ["restarted", "beat-set"])
def test_the_wide_first_swing_does_not_count(work: str) -> None:
    found = swing(
        "longcase",
        f"11-02 08:00 work={work}",
        "11-02 08:15 amplitude_deg=3.5",
        "11-02 08:16 amplitude_deg=2.6",
        "11-03 08:00 amplitude_deg=2.5",
    )
    assert times(found) == ["02 08:16", "03 08:00"]


@pytest.mark.parametrize("work", ["beat-set", "levelled", "moved", "cased", "opened", "oiled note=x"])
def test_since_the_last_work_on_it(work: str) -> None:
    found = swing("longcase", f"11-02 08:00 amplitude_deg=2.4 work={work}", "11-02 08:20 amplitude_deg=2.5")
    assert times(found) == ["02 08:20"]


@pytest.mark.parametrize("work", ["nut amount=1", "hands-set", "wound", "stopped", "ran-out"])
def test_other_work_keeps_what_was_read(work: str) -> None:
    found = swing(
        "longcase", "11-01 08:00 amplitude_deg=2.4", f"11-02 08:00 work={work}", "11-02 08:20 amplitude_deg=2.5"
    )
    assert len(found.readings) == 2


def test_a_clock_that_hangs_has_no_swing() -> None:
    assert swing("longcase", "11-02 08:00 amplitude_deg=2.4 work=stopped").readings == ()


def test_a_bumped_rail_is_in_doubt_for_a_day() -> None:
    lines = [
        "11-02 08:00 amplitude_deg=2.4 work=bumped",
        "11-03 07:59 amplitude_deg=2.1",
        "11-03 08:00 amplitude_deg=2.5",
    ]
    assert times(swing("longcase", *lines, position="A1")) == ["02 08:00", "03 08:00"]


def test_hours_since_the_wind_as_found() -> None:
    found = swing("longcase", "11-02 08:00 amplitude_deg=2 work=wound", "11-09 08:00 amplitude_deg=2 work=wound")
    assert [r.wind_hours for r in found.readings] == [None, 168]


WEEKLY = [f"11-{day:02} 08:00 work=wound" for day in (2, 9, 16, 23)]


def test_three_readings_over_five_days_at_least() -> None:
    two = daily("11-02 08:00", "11-09 08:00", "amplitude_deg=2.5", step_days=7)
    assert "three swings" in why(swing("longcase", *two).trend_pct_per_week)
    close = daily("11-02 08:00", "11-06 08:00", "amplitude_deg=2.5")
    assert "five days" in why(swing("longcase", *close).trend_pct_per_week)
    assert known(swing("longcase", *close, "11-07 08:00 amplitude_deg=2.5").trend_pct_per_week)


def test_a_sure_fall_has_its_date() -> None:
    """2.8 degrees, 4 % less each week: 2.375 is 1.25 x 1.9, reached ln(2.8/2.375)/-ln(.96) = 4.03 weeks on."""
    fall = daily("11-02 08:30", "11-23 08:30", "amplitude_deg={2.8*.96**(d/7):.4f}", step_days=3.5)
    found = swing("longcase", *WEEKLY, *fall, unlock_deg=1.9)
    trend = known(found.trend_pct_per_week)
    assert trend.estimate == pytest.approx(-4, abs=0.05)
    assert trend.high < 0
    assert found.too_little_at is not None
    wanted = at("11-02 08:30") + timedelta(weeks=math.log(2.8 / 2.375) / -math.log(0.96))
    assert abs(found.too_little_at - wanted) < timedelta(days=1)
    assert swing("longcase", *WEEKLY, *fall).too_little_at is None  # no unlocking point
    faster = daily("11-02 08:30", "11-23 08:30", "amplitude_deg={240*.95**(d/7):.2f}", step_days=3.5)
    assert swing("carriage", *WEEKLY, *faster).too_little_at is not None
    assert swing("torsion", *faster).too_little_at is None


def test_a_small_or_doubtful_fall_has_none() -> None:
    small = daily("11-02 08:30", "11-23 08:30", "amplitude_deg={2.8*.99**(d/7):.4f}", step_days=3.5)
    assert swing("longcase", *WEEKLY, *small, unlock_deg=2.0).too_little_at is None
    doubtful = ["11-02 08:30 amplitude_deg=2.8", "11-06 08:30 amplitude_deg=2.9", "11-09 07:30 amplitude_deg=2.6"]
    found = swing("longcase", *WEEKLY, *doubtful, unlock_deg=2.0)
    assert known(found.trend_pct_per_week).high > 0
    assert found.too_little_at is None


def test_already_too_little_is_now() -> None:
    fall = daily("11-02 08:30", "11-23 08:30", "amplitude_deg={2.6*.95**(d/7):.4f}", step_days=3.5)
    assert swing("longcase", *WEEKLY, *fall, unlock_deg=2.0).too_little_at == at("11-23 08:30")


def test_what_the_wind_takes_is_no_trend() -> None:
    """A spring clock that loses a tenth over each week and has it back when wound, read on other days each week."""
    lines = [*WEEKLY]
    for week in range(4):
        for day in (1, 3, 5) if week % 2 else (2, 4, 6):
            degrees = 5 * math.exp(-0.10 * day / 7)
            lines.append(f"11-{2 + 7 * week + day:02} 08:00 amplitude_deg={degrees:.3f}")
    trend = known(swing("mantel", *lines, now="11-30 08:00").trend_pct_per_week)
    assert abs(trend.estimate) < 0.3
    one_wind = daily("11-03 08:00", "11-09 07:00", "amplitude_deg={5-.1*d:.2f}")
    assert "one wind alone" in why(swing("mantel", WEEKLY[0], *one_wind).trend_pct_per_week)


def test_one_wind_of_a_spring_tells_no_trend() -> None:
    """A lever balance that loses a quarter of its swing over the week has no other swing at equal phase."""
    week = ["11-02 07:00 work=wound", "11-03 08:00 amplitude_deg=260", "11-05 08:00 amplitude_deg=240"]
    found = swing("carriage", *week, "11-08 08:00 amplitude_deg=190")
    assert "one wind alone" in why(found.trend_pct_per_week)
    assert found.too_little_at is None
    after = ["11-09 07:00 work=wound", "11-10 08:00 amplitude_deg=240"]
    assert known(swing("carriage", *week, "11-08 08:00 amplitude_deg=190", *after).trend_pct_per_week).estimate < 0


def test_students_t_is_scipys() -> None:
    for freedom in range(1, 60):
        assert student(freedom) == pytest.approx(student_t.ppf(0.975, freedom), rel=1e-3)


@pytest.mark.parametrize(
    ("kind", "usual", "share", "lost"), [("longcase", 2.5, 0.03, 0.01), ("mantel", 5.0, 0.06, 0.2)]
)
def test_trend_intervals_hold(kind: str, usual: float, share: float, lost: float) -> None:
    """300 clocks that lose or gain up to 4 % a week, read twice a week. 95 % held: under 91 % come once in 700."""
    rng = np.random.default_rng(11)
    inside = 0
    for _ in range(300):
        slope = rng.uniform(-0.04, 0.04)
        ledger = Ledger(kind=kind)
        for week in range(4):
            wound = START + timedelta(weeks=week)
            ledger.row(wound, work="wound")
            for day in (rng.uniform(0.2, 3), rng.uniform(3, 6.8)):
                real = usual * math.exp(slope * (week + day / 7) - lost * day / 8)
                ledger.row(wound + timedelta(days=day), amplitude_deg=real * (1 + rng.normal(0, share)))
        trend = known(swing_of(ledger.history(START + timedelta(weeks=4))).trend_pct_per_week)
        inside += trend.low <= 100 * math.expm1(slope) <= trend.high
    assert 0.91 <= inside / 300 <= 0.995
