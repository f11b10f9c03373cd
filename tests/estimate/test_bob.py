"""The passage past the bob against weights with known truth: when they were at its height, and clear of it."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
import pytest

from standwatch.estimate.bob import BELOW_BOB_MM, passages_of
from standwatch.estimate.power import power_of
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import Train, Work
from tests.estimate.weights_on_test import QUARTER, START, Ledger, Weight, an_eye
from tests.stories import daily, story


@pytest.mark.parametrize("cause", ["going", "strike"])
@pytest.mark.parametrize("day", [2, 5, 7])
def test_the_interval_holds_the_truth(cause: str, day: int) -> None:
    # 60 clocks each: of a true 95 % interval, fewer than 51 hold in one run in a thousand (binomial law)
    held = [_held(np.random.default_rng([seed, day]), cause, day) for seed in range(60)]
    assert sum(enters for enters, _ in held) >= 51
    assert sum(leaves for _, leaves in held) >= 51


def _held(rng: np.random.Generator, cause: str, day: int) -> tuple[bool, bool]:
    """Whether both ends were held, asked on `day` of a wind that is read every morning."""
    place, told = rng.uniform(500, 800), rng.normal(0, 10)
    weight = Weight(cause, 165 * rng.normal(1, 0.15), rng.normal(0, 0.03), 1400.0, rng.uniform(0, 12))
    eye = an_eye(rng)
    ledger = Ledger(kind="longcase", bob_below_top_mm=place + told, going_usable_mm=1400, strike_usable_mm=1400)
    ledger.row(START, work=Work.WOUND)
    at = START.replace(minute=15)
    asked = START + timedelta(days=day, minutes=5)
    true: dict[int, datetime] = {}
    while len(true) < 2:
        at += QUARTER
        weight.quarter(at)
        if at.hour == 8 and at.minute == 15 and at < asked:
            ledger.row(at + timedelta(minutes=5), error_s=0.0, **{f"{cause}_mm": eye.read(weight.fall, rng)})
        for n, mm in enumerate((place, place + BELOW_BOB_MM)):
            if weight.fall >= mm and n not in true:
                true[n] = at
    history = ledger.history(asked)
    found = passages_of(history, power_of(history))
    assert not isinstance(found, NotYetKnown), found.because
    passage = next(one.passage for one in found if one.run.train is Train(cause))
    slack = timedelta(hours=12) if cause == "strike" else QUARTER  # the strike weight falls in steps, most at noon
    return tuple(
        end.low - slack <= true[n] <= end.high + slack for n, end in enumerate((passage.enters, passage.leaves))
    )  # type: ignore[return-value]


def test_a_wind_begun_below_the_bob_never_passes_it() -> None:
    ledger = Ledger(kind="regulator", bob_below_top_mm=300)
    ledger.row(START, error_s=0.0, work=Work.WOUND)
    ledger.row(START + timedelta(days=7), error_s=0.0, going_mm=1050.0, work=Work.WOUND, amount=300.0)
    history = ledger.history(START + timedelta(days=7, hours=1))
    assert passages_of(history, power_of(history)) == ()


def test_a_clock_that_hangs_passes_nothing() -> None:
    ledger = Ledger(kind="regulator", bob_below_top_mm=700)
    ledger.row(START, error_s=0.0, work=Work.WOUND)
    ledger.row(START + timedelta(days=1), error_s=0.0, going_mm=150.0)
    ledger.row(START + timedelta(days=2), work=Work.STOPPED, going_mm=290.0)
    history = ledger.history(START + timedelta(days=2, hours=1))
    found = passages_of(history, power_of(history))
    assert isinstance(found, NotYetKnown)
    assert "stopped" in found.because


def test_the_passage_of_a_run_that_is_over_stays_where_it_was() -> None:
    """Wound on the 2nd, read on the 9th, run down on the 10th: nobody came until the 16th."""
    told = ["11-02 08:00 work=wound", *daily("11-03 08:00", "11-09 08:00", "error_s=0 going_mm={165*(d+1):.0f}")]
    middle = {}
    for now in ("11-09 09:00", "11-16 09:00"):
        history = story("longcase", told, now=now, bob_below_top_mm=700, trains="going")
        found = passages_of(history, power_of(history))
        assert not isinstance(found, NotYetKnown), found.because
        [only] = found
        middle[now] = only.passage.enters.at
    assert abs(middle["11-16 09:00"] - middle["11-09 09:00"]) < timedelta(hours=12)
