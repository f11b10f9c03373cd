"""Trains, blows and quarters, against E. Beckett, Clocks, Watches and Bells, 8th ed. 1903 (the arithmetic is exact)."""

from datetime import time

import pytest

from standwatch.horology import wheelwork


@pytest.mark.parametrize(
    ("wheels", "pinions", "escape", "beats"),
    [
        ((64, 60), (8, 8), 30, 3600),
        ((96, 80), (8, 8), 30, 7200),
        ((84, 80), (8, 7), 30, 7200),
    ],
)
def test_trains_to_beats(wheels: tuple[int, ...], pinions: tuple[int, ...], escape: int, beats: float) -> None:
    assert wheelwork.beats_per_hour(wheels, pinions, escape) == beats


@pytest.mark.parametrize(("wheel", "pinion"), [(96, 8), (120, 10)])
def test_a_great_wheel_turns_in_twelve_hours(wheel: int, pinion: int) -> None:
    assert wheelwork.duration_h(1, [wheel], [pinion]) == 12
    assert wheelwork.duration_h(16, [wheel], [pinion]) == 192  # the eight-day clock's sixteen turns


def test_the_eight_day_train_from_its_great_wheel() -> None:
    # 96, 64 and 60 on pinions of 8; the great wheel turns once in twelve hours of 3600 beats
    assert wheelwork.beats_per_hour([96, 64, 60], [8, 8, 8], 30) / wheelwork.duration_h(1, [96], [8]) == 3600


def test_wheels_and_pinions_pair() -> None:
    with pytest.raises(ValueError, match="every wheel"):
        wheelwork.beats_per_hour([96, 64], [8], 30)


def test_blows_a_day() -> None:
    assert wheelwork.blows_per_day() == 156 == 2 * sum(range(1, 13))
    assert wheelwork.blows_per_day(half_hours=True) == 180 == 2 * 90


def test_westminster_quarters() -> None:  # p. 174-176, 202-204
    assert wheelwork.QUARTERS == {
        1: ("1236",),
        2: ("3126", "3213"),
        3: ("1326", "6213", "1236"),
        4: ("3126", "3213", "1326", "6213"),
    }
    assert [wheelwork.quarter_notes(q) for q in (1, 2, 3, 4)] == [4, 8, 12, 16]
    assert wheelwork.notes_per_day() == 960


@pytest.mark.parametrize(
    ("silence", "notes"),
    [("22:00-07:00", 600), ("00:00-12:00", 480), ("23:30-00:15", 960 - 8 - 12 - 16), ("7:00-7:00", 960)],
)  # 40 notes an hour; the hour at which the silence ends is heard
def test_a_silent_night_saves_its_notes(silence: str, notes: int) -> None:
    assert wheelwork.notes_per_day(wheelwork.parse_silence(silence)) == notes


def test_silence_runs_over_midnight() -> None:
    night = wheelwork.parse_silence("22:00-07:00")
    heard = [wheelwork.is_silent(night, time(h, m)) for h, m in ((21, 45), (22, 0), (3, 30), (6, 45), (7, 0))]
    assert heard == [False, True, True, True, False]
