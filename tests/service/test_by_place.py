"""The stand by place: rails in order, their warmth, who swings alike beside whom."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

from standwatch.service.by_place import Pair, RailView, by_place, rail_words
from tests.tui.shop import NOW, ZONE, open_shop, write_ledger


def test_the_shop_by_place(tmp_path: Path) -> None:
    stand = open_shop(tmp_path / "book.db")
    stand.import_ledger([write_ledger(tmp_path / "ledger")], NOW)
    stand.check_in({"tag": "2405", "at": NOW - timedelta(hours=1), "temperature_c": 19.5}, NOW)
    rails = by_place(stand.view(NOW).assessments, NOW)
    assert [rail.name for rail in rails] == ["A", "B", "C"]
    assert [found.estimates.history.position for found in rails[0].clocks] == ["A1", "A2", "A3", "A4", "A5", "A6"]
    assert (rails[0].warmth_c, rails[1].warmth_c) == (19.5, None)
    # the longcases of A1 and A5 and the regulator of A6 beat seconds; A2 and A3 don't, and a balance or another beat
    # between two does not part them
    assert [(pair.left, pair.right) for pair in rails[0].pairs] == [("A5", "A6")]
    assert rail_words(rails[0], ZONE).startswith("rail A   19.5 °C at Fri 07:20")
    stand.check_in({"tag": "2402", "at": NOW, "work": "cased"}, NOW)
    assert by_place(stand.view(NOW).assessments, NOW)[0].pairs == (), "a clock in its own case pulls at none"
    old = by_place(stand.view(NOW).assessments, NOW + timedelta(days=2))
    assert old[0].warmth_c is None
    stand.close()


def test_near_neighbours_are_to_be_isolated() -> None:
    rail = RailView("C", (), None, None, (Pair("C1", "C2", 0.04), Pair("C2", "C3", 9.0)))
    assert rail_words(rail, ZONE) == "rail C   C1 and C2 within 0.1 s/day: isolate before judging"
    far = replace(rail, pairs=(Pair("C1", "C2", None), Pair("C2", "C3", 2.0)))
    assert rail_words(far, ZONE) == "rail C   C1 C2, C2 C3 swing alike"
    assert rail_words(replace(rail, name=""), ZONE) == "no slot"
