"""What went home and what came back, from the steps of a clock; warranty days."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta

import pytest
from statsmodels.stats.proportion import proportion_confint

from standwatch.model.facts import Clock, Handover
from standwatch.model.records import build
from standwatch.model.words import Requirement
from standwatch.service.after.returns import (
    BANDS,
    MONTH,
    NOTHING,
    OTHER,
    UNTOLD,
    Job,
    Rate,
    Returns,
    band_of,
    jobs_of,
    share_words,
)
from standwatch.service.after.warranty import months_after

NOW = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)
HOME = NOW - 6 * MONTH


def record(days: float = 22.0, *waived: str) -> str:
    outcomes = [{"name": "oil", "outcome": "met"}, *({"name": name, "outcome": "waived"} for name in waived)]
    return json.dumps({"tag": "T1", "days": days, "outcomes": outcomes, "trace": [1, 2, 3]})


def step(what: str, at: datetime, **cells: object) -> Handover:
    return build(Handover, {"at": at, "tag": "T1", "what": what, **cells})


def let_go(at: datetime = HOME - timedelta(days=1), *waived: str, days: float = 22.0) -> Handover:
    return step("released", at, by="K. M.", record=record(days, *waived))


def jobs(*steps: Handover, repaired: str = "pivots", now: datetime = NOW) -> list[Job]:
    clock = build(Clock, {"tag": "T1", "kind": "regulator", "repaired": repaired})
    return jobs_of(clock, steps, now)


def test_a_release_that_never_left_is_no_row() -> None:
    assert jobs(let_go()) == []
    assert jobs(let_go(), step("reopened", HOME, reason="x")) == []


def test_one_row_tells_what_it_went_on_and_what_came_back() -> None:
    [job] = jobs(
        let_go(HOME - timedelta(days=1), "oil", "moon"),
        step("delivered", HOME),
        step("called", HOME + timedelta(days=14), reason="well"),
        step("called-back", HOME + timedelta(days=20), code="user"),
        step("called-back", HOME + timedelta(days=50), code="set-up"),
        repaired="bushes, strike rack and a bell",
    )
    assert job.repaired == ("bushes", "strike")
    assert job.waived == (Requirement.OIL, Requirement.MOON)
    assert (job.days, job.least_days, job.band) == (22.0, 21.0, BANDS[1])
    assert job.codes == ("user", "set-up")
    assert (job.first_back, job.first_fault) == (HOME + timedelta(days=20), HOME + timedelta(days=50))
    assert job.months == pytest.approx(6)
    assert not job.young


def test_each_time_it_goes_home_is_a_row_by_its_own_release() -> None:
    first, second = jobs(
        let_go(HOME - timedelta(days=1), "oil"),
        step("delivered", HOME),
        step("called-back", HOME + timedelta(days=5), code="mechanical"),
        step("reopened", HOME + timedelta(days=6), reason="stopped at home"),
        let_go(HOME + timedelta(days=40), days=33.0),
        step("delivered", HOME + timedelta(days=41)),
    )
    assert (first.waived, first.codes, first.until) == ((Requirement.OIL,), ("mechanical",), HOME + timedelta(days=6))
    assert (second.waived, second.codes, second.band, second.until) == ((), (), BANDS[2], NOW)


def test_who_was_taken_back_without_a_code_came_back_for_no_known_reason() -> None:
    [job] = jobs(let_go(), step("delivered", HOME), step("reopened", HOME + timedelta(days=9), reason="stopped"))
    assert job.codes == (UNTOLD,)
    assert (job.first_back, job.first_fault) == (HOME + timedelta(days=9), None)
    assert dict(Returns(NOW, (job,)).by_code)[UNTOLD] == 1
    assert Returns(NOW, (job,)).all == Rate("all", 1, 0, 1)


def test_what_is_not_known_is_left_out_and_never_guessed() -> None:
    bare = step("released", HOME - timedelta(days=1), by="K. M.")
    [job] = jobs(bare, step("delivered", HOME), repaired="")
    assert (job.repaired, job.waived, job.days, job.band) == ((UNTOLD,), None, None, None)
    found = Returns(NOW, (job,))
    assert (found.by_waiver, found.by_days) == ((), ())
    assert [rate.name for rate in found.by_repair] == [UNTOLD]
    assert [j.repaired for j in jobs(let_go(), step("delivered", HOME), repaired="a mystery")] == [(OTHER,)]
    assert Returns(NOW, ()).all is None


def test_steps_later_than_now_are_the_callers_to_leave_out_and_a_back_before_delivery_counts() -> None:
    [job] = jobs(let_go(), step("called-back", HOME - timedelta(hours=2), code="mechanical"), step("delivered", HOME))
    assert (job.since, job.codes) == (HOME, ("mechanical",))
    [first, *_] = Returns(NOW, (job,)).by_months
    assert (first.name, first.faults, first.of) == ("in the first month", 1, 1)


@pytest.mark.parametrize(
    ("days", "band"),
    [(20.9, 0), (20.97, 1), (21.0, 1), (31.5, 1), (31.6, 2)],  # an hour short of three weeks is three weeks
)
def test_days_tested_against_the_kinds(days: float, band: int) -> None:
    assert band_of(days, 21.0) == BANDS[band]


def made(number: int, *, months: float, code: str = "", after: float = 0.5, waived: tuple[str, ...] = ()) -> list[Job]:
    home = NOW - months * MONTH
    back = [step("called-back", home + after * MONTH, code=code)] if code else []
    steps = [let_go(home - timedelta(days=1), *waived), step("delivered", home), *back]
    return number * jobs(*steps)


def test_rates_with_their_intervals_and_the_rule_of_three() -> None:
    told = (
        *made(36, months=8),
        *made(3, months=8, code="mechanical"),
        *made(2, months=8, code="cosmetic", after=4),
        *made(12, months=1, waived=("oil",)),
    )
    found = Returns(NOW, told)
    assert found.all == Rate("all", 53, 3, 5, 12)
    low, high = proportion_confint(3, 53, method="wilson")
    assert [found.all.fault_share.low, found.all.fault_share.high] == pytest.approx([low, high])
    assert dict(found.by_code) == {"mechanical": 3, "set-up": 0, "user": 0, "cosmetic": 2}
    assert found.by_waiver == (Rate("oil", 12, 0, 0, 12), Rate(NOTHING, 41, 3, 5, 0))
    assert found.by_waiver[0].fault_words == "none of 12 (0 to 22 %)"  # 1 - 0.05^(1/12) = 0.2209
    assert found.by_waiver[1].fault_words == "3 of 41 (7 %, 3 to 19 %)"
    months = {rate.name: rate for rate in found.by_months}
    assert months["in the first month"] == Rate("in the first month", 53, 3, 3)
    assert months["in months 2 and 3"] == Rate("in months 2 and 3", 41, 0, 0)
    assert "in months 4 to 12" not in months  # nobody has been through them yet
    later = Returns(NOW + 5 * MONTH, told)
    assert {rate.name: rate.back for rate in later.by_months}["in months 4 to 12"] == 2


def test_a_small_share_keeps_a_figure() -> None:
    assert share_words(1, 500) == "1 of 500 (0.2 %, 0.04 to 1 %)"
    assert share_words(0, 1) == "none of 1 (0 to 95 %)"


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        (date(2026, 11, 30), 3, date(2027, 2, 28)),
        (date(2027, 11, 30), 3, date(2028, 2, 29)),
        (date(2026, 12, 31), 12, date(2027, 12, 31)),
        (date(2026, 12, 1), 1, date(2027, 1, 1)),
        (date(2026, 1, 31), 120, date(2036, 1, 31)),
    ],
)
def test_months_after_a_day(day: date, months: int, then: date) -> None:
    assert months_after(day, months) == then
