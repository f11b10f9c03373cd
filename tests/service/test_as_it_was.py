"""What a release's record keeps of its clock, against the rows of the ledger that it was released on."""

from __future__ import annotations

import json
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from statistics import fmean

import pytest

from standwatch import __version__
from standwatch.judge.assess import assess
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.facts import Waiver
from standwatch.model.records import build
from standwatch.model.release import ReleaseRecord
from standwatch.model.words import KindName, Outcome, Requirement, Train
from standwatch.service.release.as_it_was import POINTS, READINGS, RULES, as_it_was
from standwatch.service.shop import shop_of
from standwatch.service.stand import Stand
from tests.judge.judged import case
from tests.shop import NOW, Row, morning, regulator_ready, write_ledger
from tests.stories import daily

SHOP = shop_of({"shop": "Bench & Bell", "calls": "9;14", "warranty_months": "24", "paper": "Letter"}, "Europe/London")


def released(
    stand: Stand, folder: Path, clock: Row, rows: list[Row], settings: dict[str, str] | None = None
) -> ReleaseRecord:
    """The record of R1, let go at NOW with its oil waived."""
    stand.import_ledger([write_ledger(folder / "ledger", [clock], rows)], NOW)
    if settings:
        stand.set_settings(settings, NOW)
    stand.release("R1", by="K. M.", waive={"oil": "looked at in March"}, now=NOW)
    [record] = stand.releases("R1")
    return record


@pytest.fixture
def told(stand: Stand, tmp_path: Path) -> ReleaseRecord:
    """The record of a regulator whose days went 0.1 and 0.3 s fast in turn, on a stand of 18 and 20 deg C in turn."""
    clock, rows = regulator_ready(missing="oil")
    clock |= {"going_kg": 3.5, "owner": "E. Vane", "home_temperature_c": 21}
    error, day = 0.0, 0
    for row in rows:
        if "error_s" in row:
            row["error_s"], row["temperature_c"] = round(error, 1), 18 + 2 * (day % 2)
            error, day = error + (0.3 if day % 2 else 0.1), day + 1
    rows.append({"at": morning(2), "tag": "R1", "work": "moved", "note": "B2"})
    rows[-1]["at"] = morning(27) + timedelta(minutes=1)
    settings = {"shop": "Bench & Bell", "calls": "9;14", "warranty_months": "24", "paper": "Letter"}
    return released(stand, tmp_path, clock, rows, settings | {"regulator.mean_rate_limit": "0.8"})


def test_who_when_where_and_by_which_rules(told: ReleaseRecord) -> None:
    assert (told.tag, told.at, told.by, told.program, told.rules) == ("R1", NOW, "K. M.", __version__, RULES)
    assert (told.zone, told.shop, told.paper) == ("Europe/London", "Bench & Bell", "Letter")
    assert (told.position, told.clock.owner, told.clock.going_kg) == ("B2", "E. Vane", 3.5)
    assert told.first_call_days == (2, 9, 14)  # a movement without its case: on the second day too
    assert told.warranty_months == 24
    assert told.days == pytest.approx(28 + 1 / 24, abs=0.05)
    assert told.days_needed == 21  # the regulator's, TRADE's table: common practice
    assert told.opened_at is None


def test_outcomes_with_what_was_asked_and_what_is_usual(told: ReleaseRecord) -> None:
    outcomes = {each.name: each for each in told.outcomes}
    assert list(outcomes) == list(Requirement)
    rate = outcomes[Requirement.MEAN_RATE]
    assert (rate.outcome, rate.limit, rate.usual, rate.unit) == (Outcome.MET, 0.8, 1.0, "s/day")
    assert isinstance(rate.observed, Quantity)
    oil = outcomes[Requirement.OIL]
    assert (oil.outcome, oil.waived, oil.found) == (Outcome.WAIVED, "looked at in March", Outcome.NOT_YET_KNOWN)
    assert outcomes[Requirement.BEAT].waived is None
    assert (told.beat, told.beat_unit) == (1.5, "%")


def test_daily_rates_after_iso_3159_by_hand(told: ReleaseRecord) -> None:
    """26 daily rates since it settled in its slot, 0.1 and 0.3 in turn: mean 0.2, each 0.2 from the one before.

    Definitions of ISO 3159 as an accrediting observatory tells them; the standard itself was not read.
    """
    assert told.daily is not None
    assert told.daily.days == 26
    assert told.daily.mean == pytest.approx(0.2)
    assert told.daily.mean_variation == pytest.approx(0.2)
    assert told.daily.greatest_variation == pytest.approx(0.2)
    assert told.daily.greatest_difference == pytest.approx(0.1)


def test_readings_line_and_rates_for_the_charts(told: ReleaseRecord) -> None:
    assert [reading.at for reading in told.readings] == [morning(day) for day in range(28, -1, -1)]
    assert all(reading.sound for reading in told.readings)
    assert [b.error_s - a.error_s for a, b in pairwise(told.readings)] == pytest.approx([0.1, 0.3] * 14)
    assert POINTS <= len(told.trace) <= POINTS + 20
    assert told.trace[0].starts
    assert (told.trace[0].at, told.trace[-1].at) == (morning(28), NOW)
    assert all(point.low <= point.error_s <= point.high for point in told.trace)
    read = {reading.at: reading.error_s for reading in told.readings}
    on_reading = [(point.error_s, read[point.at]) for point in told.trace if point.at in read]
    assert on_reading
    assert all(line == pytest.approx(error, abs=1) for line, error in on_reading)
    estimates = [rate.rate_s_per_day for rate in told.rates]
    assert all(isinstance(rate, Quantity) for rate in estimates)
    assert fmean(r.estimate for r in estimates if isinstance(r, Quantity)) == pytest.approx(0.2, abs=0.02)


