"""A strong lead is the next step when nothing else is due."""

from __future__ import annotations

from standwatch.judge.assessment import Assessment, Need
from standwatch.judge.next_step import WORTH
from standwatch.model.words import NextStep
from tests.estimate.leads.test_any_ledger import CODES
from tests.judge.complete import COLUMNS, LEDGER, NOW
from tests.judge.judged import assessed


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
