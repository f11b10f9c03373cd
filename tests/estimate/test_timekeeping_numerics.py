"""Hard numbers: very many readings, very few, very exact, very wrong; never nan, never surer than they allow."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import numpy as np
import pytest

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.history import History
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.words import KindName, Work
from tests.estimate.ledgers import DAY_S, Cells, Ledger, Row
from tests.estimate.questions import everything, sound

DAY = timedelta(days=1)


def ledger(
    kind: KindName | str, errors: Sequence[tuple[float, float]], doubt: float | None = None, **columns: object
) -> Ledger:
    """Readings (days after the start, error in s), each of the same told doubt if any."""
    told: Cells = {} if doubt is None else {"error_u_s": doubt}
    rows = tuple(Row(round(day * DAY_S), {"error_s": error, **told}) for day, error in errors)
    return Ledger(KindName(kind), rows, tuple(columns.items()))


def checked(history: History) -> Timekeeping:
    """The timekeeping, after every question had a sound answer."""
    keeping = timekeeping_of(history)
    sound(everything(history, keeping))
    return keeping


def known(answer: Answer) -> Quantity:
    assert isinstance(answer, Quantity), answer
    return answer


# --- very many --------------------------------------------------------------------------------------------------------


def test_twenty_years_of_daily_readings() -> None:
    """A longcase that wanders as its kind does: the last rate is known as well as after a year, and no better."""
    rng = np.random.default_rng(20)
    count = 7305
    rate = 2.0 + np.cumsum(rng.normal(0, 0.1, count)) * 0.1  # held within reach: six hours is the dial's limit
    error = np.cumsum(rate - rate.mean() + rng.normal(0, 1.0, count))
    shown = [(float(day), round(float(e + rng.normal(0, 0.5)), 1)) for day, e in enumerate(error)]
    long = ledger("longcase", shown)
    keeping = checked(long.history())
    year = timekeeping_of(ledger("longcase", [(d - count + 365, e) for d, e in shown[-365:]]).history())
    assert known(keeping.rate).estimate == pytest.approx(known(year.rate).estimate, abs=0.1)
    assert known(keeping.rate).doubt == pytest.approx(known(year.rate).doubt, rel=0.1)
    assert keeping.readings_since_rate_opened > 0.98 * count
    for place in (-7000, -3000, -10):
        at = long.at(long.rows[place].second)
        assert known(keeping.error_at(at)).estimate == pytest.approx(shown[place][1], abs=3.0)
        assert known(keeping.error_at(at)).doubt < 1.96 * 0.5 * 1.3


def test_a_thousand_readings_in_a_day() -> None:
    """A thousand tell a day's rate as well as the clock keeps one, and no better than its white noise."""
    rng = np.random.default_rng(1000)
    errors = [(k / 1000, round(3.0 * k / 1000 + float(rng.normal(0, 0.5)), 2)) for k in range(1000)]
    keeping = checked(ledger("longcase", errors).history())
    rate = known(keeping.rate)
    assert rate.low < 3.0 < rate.high
    assert 0.7 < rate.doubt < 4.5  # its kind's white noise of a day is 1 s, so ±2 s/day; not 0.5 s / sqrt(1000)
    assert len(keeping.suspects) <= 10


def test_readings_a_second_apart() -> None:
    """Sixty of one minute tell the error and nothing of the rate that the kind did not say."""
    keeping = checked(ledger("longcase", [(k / DAY_S, 14.0) for k in range(60)]).history())
    error = known(keeping.error_at(datetime(2026, 1, 5, 8, 0, 59, tzinfo=UTC)))
    assert error.estimate == pytest.approx(14.0, abs=0.1)
    assert error.doubt < 1.96 * 0.5
    rate = keeping.rate
    assert isinstance(rate, NotYetKnown) or rate.doubt > 20  # three limits of the kind are ±59 s/day


def test_two_readings_of_one_instant_that_differ() -> None:
    for other in (1.5, 61.0, 9000.0):
        keeping = checked(ledger("longcase", [(0, 1.0), (0, other)]).history())
        assert isinstance(keeping.rate, NotYetKnown)


# --- very few ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", list(KindName))
def test_three_readings_tell_a_rate_with_much_doubt(kind: KindName) -> None:
    book = ledger(kind, [(0, 5.0), (1, 7.0), (2, 9.0)])
    keeping = checked(book.history())
    rate = known(keeping.rate)
    assert rate.low < 2.0 < rate.high
    # never better than the clock's white noise over the two days
    assert rate.doubt > 1.96 * book.traits.q1_s / math.sqrt(2) * 0.5
    assert rate.doubt > 1.96 * book.traits.reading_doubt_s(book.traits.usual_read_by) / 2 * 0.5


@pytest.mark.parametrize("kind", list(KindName))
def test_all_readings_equal_are_not_a_perfect_clock(kind: KindName) -> None:
    keeping = checked(ledger(kind, [(day, 7.0) for day in range(20)]).history())
    rate = known(keeping.rate)
    assert rate.low < 0 < rate.high
    assert rate.estimate == pytest.approx(0.0, abs=0.3)
    assert not keeping.suspects
    assert not keeping.suspected_work


