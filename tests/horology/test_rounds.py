"""The shop's days and its rounds. Both clock changes are in tests/published/test_civil_time.py."""

import subprocess
import sys
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.horology.rounds import Rounds, holidays_of, open_days_text, parse_open_days
from standwatch.model.errors import BadValue

LONDON = ZoneInfo("Europe/London")
WEEKDAYS = frozenset(range(5))


def _at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.fixture
def rounds() -> Rounds:
    return Rounds(LONDON, time(8), WEEKDAYS, frozenset({date(2026, 12, 25), date(2026, 12, 28)}))


@pytest.mark.parametrize(
    ("now", "following"),
    [
        ("2026-11-20T07:59:59", "2026-11-20T08:00"),
        ("2026-11-20T08:00", "2026-11-23T08:00"),  # strictly after; Friday looks through to Monday
        ("2026-11-21T12:00", "2026-11-23T08:00"),
        ("2026-12-24T09:00", "2026-12-29T08:00"),  # through the holidays too
    ],
)
def test_the_next_round(rounds: Rounds, now: str, following: str) -> None:
    assert rounds.next_after(_at(now)) == _at(following)


@pytest.mark.parametrize(
    ("now", "n", "begun"),
    [
        ("2026-11-20T08:00", 1, "2026-11-20T08:00"),  # at the round counts as the round
        ("2026-11-20T07:59:59", 1, "2026-11-19T08:00"),
        ("2026-11-22T12:00", 1, "2026-11-20T08:00"),
        ("2026-11-23T08:20", 2, "2026-11-20T08:00"),
        ("2026-12-29T09:00", 2, "2026-12-24T08:00"),
        ("2026-11-20T08:20", 6, "2026-11-13T08:00"),
    ],
)
def test_the_rounds_before(rounds: Rounds, now: str, n: int, begun: str) -> None:
    assert rounds.before(_at(now), n) == _at(begun)


def test_the_last_round_is_number_one(rounds: Rounds) -> None:
    with pytest.raises(ValueError, match="number 1"):
        rounds.before(_at("2026-11-20T08:00"), 0)


def test_civil_days_are_the_shop_s_own() -> None:
    auckland = Rounds(ZoneInfo("Pacific/Auckland"), time(8), WEEKDAYS, frozenset())
    # 21:00 UTC on Sunday is Monday there
    assert auckland.next_after(_at("2026-11-20T00:00")) == _at("2026-11-22T19:00")


def test_a_shop_that_never_opens_is_refused() -> None:
    with pytest.raises(BadValue, match="no day of the week is open"):
        Rounds(LONDON, time(8), frozenset(), frozenset())


def test_a_calendar_of_nothing_but_holidays_is_refused() -> None:
    class Always:
        def __contains__(self, day: object) -> bool:
            return True

    never = Rounds(LONDON, time(8), WEEKDAYS, Always())
    with pytest.raises(BadValue, match="closed for ten years"):
        never.next_after(_at("2026-11-20T08:00"))
    with pytest.raises(BadValue, match="closed for ten years"):
        never.before(_at("2026-11-20T08:00"))


@given(
    st.datetimes(datetime(2020, 1, 1), datetime(2030, 1, 1), timezones=st.just(UTC)),  # noqa: DTZ001
    st.frozensets(st.integers(0, 6), min_size=1),
)
def test_next_and_before_are_neighbours(now: datetime, open_days: frozenset[int]) -> None:
    rounds = Rounds(LONDON, time(8), open_days, frozenset())
    following = rounds.next_after(now)
    assert rounds.before(now) <= now < following
    assert rounds.before(following, 2) == rounds.before(now)
    assert rounds.next_after(following - timedelta(microseconds=1)) == following


@pytest.mark.parametrize(
    ("text", "days", "back"),
    [
        ("Mon-Fri", {0, 1, 2, 3, 4}, "Mon-Fri"),
        ("Mon-Sat", {0, 1, 2, 3, 4, 5}, "Mon-Sat"),
        ("Mon,Wed,Fri", {0, 2, 4}, "Mon,Wed,Fri"),
        ("Mon-Thu,Sat", {0, 1, 2, 3, 5}, "Mon-Thu,Sat"),
        ("mon - fri", {0, 1, 2, 3, 4}, "Mon-Fri"),
        ("Monday,tuesday", {0, 1}, "Mon,Tue"),
        ("Sat-Mon", {5, 6, 0}, "Mon,Sat,Sun"),
        ("Sun-Sat", set(range(7)), "Mon-Sun"),
        ("Sun", {6}, "Sun"),
    ],
)
def test_open_days(text: str, days: set[int], back: str) -> None:
    assert parse_open_days(text) == days
    assert open_days_text(frozenset(days)) == back


@pytest.mark.parametrize("text", ["", "Mon-", "-Fri", "Mon-Fri,", "daily", "Mon-Wed-Fri", "1-5", "none"])
def test_what_names_no_days_is_refused(text: str) -> None:
    with pytest.raises(BadValue, match="give days such as") as refused:
        parse_open_days(text)
    assert refused.value.column == "open_days"


@given(st.frozensets(st.integers(0, 6), min_size=1))
def test_text_of_days_reads_back(days: frozenset[int]) -> None:
    assert parse_open_days(open_days_text(days)) == days


def test_holidays_by_country_and_part() -> None:
    # St Andrew's Day is a bank holiday in Scotland alone (Banking and Financial Dealings Act 1971, sched. 1, as
    # amended 2007, from memory); Christmas Day is one everywhere in the country
    st_andrew, christmas = date(2026, 11, 30), date(2026, 12, 25)
    assert st_andrew in holidays_of("GB-SCT")
    assert st_andrew not in holidays_of("GB")
    assert christmas in holidays_of("gb")
    assert christmas not in holidays_of("none")


@pytest.mark.parametrize("code", ["GB-SCT", "IM"])  # the second is written in terms of the first
def test_a_country_is_loaded_without_the_others(code: str) -> None:
    probe = (
        "import sys; from datetime import date; from standwatch.horology.rounds import holidays_of;"
        "print(date(2026, 12, 25) in holidays_of(sys.argv[1]), 'holidays.countries.france' in sys.modules);"
        "import holidays.countries as them; print(them.FR.country)"
    )
    told = subprocess.run([sys.executable, "-c", probe, code], capture_output=True, text=True, check=True)
    assert told.stdout.split() == ["True", "False", "FR"]


@pytest.mark.parametrize("code", ["XX", "GB-ZZ", "England", "G"])
def test_an_unknown_country_is_refused(code: str) -> None:
    with pytest.raises(BadValue, match="GB-SCT or DE-BY") as refused:
        holidays_of(code)
    assert refused.value.column == "holidays"
