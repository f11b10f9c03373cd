"""What the clocks share, through the service on a real book: named on the stand and charged to none of them."""

from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from standwatch.judge.assessment import Need
from standwatch.model.answers import Answer, Quantity
from standwatch.service.stand import Stand
from standwatch.store import open_book
from tests.estimate.stand_together import FIRST, FOURTEEN, Happening, jump_of, ledger_of, nothing, stand, warmer
from tests.service.conftest import OpenStand
from tests.shop import NOW as SHOP_NOW
from tests.shop import regulator_ready, write_ledger

WEDNESDAY, DAYS = 16, 24
NOW = FIRST + timedelta(days=DAYS - 1, hours=1)
JUMPED = jump_of(60, WEDNESDAY)


@pytest.fixture
def shop(open_stand: OpenStand, tmp_path: Path) -> Stand:
    """Fourteen clocks, of which all read a minute fast since a Wednesday."""
    return filled(open_stand(), tmp_path, JUMPED)


def filled(shop: Stand, folder: Path, happens: Happening, clocks: int = 14) -> Stand:
    """The simulated stand in a real book."""
    ledger = ledger_of(stand(7, FOURTEEN[:clocks], days=DAYS, happens=happens))
    shop.import_ledger([write_ledger(folder / "ledger", *ledger)], NOW)
    return shop


def test_a_jump_of_the_reference_is_named_on_the_stand(shop: Stand) -> None:
    [jump] = shop.view(NOW).common.jumps
    assert (jump.at - FIRST).days == WEDNESDAY
    assert jump.seconds == pytest.approx(60, abs=2)
    assert jump.clocks >= 12
    assert shop.common(NOW).jumps == (jump,)


def test_an_ordinary_stand_shares_nothing(open_stand: OpenStand, tmp_path: Path) -> None:
    common = filled(open_stand(), tmp_path, nothing).view(NOW).common
    assert common.jumps == ()
    assert common.heating is None


def test_a_clock_asked_for_alone_says_what_the_whole_stand_says(shop: Stand, open_stand: OpenStand) -> None:
    whole = {a.tag: a for a in shop.view(NOW).assessments}
    assert len(whole) == 14
    for tag, one in whole.items():
        alone = open_stand().assess(tag, NOW)  # another process, which has worked out nothing yet
        assert alone.estimates.history.common == one.estimates.history.common
        assert alone.error_s == one.error_s
        assert alone.estimates.time.rate == one.estimates.time.rate
        assert alone.verdicts == one.verdicts


def test_a_stand_kept_up_to_date_says_what_one_read_anew_says(shop: Stand, open_stand: OpenStand) -> None:
    """The fifth clock of a round completes what they share; those read before it follow."""
    back = NOW + timedelta(days=1)
    shop.view(NOW)
    for n in range(14):
        tag = f"T{n}"
        expected = shop.assess(tag, back).estimates.time.error_at(back)
        read = expected.estimate - 60 if isinstance(expected, Quantity) else 0.0
        shop.check_in({"tag": tag, "at": back + timedelta(seconds=n), "error_s": round(read, 1)}, back)
    later = back + timedelta(minutes=1)
    kept, anew = shop.view(later, keep=timedelta(minutes=5)), open_stand().view(later)
    assert kept.common == anew.common
    assert len(kept.common.jumps) == 2
    for a, b in zip(kept.assessments, anew.assessments, strict=True):
        assert a.estimates.history.common == b.estimates.history.common


def test_what_was_expected_knows_nothing_of_its_own_reading(open_stand: OpenStand, tmp_path: Path) -> None:
    """Four of five clocks say a minute; the fifth is still a surprise, and completes it."""
    shop = filled(open_stand(), tmp_path, nothing, clocks=5)
    day = NOW + timedelta(days=1)
    surprises = []
    for n in range(5):
        expected = shop.assess(f"T{n}", NOW).estimates.time.error_at(day)
        assert isinstance(expected, Quantity)
        cells = {"tag": f"T{n}", "error_s": round(expected.estimate + 60, 1)}
        surprises.append(shop.check_in(cells, day + timedelta(minutes=n)).surprise)
    assert surprises == [True] * 5
    assert len(shop.common(day + timedelta(minutes=9)).jumps) == 1


