"""A bump is told on every clock of its rail."""

from __future__ import annotations

from datetime import timedelta

from tests.cli.conftest import Program
from tests.shop import NOW


def test_every_clock_of_the_rail_says_so_for_a_day(program: Program) -> None:
    for tag, slot in (("L1", "A1"), ("L2", "A2"), ("L3", "B1")):
        program("clock", "add", tag, "--kind", "longcase", "--position", slot)
        program("checkin", tag, "--error", "5")
    program("work", "L1", "bumped", now=NOW + timedelta(minutes=5))
    said = "rail bumped Fri 20 Nov 09:05: what is read until Sat 21 Nov 09:05 is in doubt"
    soon = NOW + timedelta(hours=2)
    assert said in program("status", "L1", now=soon).out
    assert said in program("status", "L2", now=soon).out
    assert "bumped" not in program("status", "L3", now=soon).out
    assert "bumped" not in program("status", "L2", now=NOW + timedelta(days=1, minutes=6)).out
