"""How each train counts its days."""

from __future__ import annotations

from datetime import timedelta

import pytest

from standwatch.estimate.trainclock import TrainClock, train_clock
from standwatch.model.words import Train
from tests.stories import at, story

DAY = timedelta(days=1)


def clock(kind: str, train: Train, ledger: str = "", now: str = "11-02 08:00", **columns: object) -> TrainClock:
    return train_clock(story(kind, ledger, now=now, **columns), train)  # type: ignore[arg-type]


def test_going_counts_time() -> None:
    assert clock("longcase", Train.GOING).days(at("11-02 08:00"), at("11-05 20:00")) == pytest.approx(3.5)


def test_strike_counts_blows() -> None:
    """Beckett, A Rudimentary Treatise on Clocks, 8th ed.: 78 blows in twelve hours, 90 with half-hours."""
    plain = clock("longcase", Train.STRIKE)
    halves = clock("longcase", Train.STRIKE, half_hour="yes")
    for begin, end, blows, with_halves in [
        ("11-02 08:10", "11-02 20:10", 78, 90),
        ("11-02 11:50", "11-02 12:10", 12, 12),
        ("11-02 12:10", "11-02 13:10", 1, 2),
        ("11-02 23:59", "11-03 00:01", 12, 12),
        ("11-02 12:20", "11-02 12:40", 0, 1),
        ("11-02 05:59", "11-02 09:01", 6 + 7 + 8 + 9, 6 + 7 + 8 + 9 + 3),
    ]:
        assert plain.days(at(begin), at(end)) * 156 == pytest.approx(blows, abs=1e-6)
        assert halves.days(at(begin), at(end)) * 180 == pytest.approx(with_halves, abs=1e-6)


def test_chime_counts_notes() -> None:
    """Beckett p. 174-176: 4, 8, 12 and 16 notes, 40 an hour, 960 a day."""
    always = clock("floor-chiming", Train.CHIME)
    assert always.days(at("11-02 08:10"), at("11-02 09:10")) * 960 == pytest.approx(40)
    assert always.days(at("11-02 08:10"), at("11-02 08:20")) * 960 == pytest.approx(4)
    assert always.days(at("11-02 08:10"), at("11-03 08:10")) == pytest.approx(1)
    night = clock("floor-chiming", Train.CHIME, night_silence="22:00-07:00")
    assert night.days(at("11-02 22:10"), at("11-03 06:50")) == pytest.approx(0, abs=1e-9)
    assert night.days(at("11-02 08:10"), at("11-03 08:10")) == pytest.approx(night.a_day)
    assert night.a_day == pytest.approx(15 / 24)


@pytest.mark.parametrize(
    ("kind", "train"),
    [
        ("longcase", Train.GOING),
        ("longcase", Train.STRIKE),
        ("floor-chiming", Train.CHIME),
        ("longcase-30h", Train.GOING),
    ],
)
@pytest.mark.parametrize("days", [0.3, 1.0, 4.567, 9.0])
def test_after_is_when_so_much_is_counted(kind: str, train: Train, days: float) -> None:
    counts = clock(kind, train, night_silence="22:00-07:00")
    begin = at("11-02 08:10")
    end = counts.after(begin, days)
    assert counts.days(begin, end) >= days - 1e-6
    assert counts.days(begin, end - timedelta(minutes=1)) < days


def test_an_endless_chain_goes_by_both() -> None:
    counts = clock("longcase-30h", Train.STRIKE)
    assert counts.days(at("11-02 08:10"), at("11-03 08:10")) == pytest.approx(1)
    assert counts.days(at("11-02 00:10"), at("11-02 06:10")) == pytest.approx(0.55 / 4 + 0.45 * 21 / 156)


def test_hours_shifted_and_summer_time_move_its_hours() -> None:
    """Set five hours forward, it strikes twelve at seven in the morning."""
    shifted = clock("longcase", Train.STRIKE, "11-01 08:10 work=hours-shifted amount=5")
    assert shifted.days(at("11-02 06:50"), at("11-02 07:10")) * 156 == pytest.approx(12)
    kept = clock("longcase", Train.STRIKE, "10-20 08:10 error_s=1")  # still shows summer time in November
    assert kept.days(at("11-02 10:50"), at("11-02 11:10")) * 156 == pytest.approx(12)
    told = clock("longcase", Train.STRIKE, ["10-20 08:10 error_s=1", "10-26 08:10 work=summer-time"])  # type: ignore[arg-type]
    assert told.days(at("11-02 11:50"), at("11-02 12:10")) * 156 == pytest.approx(12)
    assert told.days(at("10-26 08:00"), at("10-26 08:10")) == 0  # the dial goes back an hour
