"""The table of requirements: complete, nothing met without its evidence, waivers, what does not apply."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standwatch.judge.assessment import Need
from standwatch.judge.requirements import RULES
from standwatch.model.words import KindName, NextStep, Outcome, Requirement, Standing
from tests.judge import complete
from tests.judge.judged import assessed, outcome, rounds, verdict
from tests.stories import daily

MET, MISSED, NOT_YET, NA = Outcome.MET, Outcome.MISSED, Outcome.NOT_YET_KNOWN, Outcome.NOT_APPLICABLE
KIND = "floor-chiming"
LACKING = [(name, n) for name, parts in complete.NEEDED.items() for n in range(len(parts))]


def test_the_table_holds_every_requirement_in_the_records_order() -> None:
    assert list(RULES) == list(Requirement)


def test_a_complete_story_is_ready() -> None:
    found = assessed(KIND, complete.LEDGER, now=complete.NOW, **complete.COLUMNS)
    assert {v.requirement: v.outcome for v in found.verdicts} == dict.fromkeys(Requirement, MET)
    assert (found.standing, found.need, found.next.code) == (Standing.READY, Need.READY, NextStep.RELEASE)
    assert found.earliest is None


@pytest.mark.parametrize(("name", "part"), LACKING)
def test_nothing_is_met_without_its_evidence(name: Requirement, part: int) -> None:
    lacking = set(complete.NEEDED[name][part])
    rest = [line for line in complete.LEDGER if line not in lacking]
    found = assessed(KIND, rest, now=complete.NOW, **complete.COLUMNS)
    assert found.verdict(name).outcome is NOT_YET
    assert found.verdict(name).because
    assert found.standing is not Standing.READY
    assert found.next.code is not NextStep.RELEASE


@given(
    left_out=st.sets(st.integers(0, len(complete.LEDGER) - 1), max_size=30),
    name=st.sampled_from(sorted(complete.NEEDED)),
)
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_fewer_readings_without_the_evidence_never_meet_it(left_out: set[int], name: Requirement) -> None:
    lacking = set(complete.NEEDED[name][0])
    ledger = [
        line for n, line in enumerate(complete.LEDGER) if line not in lacking and (n not in left_out or "work=" in line)
    ]
    assert outcome(name, KIND, ledger, now=complete.NOW, **complete.COLUMNS) is not MET


@pytest.mark.parametrize("kind", list(KindName))
def test_an_unread_clock_meets_nothing(kind: KindName) -> None:
    found = assessed(kind, [], now="11-20 08:20", tunes="A", moon="yes")
    assert {v.outcome for v in found.verdicts} <= {NOT_YET, NA}
    assert found.next.code is NextStep.READ
    assert found.standing is Standing.ON_TEST


def test_every_open_verdict_says_why_and_most_say_when() -> None:
    undated = {Requirement.CONTINUOUS_RUNNING, Requirement.FULL_DURATION}  # not shown going, no wind told
    for kind in (KindName.FLOOR_CHIMING, KindName.CARRIAGE, KindName.TORSION, KindName.CUCKOO):
        found = assessed(kind, [], now="11-20 08:20", tunes="A", moon="yes")
        for told in found.verdicts:
            assert told.because
            if told.outcome is NOT_YET and told.requirement not in undated:
                assert told.earliest is not None, told
                assert told.earliest >= found.estimates.history.now


def test_only_mean_rate_applies_to_a_reference() -> None:
    found = assessed("reference", daily("11-02 08:00", "11-20 08:00", "error_s=0 error_u_s=0.001"), now="11-20 08:20")
    applying = [v.requirement for v in found.verdicts if v.outcome is not NA]
    assert applying == [Requirement.MEAN_RATE]
    assert found.standing is Standing.ON_TEST
    assert found.earliest is None


def test_what_a_torsion_clock_need_not_show() -> None:
    found = assessed("torsion", [], now="11-20 08:20")
    applying = {v.requirement for v in found.verdicts if v.outcome is not NA}
    assert applying == {
        Requirement.CONTINUOUS_RUNNING,
        Requirement.FULL_DURATION,
        Requirement.MEAN_RATE,
        Requirement.DAY_RANGE,
        Requirement.AMPLITUDE,
        Requirement.BEAT,
        Requirement.OIL,
        Requirement.SAFETY,
    }


OPEN = [line for line in complete.LEDGER if line not in {*complete.MOON, *complete.SAFETY}]


def waived(*lines: str, handed: tuple[str, ...] = (), name: str = "moon") -> Outcome:
    return outcome(name, KIND, OPEN, now=complete.NOW, waived=lines, handed=handed, **complete.COLUMNS)


def test_a_waiver_with_its_reason_and_who_answers_for_it() -> None:
    lines = ["12-03 09:00 moon the dial is worn"]
    found = verdict("moon", KIND, OPEN, now=complete.NOW, waived=lines, **complete.COLUMNS)
    assert (found.outcome, found.because, found.limit) == (Outcome.WAIVED, "the dial is worn (RQ)", 1)


def test_a_waiver_of_what_is_met_changes_nothing() -> None:
    assert waived("12-03 09:00 oil never mind", name="oil") is MET


@pytest.mark.parametrize("name", ["safety", "continuous-running"])
def test_starred_requirements_are_never_waived(name: str) -> None:
    ledger = [line for line in OPEN if line not in complete.READINGS]
    found = outcome(name, KIND, ledger, now=complete.NOW, waived=[f"12-03 09:00 {name} never mind"], **complete.COLUMNS)
    assert found is NOT_YET


def test_a_reopening_ends_the_waivers_and_keeps_the_evidence() -> None:
    waiver = "12-03 09:00 moon worn"
    assert waived(waiver, handed=("12-03 09:00 released",)) is Outcome.WAIVED
    reopened = ("12-03 09:00 released", "12-03 10:00 reopened")
    assert waived(waiver, handed=reopened) is NOT_YET
    assert waived(waiver, handed=reopened, name="oil") is MET
    assert waived(waiver, "12-03 11:00 moon worn, again", handed=reopened) is Outcome.WAIVED
    assert waived("12-03 10:00 moon worn", handed=reopened) is NOT_YET, "of the reopening's own minute"


def test_waived_is_ready() -> None:
    ledger = [line for line in complete.LEDGER if line not in complete.MOON]
    lines = ["12-03 09:00 moon worn"]
    found = assessed(KIND, ledger, now=complete.NOW, waived=lines, **complete.COLUMNS)
    assert found.standing is Standing.READY


def test_a_missed_requirement_may_be_waived_and_then_is_no_attention() -> None:
    ledger = [line for line in complete.LEDGER if line not in complete.MOON]
    ledger += ["11-03 08:30 moon_age_d=3", "11-20 08:30 moon_age_d=3"]
    missed = assessed(KIND, ledger, now=complete.NOW, **complete.COLUMNS)
    assert (missed.verdict(Requirement.MOON).outcome, missed.standing) == (MISSED, Standing.ATTENTION)
    lines = ["12-03 09:00 moon stuck, and the owner knows"]
    assert assessed(KIND, ledger, now=complete.NOW, waived=lines, **complete.COLUMNS).standing is Standing.READY


def test_a_holiday_puts_the_earliest_date_off() -> None:
    ledger = daily("11-02 08:00", "11-05 08:00", "error_s={d:.1f}")
    plain = verdict("mean-rate", "longcase", ledger, now="11-05 08:30")
    friday_off = rounds(holidays=[plain.earliest.date()] if plain.earliest else [])
    later = verdict("mean-rate", "longcase", ledger, now="11-05 08:30", shop=friday_off)
    assert plain.earliest is not None
    assert later.earliest is not None
    assert (later.earliest - plain.earliest).days == 3, "over the weekend"
