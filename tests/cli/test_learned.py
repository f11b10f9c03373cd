"""A shop whose clocks are not as the table says: what they teach is told, used, and can be turned off."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
import pytest

from standwatch.model.words import KindName
from tests.cli.conftest import Program
from tests.shop import Row, write_ledger
from tests.simulated.facts import MIDNIGHT, facts_of
from tests.simulated.nature import draw
from tests.simulated.stand import Watch, watched

DAYS, CLOCKS, SEED = 28, 16, 20260201
NOW = MIDNIGHT + timedelta(days=DAYS, hours=9)
"""The Monday after four weeks: all of them have taught."""


def shop(program: Program, kind: KindName, scale: float) -> float:
    """Clocks of `kind` that wander and are misread `scale` times the usual, read for four weeks.

    What a wind truly costs them, in the mean.
    """
    rng = np.random.default_rng(SEED)
    natures = draw(kind, CLOCKS, rng, scale=scale)
    told = facts_of(watched(natures, Watch(days=DAYS, thermometer=False), rng))
    clocks: list[Row] = [{"tag": each.clock.tag, "kind": kind.value} for each in told]
    rows: list[Row] = [
        {"at": body.at, "tag": body.tag, "error_s": body.error_s, "work": body.work}
        for each in told
        for _, record in each.records
        if (body := record.body)
    ]
    program("import", write_ledger(program.book.parent / "ledger", clocks, rows), now=NOW)
    return float(natures.loss_s.mean())


def test_restless_clocks_teach_that_their_kind_is_restless(program: Program) -> None:
    shop(program, KindName.MANTEL, 1.8)
    told = program("status", "--json", now=NOW).json
    learned = told["learned"]["noise"]["mantel"]
    assert learned["clocks"] == CLOCKS
    assert 1.2 < learned["white"] < 2.4
    assert 1.1 < learned["reading"] < 2.4
    assert told["learned"]["winding"] is None
    [line] = [each for each in program("status", now=NOW).out.splitlines() if each.startswith("learned from")]
    assert line.startswith(f"learned from {CLOCKS} mantel clocks: they wander ")
    assert f"{learned['white']:.1f} times the usual" in line
    # known to be restless, their rates are told with more doubt than the table would give them
    doubts = [_doubt(each) for each in told["clocks"]]
    program("set", "learning=no", now=NOW)
    usual = program("status", "--json", now=NOW).json
    assert usual["learned"] == {"noise": {}, "winding": None}
    assert "learned from" not in program("status", now=NOW).out
    assert np.median(doubts) > np.median([_doubt(each) for each in usual["clocks"]])
    program("set", "learning=yes", now=NOW)
    assert program("status", "--json", now=NOW).json == told


def test_the_first_week_teaches_nothing(program: Program) -> None:
    shop(program, KindName.MANTEL, 1.8)
    before = program("status", "--json", now=MIDNIGHT + timedelta(days=3)).json
    assert before["learned"] == {"noise": {}, "winding": None}


def test_what_a_wind_costs_is_learned_from_all_that_are_wound_so(program: Program) -> None:
    truth = shop(program, KindName.LONGCASE, 1.0)
    told = program("status", "--json", now=NOW).json["learned"]["winding"]
    assert told["clocks"] == CLOCKS
    assert told["seconds"] == pytest.approx(truth, abs=1.5)  # each clock's own is told to 1.7 s or so
    assert told["doubt_s"] > 0
    [line] = [each for each in program("status", now=NOW).out.splitlines() if each.startswith("a wind ")]
    assert line.endswith(f"(from {CLOCKS} clocks; usual 10)")


def _doubt(clock: dict[str, dict[str, float]]) -> float:
    rate = clock["rate_s_per_day"]
    return rate["high"] - rate["low"]


def test_springs_that_run_long_teach_how_long_the_next_of_their_kind_runs(program: Program) -> None:
    clocks: list[Row] = [{"tag": f"S{n}", "kind": "mantel", "trains": "going"} for n in range(11)]
    rows: list[Row] = [{"at": MIDNIGHT + timedelta(hours=8), "tag": f"S{n}", "work": "wound"} for n in range(10)]
    rows += [
        {"at": MIDNIGHT + timedelta(days=day, hours=8), "tag": f"S{n}", "error_s": 5 * day}
        for n in range(10)
        for day in range(1, 12)
    ]
    rows += [
        {"at": MIDNIGHT + timedelta(days=12 + n % 3, hours=8), "tag": f"S{n}", "work": "ran-out"} for n in range(10)
    ]
    rows.append({"at": MIDNIGHT + timedelta(days=27, hours=8), "tag": "S10", "error_s": 0.0, "work": "wound"})
    program("import", write_ledger(program.book.parent / "ledger", clocks, rows), now=NOW)
    [line] = [each for each in program("status", now=NOW).out.splitlines() if "springs run" in each]
    # rated for eight days, seen going on the eleventh, found run out on the twelfth to the fourteenth
    assert line.startswith("learned from 10 mantel clocks: springs run 1.4")
    taught = program("status", "S10", "--json", now=NOW).json["clocks"][0]["wind_down"]
    program("set", "learning=no", now=NOW)
    assert "springs run" not in program("status", now=NOW).out
    usual = program("status", "S10", "--json", now=NOW).json["clocks"][0]["wind_down"]
    wound = MIDNIGHT + timedelta(days=27, hours=8)
    ends = {
        name: (datetime.fromisoformat(w["at"]) - wound) / timedelta(days=1)
        for name, w in (("taught", taught), ("usual", usual))
    }
    assert ends["taught"] == pytest.approx(11.8, abs=0.4)
    assert ends["usual"] == pytest.approx(9.7, abs=0.3)
