"""The Earth as a clock, against the length of day that the IERS publishes (finals2000A by astropy-iers-data)."""

from __future__ import annotations

import csv
import math
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from standwatch.estimate.history import History, history_of
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record, build
from standwatch.model.words import Work
from tests.published.earth import TAG, Night, leap_seconds, nights, write_ledger

MJD_2000, MJD_2016_11 = 51544, 57700


@pytest.fixture(scope="module")
def observed() -> list[Night]:
    return nights()


def span(observed: list[Night], first_mjd: int, count: int) -> list[Night]:
    start = first_mjd - observed[0].mjd
    return observed[start : start + count]


def history_from(folder: Path, chosen: list[Night], *, told: bool = True) -> History:
    """The History that the ledger of `chosen` tells, with or without its hands-set rows."""
    write_ledger(folder, chosen)
    with (folder / "clocks.csv").open(encoding="utf-8", newline="") as file:
        clock = build(Clock, dict(next(csv.DictReader(file))))
    with (folder / "checkins.csv").open(encoding="utf-8", newline="") as file:
        rows = [{k: v for k, v in row.items() if v} for row in csv.DictReader(file)]
    bodies = [build(CheckIn, dict(row)) for row in rows if told or row.get("work") != "hands-set"]
    records = [Record(str(n), body, n, n, None, body.at) for n, body in enumerate(bodies)]
    return history_of(clock, records, now=chosen[-1].at, zone=ZoneInfo("UTC"))


def test_the_file_is_the_one_the_values_are_of(observed: list[Night]) -> None:
    assert len(observed) == 19652
    assert observed[0].mjd == 41684
    assert all(b.mjd == a.mjd + 1 for a, b in pairwise(observed))


def test_the_raw_jumps_are_the_25_leap_seconds(observed: list[Night]) -> None:
    pairs = pairwise(observed)
    jumps = {b.mjd: b.ut1_utc_s - a.ut1_utc_s for a, b in pairs if abs(b.ut1_utc_s - a.ut1_utc_s) > 0.5}
    assert sorted(jumps) == leap_seconds()
    assert len(jumps) == 25
    assert jumps[57754] == pytest.approx(0.9990422, abs=1e-7)  # 2017-01-01


def test_extremes_and_the_whole_span(observed: list[Night]) -> None:
    assert observed[-1].ut1_utc_s - observed[0].ut1_utc_s - 25 == pytest.approx(-25.8512779, abs=1e-7)
    lods = [night.lod_ms for night in observed if night.lod_ms is not None]
    assert (max(lods), min(lods)) == (4.0304, -1.6568)


@pytest.mark.parametrize(("first_mjd", "last_mjd", "rate"), [(51544, 51910, -0.71657), (57388, 57754, -1.33961)])
def test_endpoint_rates_of_a_year(
    observed: list[Night], tmp_path: Path, first_mjd: int, last_mjd: int, rate: float
) -> None:
    """2000 and 2016, 1 January to 1 January, ms/day: by the errors that the estimate gives at both ends."""
    chosen = span(observed, first_mjd, last_mjd - first_mjd + 1)
    keeping = timekeeping_of(history_from(tmp_path, chosen))
    first, last = keeping.error_at(chosen[0].at), keeping.error_at(chosen[-1].at)
    assert isinstance(first, Quantity)
    assert isinstance(last, Quantity)
    leaps = sum(first_mjd < mjd <= last_mjd for mjd in leap_seconds())
    ours = 1000 * (last.estimate - first.estimate - leaps) / (last_mjd - first_mjd)
    assert ours == pytest.approx(rate, abs=0.001)


def test_daily_rates_against_the_published_length_of_day(observed: list[Night], tmp_path: Path) -> None:
    """1,000 nights over the leap second of 2017: rms under 0.02 ms/day, and the intervals hold."""
    chosen = span(observed, MJD_2016_11 - 600, 1000)
    keeping = timekeeping_of(history_from(tmp_path, chosen))
    lod = {night.at: night.lod_ms for night in chosen}
    lod_doubt = {night.at: night.lod_doubt_ms for night in chosen}
    misses, held = [], 0
    for at, rate in keeping.daily_rates():
        before, after = lod[at - timedelta(days=1)], lod[at]
        assert before is not None
        assert after is not None
        assert isinstance(rate, Quantity)
        miss = 1000 * rate.estimate + (before + after) / 2
        misses.append(miss)
        published = 1.96 * math.hypot(lod_doubt[at - timedelta(days=1)] or 0.0, lod_doubt[at] or 0.0) / 2
        held += abs(miss) <= math.hypot(1000 * rate.doubt, published)
    assert len(misses) == 999  # the leap second costs no night
    assert math.sqrt(sum(m * m for m in misses) / len(misses)) < 0.02
    assert held / len(misses) > 0.85
    assert keeping.suspects == ()
    assert keeping.suspected_work == ()


def test_the_rate_now_agrees_with_the_length_of_day(observed: list[Night], tmp_path: Path) -> None:
    held = []
    for first in range(MJD_2000, MJD_2000 + 4000, 200):
        chosen = span(observed, first, 60)
        rate = timekeeping_of(history_from(tmp_path, chosen)).rate
        assert not isinstance(rate, NotYetKnown)
        lod = chosen[-1].lod_ms
        assert lod is not None
        held.append(rate.low <= -lod / 1000 <= rate.high)
    assert sum(held) >= 18  # of 20


def test_a_leap_second_that_nobody_told_is_found_and_nothing_else(observed: list[Night], tmp_path: Path) -> None:
    chosen = span(observed, MJD_2016_11, 200)
    keeping = timekeeping_of(history_from(tmp_path, chosen, told=False))
    (found,) = keeping.suspected_work
    assert found.what is Work.HANDS_SET
    assert found.at.date().isoformat() == "2017-01-01"
    assert found.amount == pytest.approx(1.0, abs=0.001)
    assert keeping.suspects == ()


def test_the_forecast_a_week_on_holds_what_came(observed: list[Night], tmp_path: Path) -> None:
    held = 0
    for first in range(MJD_2000, MJD_2000 + 4000, 200):
        chosen = span(observed, first, 68)
        expected = timekeeping_of(history_from(tmp_path, chosen[:60])).reading_at(chosen[66].at)
        assert isinstance(expected, Quantity)
        leaps = sum(chosen[59].mjd < mjd <= chosen[66].mjd for mjd in leap_seconds())
        held += expected.low <= chosen[66].ut1_utc_s - leaps <= expected.high
    assert held >= 18  # of 20


def test_the_ledger_names_its_clock(observed: list[Night], tmp_path: Path) -> None:
    write_ledger(tmp_path, observed[-3:])
    assert (tmp_path / "clocks.csv").read_text(encoding="utf-8").splitlines()[1].startswith(f"{TAG},")
    assert len((tmp_path / "checkins.csv").read_text(encoding="utf-8").splitlines()) == 4
