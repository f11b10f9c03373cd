"""The shop's own limits in real books: from when they hold, where they don't, and on their way to another book."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.judge.assessment import Verdict
from standwatch.model.errors import BadValue
from standwatch.model.words import KindName, Outcome, Requirement
from standwatch.service.shop import checked, shop_of
from standwatch.service.shop_limits import LIMIT_COLUMNS, limit_words, limits_of
from standwatch.service.stand import Stand
from standwatch.store import open_book
from tests.service.conftest import OpenStand
from tests.shop import NOW, regulator_ready, write_ledger

DAY = timedelta(days=1)


def regulator(stand: Stand, tmp_path: Path, tag: str = "R1", **columns: object) -> None:
    """A regulator that gains 0.2 s/day and has every piece of evidence."""
    clock, rows = regulator_ready(tag)
    stand.import_ledger([write_ledger(tmp_path / tag, [clock | columns], rows)], NOW)


def verdict(stand: Stand, name: str, tag: str = "R1") -> Verdict:
    return stand.assess(tag, NOW).verdict(Requirement(name))


def test_a_limit_holds_from_when_it_is_set_and_until_it_is_taken_back(stand: Stand, tmp_path: Path) -> None:
    regulator(stand, tmp_path)
    assert verdict(stand, "mean-rate").outcome is Outcome.MET
    stand.set_settings({"regulator.mean_rate_limit": "0.01"}, NOW)
    strict = verdict(stand, "mean-rate")
    assert (strict.outcome, strict.limit, strict.usual) == (Outcome.MISSED, 0.01, 1)
    assert strict.told.endswith("limit 0.01 s/day (the kind's 1: stricter)")
    stand.set_settings({"regulator.mean_rate_limit": ""}, NOW)
    assert verdict(stand, "mean-rate").outcome is Outcome.MET
    assert not verdict(stand, "mean-rate").asked


def test_what_is_kept_of_the_stand_is_renewed(stand: Stand, open_stand: OpenStand, tmp_path: Path) -> None:
    """Another terminal sets the limit; what this one had worked out a moment ago is not taken as it is."""
    regulator(stand, tmp_path)
    keep = timedelta(minutes=5)
    [before] = stand.view(NOW, keep=keep).assessments
    assert stand.view(NOW + timedelta(seconds=1), keep=keep).assessments == (before,), "kept as long as nothing changes"
    open_stand().set_settings({"regulator.least_days": "60"}, NOW)
    [after] = stand.view(NOW + timedelta(seconds=1), keep=keep).assessments
    assert before.days_needed == 21
    assert after.days_needed == 60
    assert after.verdict(Requirement.CONTINUOUS_RUNNING).outcome is Outcome.NOT_YET_KNOWN


def test_of_another_kind_nothing_changes(stand: Stand, tmp_path: Path) -> None:
    regulator(stand, tmp_path)
    before = stand.assess("R1", NOW).verdicts
    stand.set_settings({"longcase.mean_rate_limit": "0.01", "longcase.least_days": "400"}, NOW)
    assert stand.assess("R1", NOW).verdicts == before


def test_a_looser_limit_lets_it_go_and_its_record_says_so(stand: Stand, tmp_path: Path) -> None:
    regulator(stand, tmp_path, mean_rate_limit=0.01)
    assert verdict(stand, "mean-rate").outcome is Outcome.MISSED
    stand.change_clock("R1", {"mean_rate_limit": "5"}, NOW)
    assert verdict(stand, "mean-rate").told.endswith("; limit 5 s/day (the kind's 1: looser)")
    stand.release("R1", by="K. M.", waive={}, now=NOW)
    [rate] = [judged for judged in stand.released("R1", NOW).outcomes if judged.name is Requirement.MEAN_RATE]
    assert (rate.outcome, rate.limit, rate.usual) == (Outcome.MET, 5, 1)


def test_a_released_clock_keeps_what_was_asked_then(stand: Stand, tmp_path: Path) -> None:
    regulator(stand, tmp_path)
    stand.set_settings({"regulator.mean_rate_limit": "0.8"}, NOW)
    stand.release("R1", by="K. M.", waive={}, now=NOW)
    before = stand.steps("R1")
    told = json.loads(before[-1].body.record or "")
    stand.set_settings({"regulator.mean_rate_limit": "0.01", "regulator.least_days": "90"}, NOW)
    assert stand.steps("R1") == before
    assert next(each for each in told["outcomes"] if each["name"] == "mean-rate")["limit"] == 0.8
    assert stand.assess("R1", NOW).standing == "released"
    assert stand.selfcheck().problems == ()


def test_starred_requirements_are_not_waived_by_any_limit(stand: Stand, tmp_path: Path) -> None:
    clock, rows = regulator_ready("R1", missing="beat")
    stand.import_ledger([write_ledger(tmp_path / "R1", [clock], rows)], NOW)
    stand.set_settings({f"regulator.{column}": "100" for column in LIMIT_COLUMNS if column != "least_days"}, NOW)
    assert verdict(stand, "beat").outcome is Outcome.NOT_YET_KNOWN


def test_two_books_have_their_own(stand: Stand, tmp_path: Path) -> None:
    regulator(stand, tmp_path)
    other = Stand(open_book(tmp_path / "other.sqlite"), computer_zone=lambda: "Europe/London")
    regulator(other, tmp_path / "again")
    other.set_settings({"regulator.mean_rate_limit": "0.01"}, NOW)
    assert verdict(stand, "mean-rate").outcome is Outcome.MET
    assert verdict(other, "mean-rate").outcome is Outcome.MISSED
    other.close()


def test_they_go_with_an_export_and_the_status_is_the_same(stand: Stand, tmp_path: Path) -> None:
    regulator(stand, tmp_path)
    own = {"regulator.mean_rate_limit": "0.01", "regulator.beat_limit": "1", "shop": "The Old Mill", "paper": "letter"}
    stand.set_settings(own, NOW)
    stand.set_settings({"regulator.beat_limit": ""}, NOW)
    stand.export_ledger(tmp_path / "out")
    there = Stand(open_book(tmp_path / "there.sqlite"), computer_zone=lambda: "Asia/Tokyo")
    there.import_ledger([tmp_path / "out"], NOW)
    assert there.shop == stand.shop
    assert (there.shop.name, there.shop.paper) == ("The Old Mill", "Letter")
    assert there.shop.limits == {KindName.REGULATOR: {"mean_rate_limit": 0.01}}
    assert there.assess("R1", NOW).verdicts == stand.assess("R1", NOW).verdicts
    assert sum(there.import_ledger([tmp_path / "out"], NOW).added.values()) == 0
    there.close()


def test_a_book_with_facts_keeps_its_own_and_says_what_differs(stand: Stand, tmp_path: Path) -> None:
    regulator(stand, tmp_path)
    stand.set_settings({"regulator.mean_rate_limit": "0.4"}, NOW)
    book = tmp_path / "book.csv"
    book.write_text("name,value\nregulator.mean_rate_limit,0.1\nregulator.beat_limit,\n", "utf-8")
    notes = stand.import_ledger([book], NOW).notes
    assert [note.split(";")[0] for note in notes] == ["regulator.mean_rate_limit stays 0.4"]
    assert verdict(stand, "mean-rate").limit == 0.4


def test_a_ledger_s_limit_that_cannot_be_is_refused_with_its_place(stand: Stand, tmp_path: Path) -> None:
    book = tmp_path / "book.csv"
    book.write_text("name,value\nlongcase.least_days,0\n", "utf-8")
    with pytest.raises(BadValue, match=r"book\.csv:2:2: longcase\.least_days '0' is out of range; give days, 1 to 400"):
        stand.import_ledger([book], NOW)


@pytest.mark.parametrize(
    ("name", "typed", "kept"),
    [
        ("longcase.mean_rate_limit", " 7.50 ", "7.5"),
        ("longcase.least_days", "21", "21"),
        ("carriage.swing_limit", "200", "200"),
        ("longcase-30h.beat_limit", "1e1", "10"),
        ("longcase.mean_rate_limit", "", ""),
        ("reference.mean_rate_limit", "0.002", "0.002"),
    ],
)
def test_what_is_kept(name: str, typed: str, kept: str) -> None:
    assert checked(name, typed) == kept
    assert checked(name, kept) == kept, "and comes back from an export as it went"
    assert len(limits_of({name: kept})) == (kept != "")


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("longcse.mean_rate_limit", "7", "no kind is called 'longcse'; did you mean longcase?"),
        ("grandfather.least_days", "7", "no kind is called 'grandfather'; there are regulator, "),
        ("longcase.mean_rate", "7", "no limit of a kind is called 'mean_rate'; did you mean mean_rate_limit?"),
        ("longcase.unlock_deg", "7", "no limit of a kind is called 'unlock_deg'; there are mean_rate_limit, "),
        ("longcase.mean_rate_limit", "seven", "longcase.mean_rate_limit 'seven' is not a number; give s/day, over 0"),
        ("longcase.mean_rate_limit", "-1", "longcase.mean_rate_limit '-1' is out of range; give s/day, over 0"),
        ("longcase.beat_limit", "nan", "longcase.beat_limit 'nan' is not a finite number; give per cent"),
        ("longcase.beat_limit", "None", "a limit can't be switched off; give a number, or nothing for the kind's own"),
        (
            "carriage.swing_limit",
            "25",
            "carriage.swing_limit 25: a balance needs 50 degrees to unlock at all; give the",
        ),
        ("reference.least_days", "9", "a reference is compared for its rate alone; give reference.mean_rate_limit"),
        ("papre", "A4", "no setting is called 'papre'; did you mean paper?"),
    ],
)
def test_what_cannot_be_set(name: str, typed: str, sentence: str) -> None:
    with pytest.raises(BadValue) as told:
        checked(name, typed)
    assert sentence in str(told.value)


def test_one_that_cannot_be_sets_none(stand: Stand) -> None:
    with pytest.raises(BadValue):
        stand.set_settings({"longcase.mean_rate_limit": "7", "longcase.least_days": "0"}, NOW)
    assert stand.shop.limits == {}


def test_they_are_listed_in_the_order_of_the_kinds_with_their_own_units(stand: Stand) -> None:
    own = {"torsion.beat_limit": "8", "longcase.mean_rate_limit": "7", "carriage.swing_limit": "200"}
    told = stand.set_settings(own, NOW)[-3:]
    assert [(each.name, each.value, each.given) for each in told] == [
        ("longcase.mean_rate_limit", "7", True),
        ("carriage.swing_limit", "200", True),
        ("torsion.beat_limit", "8", True),
    ]
    assert [each.words.split(";")[0] for each in told] == [
        "the most its mean rate may be, s/day",
        "the least swing of its balance, degrees",
        "the most its overswings may differ, degrees",
    ]


def test_every_limit_has_its_words() -> None:
    named = [f"{kind}.{column}" for kind in KindName if kind is not KindName.REFERENCE for column in LIMIT_COLUMNS]
    assert len({limit_words(name) for name in named}) == len(named)


@pytest.mark.parametrize(
    ("name", "typed", "kept"),
    [
        ("shop", "  The Old\nMill ", "The Old Mill"),
        ("shop", "None", "none"),
        ("paper", "letter", "Letter"),
        ("paper", "a4", "A4"),
        ("warranty_months", "012", "12"),
        ("warranty_months", "0", "0"),
        ("house_call_h", "3.50", "3.5"),
        ("held_week_h", ".25", "0.25"),
        ("held_week_h", "", "0.4"),
    ],
)
def test_the_papers_and_the_costs(name: str, typed: str, kept: str) -> None:
    assert checked(name, typed) == kept
    assert checked(name, kept) == kept


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("shop", "x" * 81, "is too long for a page's head; give 80 characters at most"),
        ("paper", "A5", "paper 'A5' is no size that papers are printed on; give A4 or Letter"),
        ("warranty_months", "1.5", "warranty_months '1.5' are no months; give a whole number, 0 to 120"),
        ("warranty_months", "121", "give a whole number, 0 to 120"),
        ("warranty_months", "-1", "give a whole number, 0 to 120"),
        ("house_call_h", "0", "house_call_h '0' are no hours of work; give a number, over 0 to 100"),
        ("house_call_h", "101", "give a number, over 0 to 100"),
        ("held_week_h", "nan", "held_week_h 'nan' are no hours of work; give a number, over 0 to 100"),
    ],
)
def test_papers_and_costs_that_cannot_be(name: str, typed: str, sentence: str) -> None:
    with pytest.raises(BadValue) as told:
        checked(name, typed)
    assert sentence in str(told.value)


def test_the_shop_of_a_book_that_says_nothing() -> None:
    shop = shop_of({}, "Europe/London")
    told = (shop.name, shop.paper, shop.warranty_months, shop.house_call_h, shop.held_week_h, shop.limits)
    assert told == ("", "A4", 12, 4.0, 0.4, {})