@pytest.mark.parametrize("kind", list(KindName))
def test_a_clock_with_only_works(kind: KindName) -> None:
    rows = tuple(Row(n * DAY_S // 2, {"work": work, "note": "K"}) for n, work in enumerate(Work))
    keeping = checked(Ledger(kind, rows, idle_s=3600).history())
    assert isinstance(keeping.rate, NotYetKnown)
    assert isinstance(keeping.error_at(Ledger(kind, rows).now), NotYetKnown)
    assert (keeping.suspects, keeping.suspected_work, keeping.daily_rates()) == ((), (), ())
    assert keeping.readings_since_rate_opened == 0


@pytest.mark.parametrize("kind", list(KindName))
def test_nothing_at_all(kind: KindName) -> None:
    keeping = checked(Ledger(kind, ()).history())
    assert isinstance(keeping.rate, NotYetKnown)
    assert keeping.rate_since is None


# --- very exact, very coarse ------------------------------------------------------------------------------------------


def test_a_regulator_read_to_a_tenth() -> None:
    """Three weeks of +0.3 s/day, read to 0.1 s: known to a few tenths, since it keeps no better itself."""
    keeping = checked(ledger("regulator", [(day, round(0.3 * day, 1)) for day in range(21)], 0.1).history())
    rate = known(keeping.rate)
    assert rate.estimate == pytest.approx(0.3, abs=0.05)
    assert 0.04 < rate.doubt < 0.4
    assert isinstance(within := keeping.rate_within(1.0), float)
    assert within > 0.99


def test_a_reference_read_to_a_microsecond() -> None:
    """A millisecond a day, read to a microsecond: the doubt is its own wandering, 0.00014 s/day per root day."""
    rng = np.random.default_rng(6)
    rates = 0.001 + np.cumsum(rng.normal(0, 0.00014, 60))
    error = np.concatenate([[0.0], np.cumsum(rates)])
    shown = [(day, round(float(e), 7)) for day, e in enumerate(error)]
    keeping = checked(ledger("reference", shown, 1e-6, mean_rate_limit=1).history())
    rate = known(keeping.rate)
    assert rate.estimate == pytest.approx(float(rates[-1]), abs=0.001)
    assert 1e-5 < rate.doubt < 0.001
    daily = keeping.daily_rates()
    assert len(daily) == 60
    for (at, answer), truth in zip(daily, np.diff(error), strict=True):
        assert known(answer).doubt < 1e-4, at
        assert known(answer).estimate == pytest.approx(float(truth), abs=2e-5), at


def test_doubts_from_a_nanosecond_to_six_hours() -> None:
    rows = [
        Row(day * DAY_S, {"error_s": 2.0 * day, "error_u_s": u})
        for day, u in enumerate((1e-9, 21600, 1e-12, 0.5, 1e-9))
    ]
    for kind in (KindName.REFERENCE, KindName.LONGCASE, KindName.MANTEL):
        checked(Ledger(kind, tuple(rows)).history())


def test_a_coarse_reading_is_worth_little_beside_fine_ones() -> None:
    """A reading by estimate, another way than usual, is no reason to doubt or to move what the others say."""
    fine = [Row(day * DAY_S, {"error_s": 2.0 * day}) for day in range(8)]
    coarse = Row(7 * DAY_S + 3600, {"error_s": 44.0, "read_by": "estimate"})
    without, with_it = (checked(Ledger(KindName.LONGCASE, rows).history()) for rows in ((*fine,), (*fine, coarse)))
    assert with_it.suspects == ()
    assert known(with_it.rate).estimate == pytest.approx(known(without.rate).estimate, abs=0.1)
    at = Ledger(KindName.LONGCASE, (*fine, coarse)).now
    assert known(with_it.error_at(at)).estimate == pytest.approx(known(without.error_at(at)).estimate, abs=0.3)


# --- very far ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["cuckoo", "longcase", "carriage", "reference"])
@pytest.mark.parametrize("sign", [1, -1])
def test_errors_of_six_hours(kind: str, sign: int) -> None:
    """Six hours off and steady is an error like any other: the dial can't show more."""
    keeping = checked(ledger(kind, [(day, sign * 21600.0) for day in range(8)]).history())
    assert known(keeping.error_at(datetime(2026, 1, 12, 8, tzinfo=UTC))).estimate == pytest.approx(sign * 21600, abs=20)
    assert keeping.suspects == ()


def test_six_hours_fast_and_slow_by_turns() -> None:
    for kind in KindName:
        checked(ledger(kind, [(day, 21600.0 * (-1) ** day) for day in range(12)]).history())


def test_one_reading_six_hours_off_among_good_ones() -> None:
    errors = [(day, 2.0 * day + (21000 if day == 5 else 0)) for day in range(12)]
    keeping = checked(ledger("longcase", errors).history())
    assert [s.id for s in keeping.suspects] == ["r5"]
    assert known(keeping.rate).estimate == pytest.approx(2.0, abs=0.3)


def test_a_reading_a_year_later() -> None:
    """The mean of the year is not the rate of today; the error is as sure as the reading."""
    book = ledger("longcase", [*((day, 2.0 * day) for day in range(8)), (372, 700.0)])
    keeping = checked(book.history())
    error = known(keeping.error_at(book.now))
    assert error.estimate == pytest.approx(700.0, abs=1.0)
    assert error.doubt < 1.96 * 0.5 * 1.5
    rate = known(keeping.rate)
    assert rate.low < 700 / 372 < rate.high
    assert rate.doubt > 1.0
    assert keeping.suspects == ()


def test_forecasts_to_a_century_stay_finite_and_grow() -> None:
    for kind in KindName:
        keeping = timekeeping_of(ledger(kind, [(day, 2.0 * day) for day in range(8)]).history())
        ahead = [datetime(2026 + 2 * step, 1, 12, 8, tzinfo=UTC) for step in range(50)]
        doubts = [known(keeping.error_at(at)).doubt for at in ahead]
        assert all(math.isfinite(doubt) and doubt > 0 for doubt in doubts)
        assert all(sooner < later for sooner, later in pairwise(doubts))
