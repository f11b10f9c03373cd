"""Whatever hangs there: candidates lie where they can, odds are odds, and what was heard takes candidates away."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.going import going_of
from standwatch.estimate.stops import stop_candidates
from standwatch.model.words import KindName, Train
from tests.stories import at, story

SLOW = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
KINDS = st.sampled_from(list(KindName))
DIALS = st.builds("{}:{:02}".format, st.integers(1, 12), st.integers(0, 59))
FALLS = st.dictionaries(st.sampled_from([Train.GOING, Train.STRIKE]), st.floats(0, 1500))
CELLS = st.sampled_from(
    [
        *("error_s=3", "error_s=-400", "dial=8:03", "going_mm=300", "going_mm=1100 strike_mm=900", "moon_age_d=12"),
        *("hour=7 blows=7", "work=wound", "work=wound amount=5", "work=hands-set", "work=restarted", "work=seen-going"),
        *("work=stopped dial=3:33", "work=stopped dial=3:34 going_mm=500", "work=stopped dial=9:33 moon_age_d=3"),
        *("work=stopped explained=yes", "work=ran-out dial=4:00 going_mm=1400", "work=ran-out train=strike"),
        *("work=hours-shifted amount=3", "work=summer-time", "work=opened", "work=moved", "work=moon-set"),
    ]
)
LINES = st.lists(
    st.builds(
        lambda month, day, hour, cell: f"{month}-{day:02} {hour:02}:10 {cell}",
        st.sampled_from(["10", "11"]),
        st.integers(15, 29),
        st.integers(0, 23),
        CELLS,
    ),
    max_size=30,
).map(sorted)


@given(kind=KINDS, lines=LINES, dial=DIALS, falls=FALLS, moon=st.none() | st.floats(0, 29.5))
@SLOW
def test_candidates_are_odds_on_times_it_can_have_gone(
    kind: KindName, lines: list[str], dial: str, falls: dict[Train, float], moon: float | None
) -> None:
    history = story(kind, lines, now="11-30 09:00")
    found_at = at("11-30 08:00")
    error_at = estimates_of([history])[0].time.error_at
    found = stop_candidates(history, dial, found_at=found_at, falls=falls, moon_age_d=moon, error_at=error_at)
    odds = [share for _, share in found]
    assert all(0 <= share <= 1 for share in odds)
    assert not odds or math.isclose(sum(odds), 1)
    assert odds == sorted(odds, reverse=True)
    assert all(time <= found_at for time, _ in found)


@given(kind=KINDS, lines=LINES)
@SLOW
def test_any_stops_make_leads_that_are_leads(kind: KindName, lines: list[str]) -> None:
    history = story(kind, lines, now="11-30 09:00")
    [estimates] = estimates_of([history])
    assert all(lead.text and 0.6 <= lead.odds <= 0.99 for lead in estimates.leads)
    for stop in going_of(history, estimates.time.error_at).stops:
        assert all(time <= stop.found_at for time, _ in stop.candidates)
        assert stop.shown_until is None or stop.shown_until <= stop.found_at


@given(dial=DIALS, heard_h=st.integers(1, 71), fall=st.none() | st.floats(500, 1300))
@SLOW
def test_what_is_heard_later_only_takes_candidates_away(dial: str, heard_h: int, fall: float | None) -> None:
    day, hour = divmod(8 + heard_h, 24)
    lines = ["11-02 08:00 error_s=0 going_mm=0 work=wound", "11-06 08:00 error_s=0 going_mm=660"]
    falls = {} if fall is None else {Train.GOING: fall}

    heard_at = f"11-{6 + day:02} {hour:02}:00"
    edge: set[int] = set()

    def candidates(more: list[str]) -> dict[int, float]:
        history = story("longcase", [*lines, *more], now="11-09 09:00")
        found = stop_candidates(history, dial, found_at=at("11-09 08:00"), falls=falls)
        near = timedelta(minutes=5)
        edge.update(round(time.timestamp() / 43200) for time, _ in found if abs(time - at(heard_at)) < near)
        return {round(time.timestamp() / 43200): odds for time, odds in found}

    before, after = candidates([]), candidates([f"{heard_at} work=seen-going"])
    half_days = [half for half in after if half in before]
    assert len(half_days) >= len(after) - 1, "one at the very end of the hearing may be softened in"
    earliest = at(heard_at).timestamp() / 43200
    assert all(half >= earliest - 1 for half in after)
    for one in set(half_days) - edge:  # a stop within minutes of the hearing may lie before or after it
        assert after[one] >= before[one] * 0.5 - 1e-9, "what is left gains what is lost"
    if fall is None and len(after) > 1 and not edge:
        inner = max(after.values())
        assert inner == pytest.approx(1 / len(after), rel=0.6)