def test_works_in_words_warmth_and_the_weight(told: ReleaseRecord) -> None:
    words = [done.words for done in told.works]
    assert words == ["restarted", "wound to the top", "moved to B2", *["wound to the top"] * 3, "safety signed (K. M.)"]
    assert told.warmth is not None
    assert (told.warmth.low_c, told.warmth.high_c) == (18, 20)
    assert told.warmth.mean_c == pytest.approx(19, abs=0.1)
    assert 20 <= told.warmth.readings <= 29
    [train] = told.trains
    assert (train.train, train.wound_at, train.kg, train.turns) == (Train.GOING, morning(5), 3.5, None)
    assert isinstance(train.fall_mm, Quantity)
    assert train.fall_mm.low < 150 * 5 + 150 / 24 < train.fall_mm.high  # 150 mm a day for five days and an hour
    assert train.runs_out is not None
    assert told.strikes is None  # a regulator has no bell
    assert isinstance(told.spare_pct, Quantity)
    assert told.spare_pct.estimate == pytest.approx(100 * (1.6 / 1.1 - 1))


def test_the_line_reads_back_to_the_same_record(stand: Stand, told: ReleaseRecord) -> None:
    text = next(step.body.record for step in stand.steps("R1") if step.body.what == "released")
    assert text is not None
    told_again = ReleaseRecord.model_validate_json(text)
    assert told_again == told
    kept = json.loads(text)
    assert kept["at"] == NOW.isoformat()
    assert kept["clock"]["kind"] == "regulator"
    assert "\n" not in text


def test_very_many_readings_are_chosen_evenly_and_the_doubted_stay(stand: Stand, tmp_path: Path) -> None:
    clock, rows = regulator_ready(missing="oil")
    more: list[Row] = [
        {"at": morning(28) + timedelta(hours=n), "tag": "R1", "error_s": round(0.2 * n / 24, 2)}
        for n in range(1, 28 * 24)
        if n % 24
    ]
    more[300]["error_s"] = 40.0  # a slip
    told = released(stand, tmp_path, clock, rows + more)
    assert len(rows + more) > READINGS
    assert READINGS <= len(told.readings) <= READINGS + 1
    assert (told.readings[0].at, told.readings[-1].at) == (morning(28), morning(0))
    assert [reading.error_s for reading in told.readings if not reading.sound] == [40.0]
    gaps = [b.at - a.at for a, b in pairwise(told.readings)]
    assert max(gaps) <= timedelta(hours=3)


def test_of_strikes_heard_the_rule_of_three(stand: Stand) -> None:
    """Of 13 strikes heard and none wrong, 3 in 13 could be (Hanley and Lippman-Hand, JAMA 249 (1983) 1743)."""
    heard = [f"11-03 {8 + n % 10:02}:00 hour={n} blows={n} staged=yes" for n in range(1, 13)]
    lines = ["11-02 08:00 work=wound", *sorted(heard), "11-04 09:00 hour=9 blows=9", "11-05 08:00 error_s=1"]
    told = case("longcase", lines, now="11-05 09:00")
    found = assess(told.estimates, told.going, told.rounds)
    record = as_it_was(found, [], [], by="K. M.", shop=SHOP)
    assert record.strikes is not None
    assert (record.strikes.heard, record.strikes.wrong) == (13, 0)
    assert record.strikes.allow == pytest.approx(3 / 13)
    wrong = case("longcase", [*lines, "11-05 08:30 hour=8 blows=7"], now="11-05 09:00")
    again = as_it_was(assess(wrong.estimates, wrong.going, wrong.rounds), [], [], by="K. M.", shop=SHOP).strikes
    assert again is not None
    assert (again.heard, again.wrong, again.allow) == (14, 1, None)


@pytest.mark.parametrize("kind", KindName)
@pytest.mark.parametrize("lines", [[], ["11-02 08:00 work=wound", "11-03 08:00 error_s=1", "11-04 08:00 error_s=2"]])
def test_of_every_kind_a_record_can_be_written_and_read(kind: KindName, lines: list[str]) -> None:
    """However little is known of it: what isn't known says so, and nothing is guessed."""
    told = case(kind, lines, now="11-05 09:00")
    record = as_it_was(assess(told.estimates, told.going, told.rounds), [], [], by="K. M.", shop=SHOP)
    assert ReleaseRecord.model_validate_json(record.model_dump_json(exclude_none=True)) == record
    assert isinstance(record.rate_s_per_day, NotYetKnown) is not bool(lines)
    assert (record.daily, record.warmth) == (None, None)
    assert len(record.readings) == len(lines[1:])


def test_only_what_came_after_the_opening(stand: Stand) -> None:
    before = daily("11-02 08:00", "11-09 08:00", "error_s={d:.1f}")
    after = daily("11-11 08:00", "11-20 08:00", "error_s={2*d:.1f}")
    opened = '11-10 08:00 work=opened note="bush, escape"'
    told = case("longcase", [*before, opened, "11-10 12:00 work=restarted", *after], now="11-20 09:00")
    found = assess(told.estimates, told.going, told.rounds)
    waiver = build(Waiver, {"at": NOW, "tag": "T1", "requirement": "oil", "reason": "dry week", "by": "K. M."})
    record = as_it_was(found, [], [waiver], by="K. M.", shop=SHOP)
    assert record.opened_at is not None
    times = [r.at for r in record.readings] + [p.at for p in record.trace] + [r.at for r in record.rates]
    assert all(at > record.opened_at for at in (*times, *(done.at for done in record.works)))
    assert len(record.readings) == 10
    assert [done.words for done in record.works] == ["restarted"]
