"""The book's settings, and times as people type them."""

from __future__ import annotations

from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

import pytest

from standwatch.horology.gravity import Site
from standwatch.model.errors import BadValue
from standwatch.service.shop import DEFAULTS, checked, read_civil, shop_of

LONDON = ZoneInfo("Europe/London")


def test_defaults() -> None:
    shop = shop_of({}, "Europe/London")
    assert shop.zone == LONDON
    assert shop.open_days == frozenset(range(5))
    assert shop.next_round == time(8)
    assert shop.site is None
    assert shop.calls == (14,)
    assert shop.learning
    # Friday's next round is Monday's
    assert shop.rounds.next_after(datetime(2026, 11, 20, 9, tzinfo=UTC)) == datetime(2026, 11, 23, 8, tzinfo=UTC)


def test_the_book_s_zone_goes_before_the_computer_s() -> None:
    assert shop_of({"zone": "Asia/Tokyo"}, "Europe/London").zone.key == "Asia/Tokyo"


def test_holidays_close_the_shop() -> None:
    shop = shop_of({"holidays": "GB-SCT"}, "Europe/London")
    # 30 November 2026 is St Andrew's Day, a bank holiday in Scotland (Banking and Financial Dealings Act 1971)
    assert shop.rounds.next_after(datetime(2026, 11, 27, 9, tzinfo=UTC)) == datetime(2026, 12, 1, 8, tzinfo=UTC)


def test_learning_can_be_turned_off() -> None:
    assert not shop_of({"learning": "no"}, "UTC").learning
    assert shop_of({"learning": "yes"}, "UTC").learning


def test_a_shop_set_from_a_book() -> None:
    shop = shop_of({"open_days": "Tue,Sat", "next_round": "7:05", "site": "-33.9,50", "calls": "14;2"}, "UTC")
    assert (shop.open_days, shop.next_round) == (frozenset({1, 5}), time(7, 5))
    assert (shop.site, shop.calls) == (Site(-33.9, 50), (2, 14))


@pytest.mark.parametrize(
    ("name", "typed", "kept"),
    [
        ("zone", " Europe/Berlin ", "Europe/Berlin"),
        ("open_days", "mon-fri", "Mon-Fri"),
        ("next_round", "7:45", "07:45"),
        ("holidays", "None", "none"),
        ("holidays", "GB-SCT", "GB-SCT"),
        ("site", "51.507412, 20", "51.507412,20"),
        ("site", "none", "none"),
        ("calls", "14; 2;14", "2;14"),
        ("calls", "", DEFAULTS["calls"]),
        ("learning", " No ", "no"),
        ("learning", "YES", "yes"),
        ("learning", "", "yes"),
    ],
)
def test_settings_are_kept_in_one_form(name: str, typed: str, kept: str) -> None:
    assert checked(name, typed) == kept
    assert checked(name, kept) == kept


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("zone", "Mars/Base"),
        ("zone", ""),
        ("zone", "../etc/passwd"),
        ("open_days", "Noday"),
        ("next_round", "24:00"),
        ("next_round", "8"),
        ("holidays", "Narnia"),
        ("site", "51.5"),
        ("site", "nan,0"),
        ("site", "90.1,0"),
        ("calls", "0"),
        ("calls", "two"),
        ("calls", "14;"),
        ("learning", "maybe"),
        ("learning", "0"),
        ("colour", "red"),
    ],
)
def test_what_can_t_be_is_refused_with_its_name(name: str, typed: str) -> None:
    with pytest.raises(BadValue, match=name):
        checked(name, typed)


# Civil time: the rules of the tz database (RFC 6557), and IETF RFC 3339 / ISO 8601 for the text.


def test_a_time_with_offset_is_that_time() -> None:
    assert read_civil("2026-11-20T08:05:00+05:30", LONDON) == (datetime(2026, 11, 20, 2, 35, tzinfo=UTC), "")
    assert read_civil("2026-11-20T08:05Z", LONDON)[0] == datetime(2026, 11, 20, 8, 5, tzinfo=UTC)
    assert read_civil("20261120T0805", LONDON)[0] == datetime(2026, 11, 20, 8, 5, tzinfo=UTC)


def test_a_time_without_offset_is_the_shop_s() -> None:
    assert read_civil("2026-07-01 08:00", LONDON) == (datetime(2026, 7, 1, 7, tzinfo=UTC), "")


def test_a_time_the_clocks_jump_over_is_none() -> None:
    with pytest.raises(BadValue, match="2026-03-29 01:30 does not exist in Europe/London"):
        read_civil("2026-03-29T01:30", LONDON)
    assert read_civil("2026-03-29T02:00", LONDON)[0] == datetime(2026, 3, 29, 1, tzinfo=UTC)


def test_of_a_time_that_comes_twice_the_first_is_meant_and_said() -> None:
    moment, said = read_civil("2026-10-25T01:30", LONDON)
    assert moment == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert "comes twice" in said
    assert "60 minutes later" in said


@pytest.mark.parametrize("text", ["", "today", "08:00", "2026-11-20", "2026-13-01T08:00", "0001-01-01T00:00+14:00"])
def test_what_is_no_time(text: str) -> None:
    with pytest.raises(BadValue, match="is not a time"):
        read_civil(text, LONDON)
