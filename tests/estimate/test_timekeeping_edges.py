"""Hard input: never nan, never a negative variance, never an exception; and what must hold of any clock."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standwatch.estimate.history import History, history_of
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record, build
from standwatch.model.words import KindName, Work
from tests.stories import ZONE, at

START = at("01-05 08:00")
DAY = timedelta(days=1)
Cells = dict[str, object]


def clock_of(kind: str, rows: list[Cells], *, now: datetime | None = None, swap: bool = False) -> History:
    """The History of rows with `at` in days from the start (or a datetime)."""
    records = []
    for place, cells in enumerate(rows):
        when = cells["at"]
        moment = when if isinstance(when, datetime) else START + DAY * float(str(when))
        row = build(CheckIn, {**cells, "at": moment, "tag": "T1"})
        records.append(Record(f"r{place}", row, place, place, None, moment))
    last = max(record.body.at for record in records)
    if swap:
        records.reverse()
    return history_of(build(Clock, {"tag": "T1", "kind": kind}), records, now=now or last, zone=ZONE)


def answers(history: History) -> list[Answer]:
    """Everything that is asked of a clock."""
    keeping = timekeeping_of(history)
    now = history.now
    times = [now - 30 * DAY, now - DAY / 2, now, now + DAY, now + 400 * DAY]
    said: list[Answer] = [keeping.rate, keeping.drift, keeping.day_range()]
    said += [keeping.error_at(t) for t in times] + [keeping.reading_at(t) for t in times]
    said += [rate for _, rate in keeping.daily_rates()]
    said += [Quantity(p.error_s, p.low, p.high) for p in keeping.trace(now - 20 * DAY, now + 10 * DAY, 30)]
    for chance in (keeping.rate_within(5.0), keeping.day_range_within(8.0)):
        assert isinstance(chance, NotYetKnown) or 0 <= chance <= 1
    for suspect in keeping.suspects:
        assert math.isfinite(suspect.expected_s)
        assert 0 <= suspect.odds <= 1 + 1e-9
    return said


def sound(history: History) -> None:
    """Every answer is finite with an interval round it, or says why it is none."""
    for answer in answers(history):
        if isinstance(answer, NotYetKnown):
            assert answer.because
        else:
            assert all(math.isfinite(value) for value in (answer.low, answer.estimate, answer.high))
            assert answer.low <= answer.estimate <= answer.high
            assert answer.high > answer.low


def test_a_regulator_read_to_a_tenth() -> None:
    sound(clock_of("regulator", [{"at": d, "error_s": 0.3 * d, "error_u_s": 0.1} for d in range(20)]))


def test_readings_that_are_all_equal() -> None:
    history = clock_of("mantel", [{"at": d, "error_s": 7.0} for d in range(20)])
    sound(history)
    rate = timekeeping_of(history).rate
    assert isinstance(rate, Quantity)
    assert rate.low < 0 < rate.high


@pytest.mark.parametrize("days", [8, 12, 16, 20])
def test_every_other_reading_off_is_a_restless_clock_not_badly_read(days: int) -> None:
    """Twenty seconds back one day and forth the next: neither half of the readings may be called wrong or set."""
    found = timekeeping_of(clock_of("longcase", [{"at": day, "error_s": -20 * (day % 2)} for day in range(days)]))
    assert len(found.suspects) <= days / 4
    assert not found.suspected_work
    day_range = found.day_range()
    assert isinstance(day_range, Quantity)
    assert day_range.low > 30


@pytest.mark.parametrize("kind", list(KindName))
def test_three_readings_of_every_kind(kind: KindName) -> None:
    sound(clock_of(kind, [{"at": d, "error_s": float(d)} for d in range(3)]))


def test_errors_of_six_hours() -> None:
    sound(clock_of("cuckoo", [{"at": d, "error_s": 21600.0 * (-1) ** d} for d in range(12)]))
    sound(clock_of("longcase", [{"at": d, "error_s": -21600.0} for d in range(6)]))


def test_two_readings_of_one_minute_and_of_one_instant() -> None:
    rows: list[Cells] = [{"at": d, "error_s": 2.0 * d} for d in range(6)]
    sound(clock_of("longcase", [*rows, {"at": 5.0001, "error_s": 10.0}, {"at": 5.0001, "error_s": 11.0}]))
    sound(clock_of("longcase", [{"at": 0, "error_s": 1.0}, {"at": 0, "error_s": 1.0}]))
    sound(clock_of("longcase", [{"at": 0, "error_s": 1.0}, {"at": 0, "error_s": 9000.0}]))


def test_a_reading_a_year_later() -> None:
    rows: list[Cells] = [{"at": d, "error_s": 2.0 * d} for d in range(6)]
    sound(clock_of("longcase", [*rows, {"at": 370, "error_s": 700.0}]))


def test_doubts_from_a_nanosecond_to_six_hours() -> None:
    rows: list[Cells] = [{"at": d, "error_s": 2.0 * d, "error_u_s": u} for d, u in enumerate((1e-9, 21600, 1e-12, 0.5))]
    sound(clock_of("reference", rows))
    sound(clock_of("longcase", rows))


@pytest.mark.parametrize("work", list(Work))
@pytest.mark.parametrize("kind", ["longcase", "mantel", "carriage", "torsion", "reference"])
def test_every_work_told_or_untold_amid_readings(work: Work, kind: str) -> None:
    told: Cells = {"amount": 1, "note": "AB"}
    rows: list[Cells] = [{"at": d, "error_s": 2.0 * d} for d in range(14)]
    for cells in (told, {"note": "AB"}):
        sound(clock_of(kind, [*rows[:7], {"at": 6.5, "work": work, **cells}, *rows[7:]], now=START + 15 * DAY))
        sound(clock_of(kind, [*rows, {"at": 13, "work": work, **cells}]))
        sound(clock_of(kind, [{"at": 0, "work": work, **cells}]))


steps = st.lists(st.floats(-15, 15), min_size=2, max_size=14)
gaps = st.lists(st.floats(0.02, 4), min_size=14, max_size=14)
kinds = st.sampled_from(["regulator", "mantel", "cuckoo", "carriage", "torsion"])


def read(
    kind: str, moves: list[float], waits: list[float], *, scale: float = 1.0, later: timedelta = DAY * 0
) -> History:
    rows: list[Cells] = []
    when, error = 0.0, 0.0
    for move, wait in zip(moves, waits, strict=False):
        rows.append({"at": START + later + DAY * round(when, 3), "error_s": scale * round(error, 2)})
        when += wait
        error += move
    return clock_of(kind, rows)


def near(a: Answer, b: Answer, scale: float = 1.0) -> None:
    if isinstance(a, NotYetKnown) or isinstance(b, NotYetKnown):
        assert isinstance(a, NotYetKnown)
        assert isinstance(b, NotYetKnown)
        return
    low, high = (a.low, a.high) if scale > 0 else (a.high, a.low)
    assert (b.estimate, b.low, b.high) == pytest.approx(
        (scale * a.estimate, scale * low, scale * high), rel=1e-6, abs=1e-6
    )


@settings(max_examples=25, deadline=None)
@given(kinds, steps, gaps)
def test_a_mirrored_clock_has_a_mirrored_answer(kind: str, moves: list[float], waits: list[float]) -> None:
    plain, mirrored = (timekeeping_of(read(kind, moves, waits, scale=sign)) for sign in (1.0, -1.0))
    later = read(kind, moves, waits).now + 9 * DAY
    near(plain.rate, mirrored.rate, -1)
    near(plain.error_at(later), mirrored.error_at(later), -1)
    assert [s.at for s in plain.suspects] == [s.at for s in mirrored.suspects]


@settings(max_examples=25, deadline=None)
@given(kinds, steps, gaps, st.integers(-3000, 3000))
def test_another_date_makes_no_difference(kind: str, moves: list[float], waits: list[float], away: int) -> None:
    here, there = read(kind, moves, waits), read(kind, moves, waits, later=DAY * away)
    first, second = timekeeping_of(here), timekeeping_of(there)
    near(first.rate, second.rate)
    near(first.drift, second.drift)
    near(first.error_at(here.now + 9 * DAY), second.error_at(there.now + 9 * DAY))


@settings(max_examples=25, deadline=None)
@given(kinds, steps, gaps)
def test_the_order_of_rows_makes_no_difference(kind: str, moves: list[float], waits: list[float]) -> None:
    rows: list[Cells] = []
    when = 0.0
    for n, (move, wait) in enumerate(zip(moves, waits, strict=False)):
        rows.append({"at": START + DAY * round(when, 3), "error_s": round(n * move, 2)})
        when += wait
    forth, back = clock_of(kind, rows), clock_of(kind, rows, swap=True)
    assert [str(a) for a in answers(forth)] == [str(a) for a in answers(back)]


@settings(max_examples=25, deadline=None)
@given(steps, gaps, st.floats(-500, 500))
def test_a_known_hands_set_is_as_if_it_were_added_to_the_readings(
    moves: list[float], waits: list[float], amount: float
) -> None:
    """Of a reference clock, whose hands-set has no doubt of its own."""
    plain: list[Cells] = []
    stepped: list[Cells] = []
    when, error, half = 0.0, 0.0, len(moves) // 2
    for n, (move, wait) in enumerate(zip(moves, waits, strict=False)):
        moment = START + DAY * round(when, 3)
        plain.append({"at": moment, "error_s": error, "error_u_s": 0.5})
        stepped.append({"at": moment, "error_s": error + (amount if n > half else 0), "error_u_s": 0.5})
        if n == half:
            stepped[-1] |= {"work": "hands-set", "amount": amount}
        when += wait
        error += move
    one, two = timekeeping_of(clock_of("reference", plain)), timekeeping_of(clock_of("reference", stepped))
    near(one.rate, two.rate)
    assert [s.at for s in one.suspects] == [s.at for s in two.suspects]


@settings(max_examples=25, deadline=None)
@given(kinds, steps, gaps)
def test_whatever_was_read_the_answers_are_sound(kind: str, moves: list[float], waits: list[float]) -> None:
    sound(read(kind, [40 * move for move in moves], waits))
