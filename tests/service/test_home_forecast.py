"""A clock that is still here, at its owner's: the move, the place, the room; and what readings there don't teach."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.errors import BadValue, Refused
from standwatch.model.release import Home
from standwatch.service.stand import Stand
from standwatch.store import open_book
from tests.shop import NOW, Row, regulator_ready, write_ledger

DAY = timedelta(days=1)
SHOP, HIGH = "45,0", "45,1600"
"""CHECKS 4: a pendulum taken from the one to the other loses 21.744 s/day; 100 mGal are 4.4 s/day."""


def here(stand: Stand, tmp_path: Path, tag: str = "R1", *, warm_c: float | None = None, **columns: object) -> None:
    """A regulator that gains 0.2 s/day, ready to go; `warm_c` is what the thermometer showed each morning."""
    clock, rows = regulator_ready(tag)
    if warm_c is not None:
        rows = [row | {"temperature_c": warm_c} if "error_s" in row else row for row in rows]
    stand.import_ledger([write_ledger(tmp_path / tag, [clock | columns], rows)], NOW)


def gone(stand: Stand, tmp_path: Path, tag: str, error_s: float = 0.0, **columns: Any) -> None:
    here(stand, tmp_path, tag, **columns)
    stand.release(tag, by="K. M.", waive={}, now=NOW)
    stand.deliver(tag, {"at": NOW, "error_s": error_s}, NOW)


def known(answer: Answer | None) -> Quantity:
    assert isinstance(answer, Quantity), answer
    return answer


def unknown(answer: Answer | None) -> str:
    assert isinstance(answer, NotYetKnown), answer
    return answer.because


def test_the_move_dominates_and_what_nobody_told_is_left_out(stand: Stand, tmp_path: Path) -> None:
    here(stand, tmp_path)
    told = stand.home("R1", NOW)
    error = known(told.error_s)
    assert error.estimate == pytest.approx(14 * 0.2, abs=2)
    assert 14 * 2 * 1.96 < error.doubt < 14 * 2 * 1.96 * 2.2, "two s/day, common practice, on a grid of them"
    assert (told.days, told.follow_ups) == (14, 0)
    assert told.move_s_per_day == pytest.approx(2.0)
    assert unknown(told.site_s_per_day).startswith("its owner's latitude and height are not told")
    assert unknown(told.room_s_per_day).startswith("the warmth of its owner's room is not told")
    assert (told.from_site, told.to_site) == ("", "")
    assert known(stand.home("R1", NOW, 28).error_s).doubt == pytest.approx(2 * error.doubt, rel=0.05)


def test_it_is_what_the_forecast_says_once_it_is_there_and_right(stand: Stand, tmp_path: Path) -> None:
    here(stand, tmp_path)
    expected = known(stand.home("R1", NOW).error_s)
    stand.release("R1", by="K. M.", waive={}, now=NOW)
    assert known(stand.home("R1", NOW).error_s) == expected, "let go, and still in the shop"
    stand.deliver("R1", {"at": NOW, "error_s": 0.0}, NOW)
    [there] = stand.forecast([NOW + 14 * DAY], ["R1"], NOW)
    for part in ("estimate", "low", "high"):
        assert getattr(known(there.error_s), part) == pytest.approx(getattr(expected, part), abs=1e-6)
    with pytest.raises(Refused, match="R1 is at its owner's; `standwatch forecast --at ISO R1` tells its error there"):
        stand.home("R1", NOW)


def test_the_place_is_in_it_where_both_are_told(stand: Stand, tmp_path: Path) -> None:
    here(stand, tmp_path)
    plain = known(stand.home("R1", NOW).error_s)
    stand.change_clock("R1", {"home_site": HIGH}, NOW)
    assert unknown(stand.home("R1", NOW).site_s_per_day).startswith("the shop's own place is not told")
    assert known(stand.home("R1", NOW).error_s) == plain
    stand.set_settings({"site": SHOP}, NOW)
    there = stand.home("R1", NOW)
    assert (there.from_site, there.to_site) == (SHOP, HIGH)
    site = known(there.site_s_per_day)
    assert site.estimate == pytest.approx(-21.744, abs=0.01)
    assert site.doubt == pytest.approx(4.4, abs=0.05)
    error = known(there.error_s)
    assert error.estimate - plain.estimate == pytest.approx(-14 * 21.744, abs=0.5)
    assert error.doubt > plain.doubt


def test_the_room_is_in_it_by_the_rod(stand: Stand, tmp_path: Path) -> None:
    # a steel rod: 0.40 ± 0.25 s/day a degree (horology.warmth, where its sources stand); five degrees warmer
    here(stand, tmp_path, warm_c=18.0, rod="steel", home_temperature_c=23)
    told = stand.home("R1", NOW)
    room = known(told.room_s_per_day)
    assert room.estimate == pytest.approx(-5 * 0.40, rel=0.03)
    assert room.doubt == pytest.approx(5 * 0.25 * 1.96, rel=0.05)
    stand.change_clock("R1", {"home_temperature_c": ""}, NOW)
    without = stand.home("R1", NOW)
    assert known(told.error_s).estimate - known(without.error_s).estimate == pytest.approx(14 * room.estimate, abs=0.5)
    assert unknown(without.room_s_per_day).startswith("the warmth of its owner's room is")


def test_a_stand_without_a_thermometer_leaves_the_room_out(stand: Stand, tmp_path: Path) -> None:
    here(stand, tmp_path, rod="steel", home_temperature_c=23)
    assert unknown(stand.home("R1", NOW).room_s_per_day).startswith("no temperature was read on the stand while its")


def test_the_shop_s_own_follow_ups_teach_the_move(stand: Stand, tmp_path: Path) -> None:
    tags = [f"R{n}" for n in range(2, 7)]
    for tag in tags:
        gone(stand, tmp_path, tag)
    here(stand, tmp_path)
    now = NOW + 14 * DAY
    stand.check_in({"tag": "R1", "error_s": 0.2 * 42}, now)
    untaught = stand.home("R1", now)
    for number, tag in enumerate(tags):
        stand.call(tag, {"reason": "goes well", "error_s": 3.0}, now)
        assert stand.home("R1", now).follow_ups == number + 1
    taught = stand.home("R1", now)
    assert taught.move_s_per_day is not None
    assert taught.move_s_per_day < 1.5, "hardly moved at all, told to a quarter of a minute over a fortnight"
    assert known(taught.error_s).doubt < 0.8 * known(untaught.error_s).doubt
    stand.add_clock({"tag": "C1", "kind": "carriage"}, now)
    balance = stand.home("C1", now)
    assert balance.follow_ups == 0, "a balance is none of theirs"
    assert balance.move_s_per_day == pytest.approx(5.0)


def test_a_follow_up_teaches_what_the_place_did_not_do(stand: Stand, tmp_path: Path) -> None:
    """A regulator a mile up that loses what the height takes has not moved; where the height is not told, it has."""
    for tag, site in (("R2", HIGH), ("R3", "")):
        book = Stand(open_book(tmp_path / f"{tag}.sqlite"), computer_zone=lambda: "Europe/London")
        book.set_settings({"site": SHOP}, NOW)
        gone(book, tmp_path / f"book-{tag}", tag, home_site=site)
        here(book, tmp_path / f"book-{tag}")
        book.call(tag, {"reason": "slow", "error_s": -14 * 21.5}, NOW + 14 * DAY)
        move = book.home("R1", NOW + 14 * DAY).move_s_per_day
        assert move is not None
        assert (move < 2.0) is bool(site)
        book.close()


def test_what_stands_still_has_no_error_there(stand: Stand, tmp_path: Path) -> None:
    here(stand, tmp_path)
    stand.check_in({"tag": "R1", "work": "stopped"}, NOW)
    assert unknown(stand.home("R1", NOW).error_s) == "it stands still"


def test_a_clock_that_was_never_read_says_so(stand: Stand) -> None:
    stand.add_clock({"tag": "L1", "kind": "longcase"}, NOW)
    assert "not read yet" in unknown(stand.home("L1", NOW).error_s)


@pytest.mark.parametrize("days", [0, -1, 400.1])
def test_days_that_cannot_be(stand: Stand, tmp_path: Path, days: float) -> None:
    here(stand, tmp_path)
    with pytest.raises(BadValue, match="days at home can't be told; give days, over 0 to 400"):
        stand.home("R1", NOW, days)


def test_how_to_leave_it_so_that_it_is_right_there(stand: Stand, tmp_path: Path) -> None:
    here(stand, tmp_path, warm_c=18.0, rod="steel", home_temperature_c=23, home_site=HIGH)
    stand.set_settings({"site": SHOP}, NOW)
    found = stand.for_home("R1", NOW)
    target = known(found.target)
    assert target.estimate == pytest.approx(21.744 + 5 * 0.40, abs=0.05)
    assert target.doubt == pytest.approx((4.4**2 + (5 * 0.25 * 1.96) ** 2) ** 0.5, rel=0.02)
    assert found.over_limit == 1, "a regulator may be a second out"
    # regulated to that, its error there is nought, whatever it is here
    there = stand.home("R1", NOW)
    assert known(there.error_s).estimate == pytest.approx(14 * (0.2 - target.estimate), abs=1.0)
    assert known(stand.for_home("R1", NOW, 0.5).target).estimate == pytest.approx(target.estimate + 0.5)
    stand.change_clock("R1", {"mean_rate_limit": "30"}, NOW)
    assert stand.for_home("R1", NOW).over_limit is None


def test_one_part_that_is_known_is_enough_and_neither_is_not(stand: Stand, tmp_path: Path) -> None:
    here(stand, tmp_path)
    because = unknown(stand.for_home("R1", NOW).target)
    assert because.startswith("its owner's latitude and height are not told")
    assert "the warmth of its owner's room is not told" in because
    stand.set_settings({"site": SHOP}, NOW)
    stand.change_clock("R1", {"home_site": SHOP}, NOW)
    half = stand.for_home("R1", NOW)
    assert known(half.target).estimate == pytest.approx(0)
    assert unknown(half.home.room_s_per_day)


def test_the_record_of_a_release_tells_it(stand: Stand, tmp_path: Path) -> None:
    here(stand, tmp_path, home_site=HIGH)
    stand.set_settings({"site": SHOP}, NOW)
    expected: Home = stand.home("R1", NOW)
    stand.release("R1", by="K. M.", waive={}, now=NOW)
    stand.set_settings({"site": "57,0"}, NOW)
    assert stand.released("R1", NOW).home == expected


WRONG_SITES = [
    ("north", "home_site 'north' is no place; give LAT,METRES, such as 51.5,30"),
    ("51.5", "home_site '51.5' is no place; give LAT,METRES, such as 51.5,30"),
    ("91,20", "home_site '91,20' is out of range: latitude -90 to 90, metres -500 to 9000; give LAT,METRES"),
    ("51.5,9001", "home_site '51.5,9001' is out of range"),
    ("nan,0", "home_site 'nan,0' is out of range"),
]


@pytest.mark.parametrize(("site", "sentence"), WRONG_SITES)
def test_a_place_that_is_none_is_refused_wherever_it_comes_in(
    stand: Stand, tmp_path: Path, site: str, sentence: str
) -> None:
    here(stand, tmp_path)
    cells: Mapping[str, object] = {"tag": "L1", "kind": "longcase", "home_site": site}
    with pytest.raises(BadValue) as added:
        stand.add_clock(cells, NOW)
    with pytest.raises(BadValue) as changed:
        stand.change_clock("R1", {"home_site": site}, NOW)
    with pytest.raises(BadValue) as imported:
        stand.import_ledger([write_ledger(tmp_path / "wrong", [dict(cells)], [])], NOW)
    assert str(added.value).startswith(sentence)
    assert str(changed.value).startswith(sentence)
    assert f"clocks.csv:2:3: {sentence}" in str(imported.value)


def test_readings_at_home_teach_the_move_and_nothing_else(tmp_path: Path) -> None:
    """What owners tell changes no number of the stand to the last bit: rate, noise, learning, all share, verdicts."""
    silent, told = (
        Stand(open_book(tmp_path / f"{name}.sqlite"), computer_zone=lambda: "Europe/London") for name in "st"
    )
    for tag in ("R2", "R3", "R4"):
        gone(silent, tmp_path / "rows", tag, warm_c=18.0)
    here(silent, tmp_path / "rows", warm_c=18.0)
    silent.export_ledger(tmp_path / "out")
    told.import_ledger([tmp_path / "out"], NOW)  # the same facts, by their ids
    later = NOW + 17 * DAY  # past two Mondays, on which the shop's clocks are learned from
    for n, tag in enumerate(("R2", "R3", "R4")):
        for day in (3, 9, 14):
            row: Row = {"tag": tag, "at": NOW + day * DAY, "error_s": 40.0 * day * (-1) ** n, "temperature_c": 25}
            told.check_in(row | {"amplitude_deg": 1.2, "going_mm": 300, "beat_error_pct": 3.9}, later)
        told.call(tag, {"reason": "far out", "error_s": 500.0, "at": NOW + 16 * DAY}, later)
        told.check_in({"tag": tag, "at": NOW + 16.5 * DAY, "work": "stopped", "explained": "no"}, later)
    assert told.learned(later) == silent.learned(later)
    assert told.common(later) == silent.common(later)
    for tag in ("R1", "R2", "R3", "R4"):
        plain, after = silent.assess(tag, later), told.assess(tag, later)
        assert after.estimates.time.rate == plain.estimates.time.rate
        assert after.estimates.time.drift == plain.estimates.time.drift
        assert after.estimates.time.daily_rates() == plain.estimates.time.daily_rates()
        assert after.estimates.time.reading_at(later) == plain.estimates.time.reading_at(later)
        assert after.estimates.time.suspects == plain.estimates.time.suspects
        assert after.estimates.swing == plain.estimates.swing
        assert after.estimates.power == plain.estimates.power
        assert after.verdicts == plain.verdicts
        assert after.going == plain.going
    assert told.home("R1", later).follow_ups == 3, "but of the move they tell"
    assert silent.home("R1", later).follow_ups == 0
    move, usual = told.home("R1", later).move_s_per_day, silent.home("R1", later).move_s_per_day
    assert move is not None
    assert usual is not None
    assert move > 3 * usual
    silent.close()
    told.close()
