"""A clock that comes back from its owner's: nobody knows who wound it there, and that time is evidence of nothing."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from standwatch.model.words import KindName
from tests.cli.complete_ledgers import complete
from tests.cli.conftest import Program
from tests.cli.ledger import keep, moment


def _returned(program: Program, kind: KindName) -> datetime:
    """Proved, let go, three weeks at home, back on the stand; the time of the next morning's round."""
    told = complete(kind)
    columns: dict[str, Any] = told.columns
    keep(program, told.kind, told.lines, now=told.now, **columns)
    last = moment(told.now)
    program("release", "T1", "--by", "K. M.", now=last)
    home = last + timedelta(days=1)
    program("deliver", "T1", "--at", home.isoformat(), "--error", "0", now=home)
    back = home + timedelta(days=14)
    program("reopen", "T1", "--reason", "it stopped there", now=back)
    return (back + timedelta(days=1)).replace(hour=8, minute=5)


def _seen(program: Program, now: datetime) -> Any:
    [clock] = program("status", "T1", "--json", now=now).json["clocks"]
    return clock


def _observed(clock: Any, name: str) -> Any:
    return next(row["observed"] for row in clock["requirements"] if row["name"] == name)


@pytest.mark.parametrize("kind", [KindName.CUCKOO, KindName.MANTEL, KindName.LONGCASE, KindName.CARRIAGE])
def test_the_weeks_at_home_are_no_run_of_one_wind(program: Program, kind: KindName) -> None:
    """A wind of 30 hours or of eight days that lasted for weeks was seen by nobody (common practice)."""
    told = complete(kind)
    morning = _returned(program, kind)
    before = _observed(_seen(program, moment(told.now)), "full-duration")
    program("checkin", "T1", "--error", "3", now=morning)
    back = _seen(program, morning)
    assert _observed(back, "full-duration") == before
    assert back["wind_down"]["not_yet_known"].endswith("told since it came back")
    assert back["suspected_work"] == []
    program("work", "T1", "wound", now=morning + timedelta(minutes=5))
    wound = _seen(program, morning + timedelta(minutes=6))
    at = datetime.fromisoformat(wound["wind_down"]["at"])
    rated = {KindName.CUCKOO: 30}.get(kind, 192)
    assert timedelta(hours=rated) <= at - morning <= timedelta(hours=1.6 * rated)


def test_a_swing_read_on_its_return_is_not_late_in_a_wind(program: Program) -> None:
    """Wound last on the stand three weeks ago, by its owner perhaps an hour ago."""
    told = complete(KindName.MANTEL)
    lack, columns = told.lacks["no swing late in a wind"], dict[str, Any](told.columns)
    keep(program, told.kind, told.lacking(lack), now=told.now, **columns)
    last = moment(told.now)
    program("release", "T1", "--by", "K. M.", "--waive", "amplitude=no late reading", now=last)
    home = last + timedelta(days=1)
    program("deliver", "T1", "--at", home.isoformat(), now=home)
    back = home + timedelta(days=14)
    program("reopen", "T1", "--reason", "it stopped there", now=back)
    program("checkin", "T1", "--amplitude", "5", now=back + timedelta(hours=1))
    rows = {row["name"]: row["outcome"] for row in _seen(program, back + timedelta(hours=1))["requirements"]}
    assert rows["amplitude"] == "not-yet-known"


def test_a_weight_read_on_its_return_tells_no_wind_that_nobody_noted(program: Program) -> None:
    morning = _returned(program, KindName.LONGCASE)
    program("checkin", "T1", "--error", "3", "--going-fall", "300", "--strike-fall", "290", now=morning)
    back = _seen(program, morning)
    assert back["suspected_work"] == []
    assert not [lead for lead in back["leads"] if "strike" in lead["code"] or "chime" in lead["code"]]
    at = datetime.fromisoformat(back["wind_down"]["at"])
    assert timedelta(days=4) < at - morning < timedelta(days=11)


def test_days_at_home_are_none_of_the_mean_rate_s(program: Program) -> None:
    told = complete(KindName.LONGCASE)
    morning = _returned(program, KindName.LONGCASE)

    def words(now: datetime) -> str:
        rows = _seen(program, now)["requirements"]
        return str(next(row["because"] for row in rows if row["name"] == "mean-rate")).partition(", ")[2]

    before = words(moment(told.now))
    program("checkin", "T1", "--error", "3", now=morning)
    assert int(words(morning).split()[1]) <= int(before.split()[1]) + 1


def test_what_travelled_is_told_to_be_entered(program: Program) -> None:
    """The pendulum was off twice (common practice); a clock that never left has only changed its mind."""
    told = complete(KindName.LONGCASE)
    columns: dict[str, Any] = told.columns
    keep(program, told.kind, told.lines, now=told.now, **columns)
    last = moment(told.now)
    program("release", "T1", "--by", "K. M.", now=last)
    assert "travelled" not in program("reopen", "T1", "--reason", "second thoughts", now=last).err
    program("release", "T1", "--by", "K. M.", now=last + timedelta(minutes=1))
    home = last + timedelta(days=1)
    program("deliver", "T1", "--at", home.isoformat(), now=home)
    said = program("reopen", "T1", "--reason", "it stopped there", now=home + timedelta(days=3)).err
    assert "it travelled: enter `moved` once it hangs here" in said
