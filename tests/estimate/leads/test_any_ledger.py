"""Whatever the ledger says, its leads are leads, in whatever order it was entered."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.leads import LEAST_ODDS, MOST_ODDS
from standwatch.model.words import KindName
from tests.estimate.leads.seen import leads
from tests.stories import daily, story

CODES = {
    *("swing-falls", "swing-low-at-end", "stops-same-minute", "stops-before-hour", "stops-same-hour"),
    *("stops-same-height", "stops-scattered", "bob-window", "strike-stuck", "strike-runs-on", "strike-lacks"),
    *("chime-stuck", "chime-runs-on", "weights-exchanged", "strike-early-or-late", "strike-slow"),
    *("strike-off-by-constant", "chime-slow", "rate-after-move", "rate-with-wind", "steps", "rate-creeps"),
    *("neighbours", "cold", "oil-dark"),
}
"""The interface's codes."""
CELLS = st.sampled_from(
    [
        *("error_s=90", "error_s=-400", "error_s=66 read_by=first-blow", "error_s=150 read_by=first-blow"),
        *(
            "amplitude_deg=3.9",
            "amplitude_deg=2",
            "amplitude_deg=0",
            "temperature_c=8",
            "temperature_c=8 amplitude_deg=1",
        ),
        *(
            "chime=not-running",
            "chime=in-step",
            "hour=12 blows=12 strike_s=20",
            "hour=12 strike_s=31",
            "hour=4 blows=5",
        ),
        *("hour=6 blows=7", "work=wound", "work=wound train=strike", "work=hands-set amount=60", "work=hands-set"),
        *("work=moved", "work=cased", "work=levelled", "work=beat-set", "work=nut amount=0.5", "work=nut"),
        *("work=stopped", "work=restarted", "work=ran-out", "work=opened", "work=bumped", "work=strike-set"),
        *("work=oil-checked amount=1 note=K", "work=hours-shifted amount=3", "work=summer-time"),
    ]
)
EVENTS = st.lists(
    st.builds(
        lambda day, hour, cell: f"11-{day:02} {hour:02}:20 {cell}", st.integers(1, 26), st.integers(0, 23), CELLS
    ),
    max_size=20,
)
MORNINGS = daily("11-02 08:00", "11-26 08:00", "error_s={3*d:.0f} amplitude_deg={3*0.97**(d/7):.2f} temperature_c=18")
WEIGHTS = {"going_kg": 5, "strike_kg": 5, "chime_kg": 8, "unlock_deg": 1.5}


@given(kind=st.sampled_from(list(KindName)), events=EVENTS, step=st.sampled_from([1, 3]))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_ledger_makes_leads_that_are_leads(kind: KindName, events: list[str], step: int) -> None:
    found = leads(kind, [*MORNINGS[::step], *events], now="11-26 09:00", **WEIGHTS)
    assert {each.code for each in found} <= CODES
    assert len({each.code for each in found}) == len(found)
    assert all(LEAST_ODDS <= each.odds <= MOST_ODDS for each in found)
    assert [each.odds for each in found] == sorted((each.odds for each in found), reverse=True)
    for each in found:
        assert 20 < len(each.text) < 220
        assert "nan" not in each.text
        assert "\n" not in each.text


def test_the_order_of_entry_makes_no_difference() -> None:
    events = ["11-10 09:00 work=moved", "11-12 12:00 hour=4 blows=5", "11-13 12:00 hour=6 blows=7"]
    forward = estimates_of([story("longcase", [*MORNINGS, *events], now="11-26 09:00")])[0].leads
    assert estimates_of([story("longcase", [*events, *MORNINGS], now="11-26 09:00")])[0].leads == forward
    assert forward
