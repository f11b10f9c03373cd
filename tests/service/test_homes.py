"""Clocks gone home: the forecast goes on there, and what follow-ups tell of one serves the next."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.service.stand import Stand
from tests.service.conftest import OpenStand
from tests.shop import NOW, regulator_ready, write_ledger

DAY = timedelta(days=1)


def sent_home(stand: Stand, tmp_path: Path, tag: str, error_s: float | None = 0.0) -> None:
    """A regulator that gains 0.2 s/day, delivered an hour after NOW."""
    clock, rows = regulator_ready(tag)
    stand.import_ledger([write_ledger(tmp_path / tag, [clock], rows)], NOW)
    stand.release(tag, by="K. M.", waive={}, now=NOW)
    at = NOW + timedelta(hours=1)
    stand.deliver(tag, {"at": at, **({} if error_s is None else {"error_s": error_s})}, at)


def forecast(stand: Stand, tag: str, at: datetime, now: datetime) -> Answer:
    [found] = stand.forecast([at], [tag], now)
    return found.error_s


def known(answer: Answer) -> Quantity:
    assert isinstance(answer, Quantity), answer
    return answer


def test_the_status_now_is_the_forecast_for_now(stand: Stand, tmp_path: Path) -> None:
    sent_home(stand, tmp_path, "R1", 1.0)
    now = NOW + 10 * DAY
    told = known(stand.assess("R1", now).error_s)
    assert told == forecast(stand, "R1", now, now)
    assert told.estimate == pytest.approx(1 + 2, abs=1)
    assert 10 * 2 * 1.96 < told.doubt < 10 * 2 * 1.96 * 2.2  # two s/day of the move, on a grid of them


def test_without_an_error_at_delivery_it_says_so(stand: Stand, tmp_path: Path) -> None:
    sent_home(stand, tmp_path, "R1", None)
    untold = forecast(stand, "R1", NOW + 10 * DAY, NOW + DAY)
    assert untold == NotYetKnown("its error was not told when it was delivered, nor since")


def test_a_reading_at_home_is_expected_and_told(stand: Stand, tmp_path: Path) -> None:
    sent_home(stand, tmp_path, "R1", 0.0)
    now = NOW + 14 * DAY
    receipt = stand.check_in({"tag": "R1", "error_s": 40.0}, now)
    assert receipt.found_s == 40.0
    expected = known(receipt.expected)
    assert expected.estimate == pytest.approx(14 * 0.2, abs=2)
    assert expected.high > 40
    assert not receipt.surprise
    after = known(forecast(stand, "R1", now + 14 * DAY, now))
    assert after.estimate == pytest.approx(80, abs=4)
    stand.undo("R1", now)
    assert known(forecast(stand, "R1", now + 14 * DAY, now)).estimate == pytest.approx(28 * 0.2, abs=2)


def test_follow_ups_of_others_narrow_it_and_its_own_are_not_counted_twice(
    stand: Stand, open_stand: OpenStand, tmp_path: Path
) -> None:
    tags = [f"R{n}" for n in range(1, 6)]
    for tag in tags:
        sent_home(stand, tmp_path, tag)
    ahead, now = NOW + 28 * DAY, NOW + 14 * DAY
    before = known(forecast(stand, "R1", ahead, now))
    for tag in tags[1:]:
        stand.call(tag, {"reason": "goes well", "error_s": 3.0}, now)  # hardly moved at all
    after = known(forecast(stand, "R1", ahead, now))
    assert after.doubt < 0.7 * before.doubt
    assert known(forecast(open_stand(), "R1", ahead, now)) == after  # from nothing, to the last bit
    assert known(forecast(stand, "R1", ahead, now - DAY)).doubt == pytest.approx(before.doubt, rel=0.1)


def test_what_a_clock_told_from_home_stays_when_it_comes_back(
    stand: Stand, open_stand: OpenStand, tmp_path: Path
) -> None:
    tags = [f"R{n}" for n in range(1, 6)]
    for tag in tags:
        sent_home(stand, tmp_path, tag)
    ahead, now = NOW + 28 * DAY, NOW + 14 * DAY
    for tag in tags[1:]:
        stand.call(tag, {"reason": "goes well", "error_s": 3.0}, now)
    taught = known(forecast(stand, "R1", ahead, now))
    back = now + DAY
    for tag in tags[1:]:
        stand.reopen(tag, reason="a loose hand", now=back)
    later = known(forecast(stand, "R1", ahead, back + DAY))
    assert later == taught
    assert known(forecast(open_stand(), "R1", ahead, back + DAY)) == later


def test_what_it_told_of_an_earlier_stay_counts_for_its_next(stand: Stand, tmp_path: Path) -> None:
    sent_home(stand, tmp_path, "R1")
    fresh = known(forecast(stand, "R1", NOW + 15 * DAY, NOW + 2 * DAY))
    stand.call("R1", {"reason": "goes well", "error_s": 3.0}, NOW + 14 * DAY)
    stand.reopen("R1", reason="polish the case", now=NOW + 15 * DAY)
    now = NOW + 15 * DAY + timedelta(hours=1)
    stand.check_in({"tag": "R1", "error_s": 3.0}, now)
    waived = dict.fromkeys(("mean-rate", "day-range", "oil"), "seen before")
    stand.release("R1", by="K. M.", waive=waived, now=now)
    gone = now + timedelta(hours=1)
    stand.deliver("R1", {"at": gone, "error_s": 0.0}, gone)
    again = known(forecast(stand, "R1", gone + 15 * DAY - timedelta(hours=1), gone))
    assert again.doubt < 0.9 * fresh.doubt


def test_it_says_that_the_owner_s_place_is_not_known(stand: Stand, tmp_path: Path) -> None:
    sent_home(stand, tmp_path, "R1")
    [there] = stand.forecast([NOW + 10 * DAY], ["R1"], NOW + DAY)
    assert there.place == (
        "its owner's latitude and height are not told: what that place does to it is left out; "
        "the warmth of its owner's room is not told: what that does to it is left out"
    )
    clock, rows = regulator_ready("R2")
    stand.import_ledger([write_ledger(tmp_path / "R2", [clock], rows)], NOW)
    [here] = stand.forecast([NOW + 10 * DAY], ["R2"], NOW + DAY)
    assert here.place == ""


def test_a_clock_taken_back_is_on_the_stand_again(stand: Stand, tmp_path: Path) -> None:
    sent_home(stand, tmp_path, "R1")
    now = NOW + 2 * DAY
    stand.reopen("R1", reason="stops", now=now)
    assert stand.assess("R1", now).estimates.home is None
