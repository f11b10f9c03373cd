"""The table of leads: strongest first, none without strength, none where nobody can look."""

from __future__ import annotations

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.leads import LEAST_ODDS, MOST_ODDS
from tests.estimate.leads.seen import leads
from tests.judge.judged import history

DARK = "11-12 08:00 work=oil-checked amount=1 note=JP"
COUNTS = ["11-12 09:00 hour=9 blows=10", "11-12 10:00 hour=10 blows=11"]
MORE = ["11-12 11:00 hour=11 blows=12", "11-12 14:00 hour=2 blows=3", "11-12 15:00 hour=3 blows=4"]


def test_the_strongest_comes_first() -> None:
    ledger = ["11-02 08:00 error_s=0", DARK, *COUNTS]
    assert [each.code for each in leads("longcase", ledger, now="11-13 09:00")] == [
        "oil-dark",
        "strike-off-by-constant",
    ]
    found = leads("longcase", [*ledger, *MORE], now="11-13 09:00")
    assert [each.code for each in found] == ["strike-off-by-constant", "oil-dark"]


def test_odds_are_odds_and_never_certain() -> None:
    found = leads("longcase", ["11-02 08:00 error_s=0", DARK, *COUNTS, *MORE], now="11-13 09:00")
    assert all(LEAST_ODDS <= each.odds <= MOST_ODDS < 1 for each in found)
    assert all("\n" not in each.text and not each.text.endswith(".") for each in found)


def test_none_for_a_clock_that_nobody_can_look_at() -> None:
    ledger = ["11-02 08:00 error_s=0", DARK]
    at_home = history("mantel", ledger, now="11-15 09:00", handed=("11-13 09:00 released", "11-14 09:00 delivered"))
    assert estimates_of([at_home])[0].leads == ()
    back = ("11-13 09:00 released", "11-14 09:00 delivered", "11-14 17:00 reopened")
    found = estimates_of([history("mantel", ledger, now="11-15 09:00", handed=back)])[0].leads
    assert [each.code for each in found] == ["oil-dark"]
    assert leads("reference", ledger, now="11-15 09:00") == ()


def test_an_untouched_clock_has_none() -> None:
    assert leads("floor-chiming", [], now="11-15 09:00") == ()


def test_leads_wait_until_they_are_asked_for() -> None:
    estimates = estimates_of([history("mantel", [DARK], now="11-15 09:00")])[0]
    assert "leads" not in vars(estimates)
    assert estimates.leads is estimates.leads
