"""Leads in `status`: for a script and for a reader."""

from __future__ import annotations

from tests.cli.conftest import Program
from tests.cli.test_stand import gaining
from tests.shop import morning


def test_leads_are_told_with_their_odds(program: Program) -> None:
    gaining(program, days=8)
    assert program("status", "--json").json["clocks"][0]["leads"] == []
    assert "look into" not in program("status", "T1").out
    program("work", "T1", "oil-checked", "--amount", "1", "--note", "KM", "--at", morning(1).isoformat())
    (lead,) = program("status", "T1", "--json").json["clocks"][0]["leads"]
    assert set(lead) == {"code", "odds", "text"}
    assert lead["code"] == "oil-dark"
    assert 0.6 <= lead["odds"] < 1
    assert f"  look into   {lead['text']} (85 % likely)" in program("status", "T1").out
    program("undo", "T1")
    assert program("status", "--json").json["clocks"][0]["leads"] == []
