"""Whatever the ledger says, every clock gets its verdicts, and none of them contradicts another."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standwatch.judge.assess import who_first
from standwatch.judge.assessment import DONE, Need
from standwatch.judge.due import due
from standwatch.judge.regulation import advise
from standwatch.model.words import KindName, NextStep, Outcome, Requirement, Standing
from tests.judge.judged import assessed, rounds

NOW = "11-20 08:20"
CELLS = st.sampled_from(
    [
        *("error_s=3", "error_s=-40", "error_s=900", "dial=8:03", "amplitude_deg=3", "amplitude_deg=1"),
        *("beat_error_pct=2", "beat_error_ms=5", "overswing_left_deg=24 overswing_right_deg=10"),
        *("going_mm=300", "going_mm=1100 strike_mm=900", "chime_mm=500"),
        *("chime=in-step quarter=1", "chime=out-of-step", "chime=silent", "chime=not-running"),
        *("hour=7 blows=7", "hour=4 blows=3", "moon_age_d=12"),
        *("work=wound", "work=wound train=chime amount=5", "work=hands-set", "work=hours-shifted amount=3"),
        *("work=held amount=60", "work=nut amount=0.5", "work=nut", "work=beat-set", "work=moved", "work=bumped"),
        *("work=cased", "work=stopped dial=3:20", "work=stopped explained=yes", "work=ran-out", "work=restarted"),
        *("work=ran-out train=strike", "work=opened", "work=oil-checked amount=1 note=K", "work=mis-set amount=2"),
        *("work=oil-checked amount=0 note=K", "work=tune amount=0", "work=tune amount=1", "work=chime-set"),
        *("work=strike-set", "work=moon-set", "work=safety-checked note=K", "work=seen-going"),
    ]
)
LINES = st.lists(
    st.builds(
        lambda day, hour, cell: f"11-{day:02} {hour:02}:10 {cell}", st.integers(1, 19), st.integers(0, 23), CELLS
    ),
    max_size=25,
)
HANDED = st.sampled_from(
    [(), ("11-18 09:00 released",), ("11-18 09:00 released", "11-18 10:00 reopened"),
     ("11-04 09:00 released", "11-05 10:00 delivered")]
)  # fmt: skip


@given(kind=st.sampled_from(list(KindName)), lines=LINES, handed=HANDED)
@settings(max_examples=70, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_ledger_is_assessed(kind: KindName, lines: list[str], handed: tuple[str, ...]) -> None:
    found = assessed(kind, lines, now=NOW, handed=handed, tunes="A;B", moon="yes", unlock_deg="1.5")
    now = found.estimates.history.now
    assert [v.requirement for v in found.verdicts] == list(Requirement)
    for verdict in found.verdicts:
        assert verdict.because
        assert verdict.outcome is not Outcome.WAIVED
        assert verdict.earliest is None or (verdict.outcome is Outcome.NOT_YET_KNOWN and verdict.earliest >= now)
    assert found.verdict(Requirement.CONTINUOUS_RUNNING).outcome is not Outcome.MISSED
    assert (found.standing is Standing.RELEASED) == (bool(handed) and not handed[-1].endswith("reopened"))
    if found.standing is Standing.READY:
        assert all(v.outcome in DONE for v in found.verdicts)
        assert found.going.hangs is None
    if any(v.outcome is Outcome.MISSED for v in found.verdicts):
        assert found.standing in {Standing.ATTENTION, Standing.RELEASED}
    if found.next.code is NextStep.RELEASE:
        assert (found.standing, found.need) in {(Standing.READY, Need.READY), (Standing.SETTLING, Need.READY)}
    assert 0 < len(found.next.short) <= 13
    assert who_first([found]) == (found,)
    advise(found.estimates)
    for item in due([found], rounds(), now + timedelta(days=30)):
        assert item.low <= item.at <= item.high
