"""`status` names what all clocks share; `status --json` has it under "common"."""

import re
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.cli.conftest import Program
from tests.estimate.stand_together import FIRST, Happening, jump_of, ledger_of, nothing, stand
from tests.shop import write_ledger

NOW = FIRST + timedelta(days=17, minutes=50)


def filled(program: Program, folder: Path, happens: Happening) -> None:
    ledger = write_ledger(folder / "ledger", *ledger_of(stand(7, days=18, happens=happens)))
    program("import", str(ledger), now=NOW)


def test_a_jump_of_the_reference(program: Program, tmp_path: Path) -> None:
    filled(program, tmp_path, jump_of(60, 16))
    told = program("status", now=NOW).out
    assert re.search(r"\n {2}1[234] clocks all (59|60|61) s fast since Wed 21 Oct: check the reference\n", told)
    common = program("status", "--json", now=NOW).json["common"]
    assert common["heating"] is None
    [jump] = common["reference_jumps"]
    assert set(jump) == {"at", "seconds", "doubt_s", "clocks"}
    assert jump["at"].endswith("+00:00")
    assert datetime.fromisoformat(jump["at"]) - FIRST < timedelta(days=17)
    assert jump["seconds"] == pytest.approx(60, abs=2)
    assert 0 < jump["doubt_s"] < 2
    assert jump["clocks"] >= 12
    of_one = program("status", "T3", "--json", now=NOW).json
    assert of_one["common"] == common
    every = {each["tag"]: each for each in program("status", "--json", now=NOW).json["clocks"]}
    assert of_one["clocks"] == [every["T3"]]


def test_nothing_shared(program: Program, tmp_path: Path) -> None:
    filled(program, tmp_path, nothing)
    assert "reference" not in program("status", now=NOW).out.partition("SLOT")[0]
    assert program("status", "--json", now=NOW).json["common"] == {"reference_jumps": [], "heating": None}


def test_the_demo_names_nothing(program: Program) -> None:
    told = program("demo", "--print").out
    assert "check the reference" not in told
    assert "steel pendulums" not in told