def test_taking_a_reading_back_takes_back_what_it_completed(open_stand: OpenStand, tmp_path: Path) -> None:
    shop = filled(open_stand(), tmp_path, nothing, clocks=5)
    day = NOW + timedelta(days=1)
    for n in range(5):
        expected = shop.assess(f"T{n}", NOW).estimates.time.error_at(day)
        assert isinstance(expected, Quantity)
        shop.check_in({"tag": f"T{n}", "error_s": round(expected.estimate + 60, 1)}, day)
    assert len(shop.common(day).jumps) == 1
    shop.undo("T3", day)
    assert shop.common(day).jumps == ()


def test_a_clock_that_has_left_keeps_its_voice_in_what_happened(open_stand: OpenStand, tmp_path: Path) -> None:
    friday = 32
    clocks, rows = ledger_of(stand(7, FOURTEEN[1:5], days=46, happens=jump_of(60, friday)))
    regulator, read = regulator_ready()
    jumped = FIRST + timedelta(days=friday)
    for row in read:
        at, error = row["at"], row.get("error_s")
        if isinstance(at, datetime) and isinstance(error, float) and at >= jumped:
            row["error_s"] = error + 60
    shop, now = open_stand(), SHOP_NOW
    shop.import_ledger([write_ledger(tmp_path / "ledger", [*clocks, regulator], [*rows, *read])], now)
    [jump] = shop.common(now).jumps
    assert jump.clocks == 5
    shop.release("R1", by="K. M.", waive={}, now=now)
    shop.deliver("R1", {"at": now}, now)
    later = now + timedelta(days=20)
    for days in (2, 14):
        shop.call("R1", {"reason": "well", "at": now + timedelta(days=days)}, later)
    assert "R1" not in {a.tag for a in shop.view(later).assessments}
    assert shop.common(later).jumps == (jump,)


def test_time_passing_works_nothing_out_again(shop: Stand) -> None:
    first = shop.common(NOW)
    assert shop.common(NOW + timedelta(hours=3)) is first


def test_a_jump_of_the_reference_is_charged_to_no_clock(shop: Stand) -> None:
    for found in shop.view(NOW).assessments:
        time = found.estimates.time
        assert time.suspects == ()
        assert time.suspected_work == ()
        assert found.need not in {Need.SUSPECT, Need.STANDS_STILL}
        # the reference still reads so: the next reading is expected a minute fast as well
        readings = found.estimates.history.readings
        last, expected = readings[-1], found.error_s
        assert isinstance(expected, Quantity)
        assert last.error_s is not None
        assert expected.low - 10 < last.error_s < expected.high + 10


def test_the_rate_is_that_of_a_stand_whose_reference_never_jumped(shop: Stand, tmp_path: Path) -> None:
    other = Stand(open_book(tmp_path / "other.sqlite"), computer_zone=lambda: "Europe/London")
    (tmp_path / "quiet").mkdir()
    filled(other, tmp_path / "quiet", nothing)
    quiet = {a.tag: a.estimates.time.rate for a in other.view(NOW).assessments}
    other.close()
    for found in shop.view(NOW).assessments:
        rate, without = found.estimates.time.rate, quiet[found.tag]
        assert isinstance(rate, Quantity)
        assert isinstance(without, Quantity)
        assert rate.estimate == pytest.approx(without.estimate, abs=0.5 * without.doubt)
        assert rate.doubt == pytest.approx(without.doubt, rel=0.3)


def test_the_rooms_warmth_is_named_and_charged_to_no_clock(open_stand: OpenStand, tmp_path: Path) -> None:
    days = 33
    now = FIRST + timedelta(days=days - 1, hours=1)
    rates: list[dict[str, Answer]] = []
    for name, by in (("usual", 0.0), ("warm", 8.0)):
        shop = Stand(open_book(tmp_path / f"{name}.sqlite"), computer_zone=lambda: "Europe/London")
        ledger = ledger_of(stand(1, days=days, warmer=warmer(by, 21)))
        shop.import_ledger([write_ledger(tmp_path / name, *ledger)], now)
        view = shop.view(now)
        assert (view.common.heating is not None) is bool(by)
        rates.append({a.tag: a.estimates.time.rate for a in view.assessments})
        shop.close()
    lost = []
    for tag in ("T1", "T2", "T4", "T12"):  # the longcases, which lose 3.2 a day by it
        usual, warm = (each[tag] for each in rates)
        assert isinstance(usual, Quantity)
        assert isinstance(warm, Quantity)
        lost.append(usual.estimate - warm.estimate)
    assert abs(float(np.mean(lost))) < 1.6
