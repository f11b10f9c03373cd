"""A strong lead is the next step when nothing else is due."""

from __future__ import annotations

from standwatch.judge.assessment import Assessment, Need
from standwatch.judge.next_step import WORTH
from standwatch.model.words import NextStep
from tests.estimate.leads.test_any_ledger import CODES
from tests.judge.complete import COLUMNS, LEDGER, NOW
from tests.judge.judged import assessed
from tests.stories import daily


def timed(last: float, **columns: str) -> Assessment:
    """The complete clock, its twelve timed the day after a wind (20 s) and on its last day."""
    ledger = [*LEDGER, "11-26 12:00 hour=12 blows=12 strike_s=20", f"12-01 12:00 hour=12 blows=12 strike_s={last}"]
    return assessed("floor-chiming", ledger, now=NOW, **(COLUMNS | columns))


def test_with_only_time_to_pass_a_strong_lead_is_looked_into() -> None:
    told = timed(28, least_days="60")
    assert told.next.code is NextStep.LOOK
    assert told.next.text.startswith("look into it: twelve blows take 28 s late in the wind")
    assert told.next.short == "slow strike"
    assert told.need is Need.REST


def test_a_weak_or_missing_lead_leaves_it_be() -> None:
    weak = timed(25.5, least_days="60")
    assert [lead.code for lead in weak.estimates.leads] == ["strike-slow"]
    assert weak.next.code is NextStep.NOTHING
    assert timed(22, least_days="60").next.code is NextStep.NOTHING


def test_what_is_due_goes_first() -> None:
    assert timed(28).next.code is NextStep.RELEASE


def test_every_lead_has_its_few_words() -> None:
    assert set(WORTH) == CODES
    assert all(0 < len(words) <= 13 for words in WORTH.values())


def test_a_strike_that_hangs_is_looked_at_before_anyone_waits_to_hear_it() -> None:
    """Its weight stands from the third day on, while the clock goes; ten hours are still to be heard."""
    fallen = daily("11-03 08:00", "11-05 08:00", "error_s=0 going_mm={165*(d+1):.0f} strike_mm={165*(d+1):.0f}")
    hangs = daily("11-06 08:00", "11-08 08:00", "error_s=0 going_mm={660+165*d:.0f} strike_mm=497")
    lines = ["11-02 08:00 error_s=0 work=wound", *fallen]
    assert assessed("longcase", lines, now="11-05 08:30").next.code is NextStep.LISTEN
    told = assessed("longcase", [*lines, *hangs], now="11-08 08:30")
    assert (told.next.code, told.next.short) == (NextStep.LOOK, "strike stuck")
    assert told.next.text.startswith("look into it: the strike weight has hardly fallen since Thu 5 Nov")
