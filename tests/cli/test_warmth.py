"""What warmth a rate holds for, as `status` tells it."""

from __future__ import annotations

from tests.cli.conftest import Program
from tests.cli.test_stand import gaining
from tests.shop import morning, write_csv


def test_the_warmth_a_rate_holds_for_is_told(program: Program) -> None:
    gaining(program, days=8)
    program("clock", "add", "T2", "--kind", "reference")
    by_tag = {each["tag"]: each for each in program("status", "--json").json["clocks"]}
    assert by_tag["T1"]["rate_named"] == "at the present temperature"
    assert by_tag["T2"]["rate_named"] == ""  # nothing is charged to a reference
    assert "s/day at the present temperature" in program("status", "T1").out
    program("checkin", "T2", "--temperature", "20.5")
    # one temperature is no log of the room
    assert program("status", "T1", "--json").json["clocks"][0]["rate_named"] == "at the present temperature"
    rows = [{"at": morning(d), "tag": "T2", "temperature_c": 20.5} for d in range(9)]
    program("import", write_csv(program.book.parent / "checkins.csv", rows, ("at", "tag")))
    assert program("status", "T1", "--json").json["clocks"][0]["rate_named"] == "at 20 °C"
    assert "s/day at 20 °C" in program("status", "T1").out
