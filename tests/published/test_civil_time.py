"""Times as people write them and as dials show them: ISO 8601, summer time, the twelve-hour wrap."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.estimate.history import dial_error
from standwatch.horology.rounds import Rounds
from standwatch.model.errors import BadValue
from standwatch.model.facts import CheckIn
from standwatch.model.records import build
from standwatch.model.units import wrap_dial
from tests.stories import story

LONDON = ZoneInfo("Europe/London")
BERLIN = ZoneInfo("Europe/Berlin")


def _at(text: str) -> datetime:
    return build(CheckIn, {"at": text, "tag": "T1"}).at


@pytest.mark.parametrize(
    ("text", "utc"),
    [  # ISO 8601:2004, 4.3: calendar dates with time of day and offset, extended or basic
        ("2026-11-20T08:05:00+00:00", "2026-11-20T08:05:00"),
        ("2026-11-20T08:05:00Z", "2026-11-20T08:05:00"),
        ("20261120T080500Z", "2026-11-20T08:05:00"),
        ("2026-11-20T08:05+00:00", "2026-11-20T08:05:00"),
        ("2026-11-20 08:05:00+01:00", "2026-11-20T07:05:00"),  # RFC 3339, 5.6: a space for the T
        ("2026-11-20T08:05:00-03:30", "2026-11-20T11:35:00"),
        ("2026-11-20T08:05:00+05:45", "2026-11-20T02:20:00"),
        ("2026-11-20T08:05:00.25+00:00", "2026-11-20T08:05:00.250000"),
        ("2026-11-20T08:05:00,5+00:00", "2026-11-20T08:05:00.500000"),
        ("2024-02-29T23:59:59-00:01", "2024-03-01T00:00:59"),
        ("2026-01-01T00:30:00+14:00", "2025-12-31T10:30:00"),
    ],
)
def test_iso_times_are_kept_in_utc(text: str, utc: str) -> None:
    assert _at(text) == datetime.fromisoformat(utc).replace(tzinfo=UTC)
    assert _at(text).utcoffset() == timedelta()


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("2026-11-20T08:05:00", "without its offset"),
        ("2026-11-20", "not a time"),
        ("2026-W47-5T08:05:00Z", "not a time"),
        ("2026-324T08:05:00Z", "not a time"),
        ("2026-02-29T08:05:00Z", "not a time"),
        ("2026-11-31T08:05:00Z", "not a time"),
        ("2026-11-20T24:05:00Z", "not a time"),
        ("2026-11-20T08:61:00Z", "not a time"),
        ("2026-12-31T23:59:60Z", "not a time"),  # a leap second can't be kept
        ("2026-11-20T08:05:00+25:00", "not a time"),
        ("0001-01-01T00:00:00+14:00", "not a time"),
        ("20/11/2026 08:05", "not a time"),
        ("8:05", "not a time"),
        ("", "not a time"),
    ],
)
def test_what_is_no_time_is_refused(text: str, why: str) -> None:
    with pytest.raises(BadValue, match=why) as refused:
        _at(text)
    assert refused.value.column == "at"


def _last_sunday(year: int, month: int) -> date:
    last = date(year, month, 31)
    return last - timedelta(days=(last.weekday() + 1) % 7)


@pytest.mark.parametrize("year", range(2002, 2038))
@pytest.mark.parametrize("zone", [LONDON, BERLIN], ids=str)
def test_summer_time_of_the_directive(year: int, zone: ZoneInfo) -> None:
    # Directive 2000/84/EC, articles 2 and 3 (from memory): from the last Sunday in March to the last Sunday in
    # October, 1:00 a.m. Greenwich Mean Time both
    for month, step in ((3, 1), (10, -1)):
        change = datetime.combine(_last_sunday(year, month), time(1), tzinfo=UTC)
        before, after = ((change + timedelta(seconds=s)).astimezone(zone).utcoffset() or timedelta() for s in (-1, 0))
        assert after - before == timedelta(hours=step)


def _every_day(at: time, zone: ZoneInfo = LONDON) -> Rounds:
    return Rounds(zone, at, frozenset(range(7)), frozenset())


def _utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    ("round_at", "after", "begins"),
    [
        ("08:00", "2026-03-28T08:00", "2026-03-29T07:00"),  # 23 hours later by the sun
        ("08:00", "2026-10-24T07:00", "2026-10-25T08:00"),  # 25 hours later
        ("01:30", "2026-03-28T02:00", "2026-03-29T01:30"),  # there is no 1:30: when 1:30 would have been
        ("01:30", "2026-03-29T01:30", "2026-03-30T00:30"),
        ("01:30", "2026-10-24T12:00", "2026-10-25T00:30"),  # twice 1:30: the first
        ("01:30", "2026-10-25T00:30", "2026-10-26T01:30"),
    ],
)
def test_rounds_through_both_changes(round_at: str, after: str, begins: str) -> None:
    rounds = _every_day(time.fromisoformat(round_at))
    assert rounds.next_after(_utc(after)) == _utc(begins)
    assert rounds.before(_utc(begins)) == _utc(begins)
    assert rounds.before(_utc(begins) - timedelta(seconds=1)) <= _utc(after)


@given(
    st.datetimes(datetime(2015, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC)),  # noqa: DTZ001
    st.times(),
    st.sampled_from([LONDON, BERLIN, ZoneInfo("Australia/Lord_Howe"), ZoneInfo("America/Havana")]),
)
def test_rounds_follow_one_another(at: datetime, round_at: time, zone: ZoneInfo) -> None:
    rounds = _every_day(round_at, zone)
    following = rounds.next_after(at)
    assert at < following <= at + timedelta(hours=26)
    assert rounds.before(following) == following
    assert rounds.before(following, 2) == rounds.before(following - timedelta(microseconds=1)) <= at


class TestDial:
    """A dial against civil time."""

    @pytest.mark.parametrize(
        ("dial", "at", "error_s"),
        [
            ("11:59", "2026-11-20T12:01", -120),  # 0:02 slow, not hours fast
            ("12:01", "2026-11-20T11:59", 120),
            ("0:01", "2026-11-20T23:59", 120),
            ("12:00:30", "2026-11-20T00:00", 30),
            ("11:59:30", "2026-11-20T00:00", -30),
            ("23:59", "2026-11-20T12:01", -120),  # a dial has twelve hours, however they are written
            ("2:00", "2026-11-20T08:00", 21600),  # six hours: fast as well as slow; named fast
            ("2:00:01", "2026-11-20T08:00", -21599),
        ],
    )
    def test_wraps_at_twelve(self, dial: str, at: str, error_s: float) -> None:
        assert dial_error(dial, _utc(at), timedelta()) == error_s

    @given(st.integers(-21599, 21600), st.integers(0, 86399))
    def test_any_error_comes_back(self, error_s: int, second: int) -> None:
        at = _utc("2026-11-20T00:00") + timedelta(seconds=second)
        shown = (second + error_s) % 43200
        dial = f"{shown // 3600}:{shown // 60 % 60:02}:{shown % 60:02}"
        assert dial_error(dial, at, timedelta()) == error_s == wrap_dial(error_s)

    def test_against_summer_time(self) -> None:
        assert dial_error("9:02", _utc("2026-07-01T08:00"), timedelta(hours=1)) == 120


class TestSummerTime:
    """Readings by dial across a change. Until the clock's own `summer-time` row they are against the old civil time."""

    def test_the_clock_left_alone_shows_old_time(self) -> None:
        seen = story(
            "longcase",
            """
            10-24 08:00  dial=8:00:10
            10-26 08:00  dial=9:00:12
            10-26 08:00  work=summer-time amount=-3600
            10-27 08:00  dial=8:00:13
            """,
            now="10-27 09:00",
        )
        assert [v.error_s for v in seen.readings] == [10, 12, 13]

    def test_in_spring_too(self) -> None:
        seen = story(
            "longcase",
            """
            03-28 08:00  dial=8:00:10
            03-29 08:00  dial=7:00:11
            03-29 08:00  work=summer-time amount=3600
            03-30 08:00  dial=8:00:12
            """,
            now="03-30 09:00",
        )
        assert [v.error_s for v in seen.readings] == [10, 11, 12]

    def test_an_empty_amount_is_the_change_itself(self) -> None:
        seen = story(
            "longcase",
            """
            10-24 08:00  dial=8:00:10
            10-26 08:00  work=summer-time
            10-26 08:00  dial=8:00:12
            """,
            now="10-26 09:00",
        )
        assert seen.readings[-1].error_s == 12

    def test_the_error_is_kept(self) -> None:
        seen = story("longcase", "10-26 08:00  work=summer-time amount=-3600", now="10-26 09:00")
        assert seen.breaks == ()

    def test_a_clock_that_came_after_the_change_knows_no_other_time(self) -> None:
        seen = story("longcase", "10-26 08:00  dial=8:00:12", now="10-26 09:00")
        assert seen.readings[0].error_s == 12

    def test_set_right_before_the_night_or_days_after(self) -> None:
        # held back on Saturday evening: from then on it is behind the old time that still holds
        seen = story(
            "longcase",
            """
            10-24 08:00  dial=8:00:10
            10-24 18:00  work=summer-time amount=-3600
            10-24 18:05  dial=17:05:10
            10-25 08:00  dial=8:00:11
            """,
            now="10-25 09:00",
        )
        assert [v.error_s for v in seen.readings] == [10, 10, 11]
