"""The shop's own limits and the owner's place from the command line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Program
from tests.shop import NOW, regulator_ready, write_ledger


def ready(program: Program, tmp_path: Path, **columns: object) -> None:
    """The regulator R1, which gains 0.2 s/day, with every piece of evidence."""
    clock, rows = regulator_ready("R1")
    program("import", write_ledger(tmp_path / "rows", [clock | columns], rows))


def requirement(program: Program, name: str) -> dict[str, Any]:
    [found] = program("status", "R1", "--json").json["clocks"]
    return next(each for each in found["requirements"] if each["name"] == name)


def test_set_shows_them_and_an_empty_value_takes_them_back(program: Program) -> None:
    out = program("set", "longcase.mean_rate_limit=7", "torsion.beat_limit=8").out
    lines = [line.split() for line in out.splitlines()]
    assert ["longcase.mean_rate_limit", "7"] in [line[:2] for line in lines]
    assert ["torsion.beat_limit", "8"] in [line[:2] for line in lines]
    assert "longcase.mean_rate_limit" not in program("set", "longcase.mean_rate_limit=").out
    assert "torsion.beat_limit" in program("set").out


def test_an_unknown_kind_or_column_is_named_with_the_near_one(program: Program) -> None:
    assert "did you mean longcase?" in program("set", "longcse.least_days=9", code=4).err
    assert "did you mean least_days?" in program("set", "longcase.least_day=9", code=4).err
    assert "can't be switched off" in program("set", "longcase.beat_limit=off", code=4).err


def test_json_has_the_interface_s_keys_and_what_is_usual_where_it_differs(program: Program, tmp_path: Path) -> None:
    ready(program, tmp_path)
    plain = requirement(program, "mean-rate")
    assert list(plain) == ["name", "outcome", "observed", "limit", "because", "earliest"]
    program("set", "regulator.mean_rate_limit=2")
    asked = requirement(program, "mean-rate")
    assert list(asked) == [*plain, "usual"]
    assert (asked["limit"], asked["usual"]) == (2, 1)
    assert list(requirement(program, "day-range")) == list(plain)


def test_both_faces_of_a_clock_say_stricter_and_looser(program: Program, tmp_path: Path) -> None:
    ready(program, tmp_path)
    assert "WHAT THE SHOP ASKS" not in program("clock", "show", "R1").out
    program("set", "regulator.mean_rate_limit=2", "regulator.swing_limit=30")
    program("clock", "change", "R1", "least_days=28")
    shown = program("clock", "show", "R1").out
    assert "mean-rate           limit 2 s/day (the kind's 1: looser)" in shown
    assert "amplitude           at least 30 % (the kind's 25: stricter)" in shown
    assert "continuous-running  at least 28 days (the kind's 21: stricter)" in shown
    assert "; limit 2 s/day (the kind's 1: looser)" in program("status", "R1").out


def test_a_stricter_limit_keeps_it_and_a_looser_lets_it_go(program: Program, tmp_path: Path) -> None:
    ready(program, tmp_path)
    program("set", "regulator.mean_rate_limit=0.01")
    assert "mean-rate missed" in program("release", "R1", "--by", "K. M.", code=3).err
    program("clock", "change", "R1", "mean_rate_limit=3")
    program("release", "R1", "--by", "K. M.")


def test_a_column_that_cannot_be_is_refused(program: Program) -> None:
    wrong = program("clock", "add", "C1", "--kind", "carriage", "--swing-limit", "25", code=4).err
    assert "swing_limit 25: a balance needs 50 degrees to unlock at all" in wrong
    wrong = program("clock", "add", "C1", "--kind", "longcase", "--home-site", "51.5", code=4).err
    assert "home_site '51.5' is no place; give LAT,METRES" in wrong
    assert program("clock", "list").out.strip() == "TAG  KIND  SLOT  DESCRIPTION  OWNER"


@pytest.fixture
def told(program: Program, tmp_path: Path) -> Program:
    """R1 in a shop at sea level, to go home 1600 m up (CHECKS 4: it loses 21.744 s/day there, ±4.4 for the ground)."""
    ready(program, tmp_path, home_site="45,1600")
    program("set", "site=45,0")
    return program


def test_forecast_at_home_as_json(told: Program) -> None:
    [there] = told("forecast", "--home", 14, "R1", "--json").json
    keys = ["tag", "days", "error_s", "move_s_per_day", "follow_ups", "site_s_per_day", "room_s_per_day"]
    assert list(there) == keys
    assert there["site_s_per_day"]["estimate"] == pytest.approx(-21.744, abs=0.01)
    assert there["error_s"]["estimate"] == pytest.approx(14 * (0.2 - 21.744), abs=2)
    assert there["room_s_per_day"]["not_yet_known"].startswith("the warmth of its owner's room is")
    assert (there["follow_ups"], there["move_s_per_day"]) == (0, pytest.approx(2))


def test_forecast_at_home_in_words(told: Program) -> None:
    out = told("forecast", "--home", "1", "R1").out
    assert out.startswith("R1  1 day after it is set right at its owner's: 0:2")
    assert "slow ±" in out.splitlines()[0]
    assert "  the move changes a rate by about 2 s/day either way: as is usual; none of the shop's own" in out
    assert "  at its owner's place it loses 21.7 a day more than here, ±4.4 for the ground it stands on" in out
    assert "  the warmth of its owner's room is not told: what that does to it is left out" in out


def test_without_tags_it_is_all_that_are_still_here(told: Program) -> None:
    told("clock", "add", "L1", "--kind", "longcase")
    assert {each["tag"] for each in told("forecast", "--home", 14, "--json").json} == {"R1", "L1"}
    told("release", "R1", "--by", "K. M.")
    told("deliver", "R1", "--at", NOW.isoformat(), "--error", "0")
    assert {each["tag"] for each in told("forecast", "--home", 14, "--json").json} == {"L1"}
    assert "R1 is at its owner's; `standwatch forecast --at ISO R1`" in told("forecast", "--home", 14, "R1", code=3).err
    assert "-21" not in told("forecast", "--at", NOW.isoformat(), "R1", "--json").out


def test_how_a_forecast_is_asked(told: Program) -> None:
    told("forecast", "R1", code=2)
    told("forecast", "--home", 14, "--at", NOW.isoformat(), "R1", code=2)
    assert "give days, over 0 to 400" in told("forecast", "--home", 0, "R1", code=4).err
    assert told("forecast", "--home", "a fortnight", "R1", code=4).err


def test_regulated_for_home(told: Program) -> None:
    plain = told("regulate", "R1", "--json").json
    assert "not_yet_known" in plain, "it keeps time here"
    there = told("regulate", "R1", "--for-home", "--json").json
    assert list(there)[:4] == ["tag", "turns", "direction", "rate_after"]
    assert there["direction"] == "raise"
    target = there["target_s_per_day"]
    assert target["estimate"] == pytest.approx(21.744, abs=0.01)
    assert (target["high"] - target["low"]) / 2 == pytest.approx(4.4, abs=0.05)
    assert there["rate_after"]["estimate"] == pytest.approx(0.2 + 0.8 * (21.744 - 0.2), abs=0.5), "80 % the first time"
    out = told("regulate", "R1", "--for-home").out
    assert "R1: leave it gaining 21.7 a day here, ±4.4, so that it is right at its owner's" in out
    assert "left so, it misses its limit of 1 s/day here" in out
    assert "R1: raise the bob by" in out


def test_regulated_for_a_home_nobody_told(program: Program, tmp_path: Path) -> None:
    ready(program, tmp_path)
    out = program("regulate", "R1", "--for-home").out
    assert out.startswith("R1: how to leave it for home is not yet known: its owner's latitude and height are not told")
    assert "leave it:" not in out
    assert "raise" not in out
    found = program("regulate", "R1", "--for-home", "--json").json
    assert found["not_yet_known"] == found["target_s_per_day"]["not_yet_known"]
