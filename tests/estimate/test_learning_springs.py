"""What run-outs teach of springs: by shops of known truth, and what must not teach."""

from __future__ import annotations

import math
from datetime import timedelta

import numpy as np
import pytest

from standwatch.estimate.history import History
from standwatch.estimate.learned import DEFAULTS, Learned
from standwatch.estimate.learning import learn
from standwatch.estimate.learning_springs import LEAST_CLOCKS, likeliest_runs, spring_runs, told_by
from standwatch.estimate.power import power_of
from standwatch.estimate.springs import LOG_RATIOS, USUAL
from standwatch.model.answers import Moment
from standwatch.model.words import KindName, Train
from tests.estimate.weights_on_test import START, Ledger

DAY = timedelta(days=1)
RATED = 8


def runs_out(real: float, *, kind: str = "mantel") -> History:
    """A clock wound and read each morning till it is found run out after `real` days."""
    ledger = Ledger(kind=kind, trains="going", duration_h=24 * RATED)
    ledger.row(START, work="wound")
    for day in range(1, math.ceil(real)):
        ledger.row(START + day * DAY, error_s=1)
    ledger.row(START + math.ceil(real) * DAY, work="ran-out")
    return ledger.history(START + 40 * DAY)


def wound_weekly(*, until: int = 30) -> History:
    """A clock wound every seventh day, that never ran out."""
    ledger = Ledger(kind="mantel", trains="going", duration_h=24 * RATED)
    for day in range(until):
        ledger.row(START + day * DAY, error_s=1, work="wound" if day % 7 == 0 else None)
    return ledger.history(START + 40 * DAY)


def draw(rng: np.random.Generator, mean: float, sd: float) -> float:
    """The days of one run of one spring."""
    return RATED * float(np.exp(rng.normal(mean, sd))) * float(rng.normal(1, 0.03))


def shop(seed: int, clocks: int, mean: float = math.log(1.5), sd: float = 0.08) -> list[History]:
    """A shop whose springs run half as long again as rated."""
    rng = np.random.default_rng(seed)
    return [runs_out(draw(rng, mean, sd)) for _ in range(clocks)]


@pytest.mark.parametrize("mean", [0.0, math.log(1.5), 0.6])
def test_the_mean_and_the_spread_are_found(mean: float) -> None:
    found = spring_runs(shop(1, 30, mean=mean))[KindName.MANTEL]
    assert found.clocks == 30
    assert found.mean == pytest.approx(mean, abs=0.05)
    assert found.sd == pytest.approx(0.09, abs=0.04)


def test_fewer_clocks_than_eight_replace_nothing() -> None:
    assert spring_runs(shop(2, LEAST_CLOCKS - 1)) == {}
    assert list(spring_runs(shop(2, LEAST_CLOCKS))) == [KindName.MANTEL]


def test_springs_that_run_as_usual_replace_nothing() -> None:
    # quantiles of the usual itself, so that neither mean nor spread differs
    z = [-1.5, -1.0, -0.7, -0.4, -0.1, 0.1, 0.4, 0.7, 1.0, 1.5]
    assert spring_runs([runs_out(RATED * math.exp(USUAL.mean + USUAL.sd * each)) for each in z * 2]) == {}


def test_clocks_wound_in_time_teach_nothing() -> None:
    assert told_by(wound_weekly()) == []
    assert spring_runs([wound_weekly() for _ in range(12)]) == {}


def test_runs_seen_going_longer_than_rated_tell_the_least_they_can_be() -> None:
    ledger = Ledger(kind="mantel", trains="going", duration_h=24 * RATED)
    ledger.row(START, work="wound")
    for day in range(1, 12):
        ledger.row(START + day * DAY, error_s=1)
    [told] = told_by(ledger.history(START + 11.1 * DAY))
    assert told[np.searchsorted(LOG_RATIOS, math.log(10.0 / RATED))] < 0.01
    assert told[np.searchsorted(LOG_RATIOS, math.log(12.5 / RATED))] > 0.99


def test_more_clocks_leave_less_doubt_and_one_odd_spring_moves_little() -> None:
    told = [told_by(history)[0] for history in shop(3, 24)]
    few, many = likeliest_runs(told[:8]), likeliest_runs(told)
    assert many[1] < few[1]
    odd = likeliest_runs([*told[:23], told_by(runs_out(0.7 * RATED))[0]])
    assert odd[0] == pytest.approx(many[0], abs=0.03)


def test_other_kinds_and_weights_are_left_alone() -> None:
    found = spring_runs([*shop(4, 10), runs_out(9, kind="bracket")])
    assert list(found) == [KindName.MANTEL]


def said(history: History, learned: Learned) -> Moment:
    """When it runs out."""
    runs_down = next(run for run in power_of(history, learned).trains if run.train is Train.GOING).runs_out
    assert isinstance(runs_down, Moment)
    return runs_down


def test_the_next_clock_of_the_kind_is_told_nearer_and_its_interval_still_holds() -> None:
    learned = learn(shop(5, 20))
    assert list(learned.springs) == [KindName.MANTEL]
    ledger = Ledger(kind="mantel", trains="going", duration_h=24 * RATED)
    ledger.row(START, work="wound")
    history = ledger.history(START + DAY)
    rng = np.random.default_rng(6)
    ends = [START + draw(rng, math.log(1.5), 0.08) * DAY for _ in range(400)]
    misses, held = {}, {}
    for name, known in (("usual", DEFAULTS), ("taught", learned)):
        moment = said(history, known)
        misses[name] = float(np.median([abs((end - moment.at) / DAY) for end in ends]))
        held[name] = float(np.mean([moment.low <= end <= moment.high for end in ends]))
    assert misses["taught"] < misses["usual"] / 2
    # a little wide: 20 clocks don't tell a spread of .08 from one of .1, and one spring in ten is anything
    assert 0.93 <= held["taught"] <= 1.0
    taught, usual = said(history, learned), said(history, DEFAULTS)
    assert taught.high - taught.low < usual.high - usual.low
