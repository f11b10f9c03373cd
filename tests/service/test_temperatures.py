"""The stand's temperature log: what every clock is told of the room, and what is worked out again when it changes."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from standwatch.model.answers import Quantity
from standwatch.service.stand import Stand
from tests.service.conftest import OpenStand
from tests.service.test_stand import MINUTE, add, read
from tests.shop import NOW, morning, regulator_ready, write_ledger

Log = tuple[tuple[datetime, float], ...]


def log_of(stand: Stand, tag: str, now: datetime = NOW) -> Log:
    return stand.assess(tag, now).estimates.history.temperatures


@pytest.fixture
def pair(stand: Stand) -> Stand:
    """Two clocks read every morning; nobody has looked at the thermometer yet."""
    for tag in ("T1", "T2"):
        add(stand, tag)
        read(stand, tag)
    return stand


def test_a_temperature_is_the_stand_s_whichever_clock_s_row_it_stands_in(pair: Stand) -> None:
    pair.check_in({"tag": "T2", "at": morning(0), "temperature_c": 18.5}, NOW)
    pair.check_in({"tag": "T1", "at": morning(1), "temperature_c": 19}, NOW)
    assert log_of(pair, "T1") == log_of(pair, "T2") == ((morning(1), 19), (morning(0), 18.5))
    # a later one doesn't count yet
    assert log_of(pair, "T2", morning(0) - MINUTE) == ((morning(1), 19),)
    assert log_of(pair, "T2", morning(2)) == ()


def test_a_new_temperature_works_every_clock_out_again(pair: Stand, open_stand: OpenStand) -> None:
    before = {each.tag: each for each in pair.view(NOW).assessments}
    done = pair.check_in({"tag": "T1", "at": NOW, "temperature_c": 18}, NOW)
    after = {each.tag: each for each in pair.view(NOW).assessments}
    assert after["T2"] is not before["T2"]
    assert after["T2"].estimates.history.temperatures == ((NOW, 18),)
    pair.correct(done.id, {"temperature_c": "28"}, NOW)
    assert log_of(pair, "T2") == ((NOW, 28),)
    open_stand().undo("T1", NOW)  # at another terminal: of the correction
    assert log_of(pair, "T2") == ((NOW, 18),)
    pair.undo("T1", NOW)
    assert log_of(pair, "T2") == ()
    [fresh] = [each for each in open_stand().view(NOW).assessments if each.tag == "T2"]
    [kept] = [each for each in pair.view(NOW).assessments if each.tag == "T2"]
    assert (kept.verdicts, kept.error_s) == (fresh.verdicts, fresh.error_s)


def test_a_row_without_temperature_leaves_the_others_as_they_are(pair: Stand) -> None:
    pair.check_in({"tag": "T1", "at": morning(0), "temperature_c": 18}, NOW)
    before = {each.tag: each for each in pair.view(NOW).assessments}
    pair.check_in({"tag": "T1", "at": NOW, "error_s": 12}, NOW)
    after = {each.tag: each for each in pair.view(NOW).assessments}
    assert after["T1"] is not before["T1"]
    assert after["T2"] is before["T2"]
    assert after["T1"].estimates.history.temperatures is after["T2"].estimates.history.temperatures


def test_answers_kept_for_a_while_are_not_kept_over_a_new_temperature(pair: Stand) -> None:
    pair.view(NOW)
    pair.check_in({"tag": "T1", "at": NOW + MINUTE / 4, "temperature_c": 18}, NOW + MINUTE / 4)
    view = pair.view(NOW + MINUTE / 2, keep=MINUTE)
    assert all(each.estimates.history.temperatures for each in view.assessments)


def test_an_imported_temperature_counts(pair: Stand, tmp_path: Path) -> None:
    pair.view(NOW)
    pair.import_ledger([write_ledger(tmp_path / "in", [], [{"at": morning(0), "tag": "T1", "temperature_c": 17}])], NOW)
    assert log_of(pair, "T2") == ((morning(0), 17),)


def test_the_owner_s_room_is_not_the_stand_s(stand: Stand, tmp_path: Path) -> None:
    clock, rows = regulator_ready()
    rows[3]["temperature_c"] = 19  # on the stand
    stand.import_ledger([write_ledger(tmp_path / "in", [clock], rows)], NOW)
    add(stand, "T2")
    stand.release("R1", by="K. M.", waive={}, now=NOW)
    stand.deliver("R1", {"at": NOW}, NOW)
    stand.check_in({"tag": "R1", "at": NOW + MINUTE, "temperature_c": 24}, NOW + MINUTE)
    at = rows[3]["at"]
    assert log_of(stand, "T2", NOW + 2 * MINUTE) == ((at, 19),)
    stand.reopen("R1", reason="stops", now=NOW + 3 * MINUTE)
    stand.check_in({"tag": "R1", "at": NOW + 4 * MINUTE, "temperature_c": 20}, NOW + 4 * MINUTE)
    assert log_of(stand, "T2", NOW + 5 * MINUTE) == ((at, 19), (NOW + 4 * MINUTE, 20))


def test_what_was_expected_knows_nothing_of_its_own_row(pair: Stand) -> None:
    pair.check_in({"tag": "T1", "at": morning(0), "temperature_c": 19}, NOW)
    done = pair.check_in({"tag": "T2", "at": NOW, "error_s": 12, "temperature_c": 45}, NOW)
    assert log_of(pair, "T2") == ((morning(0), 19), (NOW, 45))
    before = pair._assessor.history("T2", NOW, without=done.id)
    assert before.temperatures == ((morning(0), 19),)


def test_a_cold_room_is_no_gain_of_the_clock_s_own(stand: Stand) -> None:
    """A plain balance loses 10.5 s/day a degree (E. Beckett 1903, p. 305: 10.3): cold by two, it gains 21."""
    add(stand, "T1", kind="carriage", balance="plain")
    add(stand, "T2")
    read(stand, "T1", days=20, rate=21.0)
    bare = stand.assess("T1", NOW).estimates.time
    assert isinstance(bare.rate, Quantity)
    assert bare.rate.estimate == pytest.approx(21, abs=1)
    assert bare.rate_named == "at the present temperature"
    ids = [stand.check_in({"tag": "T2", "at": morning(ago), "temperature_c": 18}, NOW).id for ago in range(20, -1, -1)]
    cold = stand.assess("T1", NOW).estimates.time
    assert isinstance(cold.rate, Quantity)
    assert cold.rate_named == "at 20 °C"
    assert cold.rate.low < 0 < cold.rate.high
    assert cold.rate.estimate == pytest.approx(0, abs=2)
    for each in ids:
        stand.correct(each, {"temperature_c": "20"}, NOW)
    mended = stand.assess("T1", NOW).estimates.time
    assert isinstance(mended.rate, Quantity)
    assert mended.rate.estimate == pytest.approx(21, abs=1)
