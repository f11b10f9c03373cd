"""A strong lead is the next step when nothing else is due."""

from __future__ import annotations

from standwatch.estimate.answers import Power, TrainRun
from standwatch.judge.assessment import Assessment, Need
from standwatch.judge.due import due
from standwatch.judge.next_step import WORTH
from standwatch.model.answers import Moment, NotYetKnown
from standwatch.model.words import NextStep, Train
from tests.estimate.leads.test_any_ledger import CODES
from tests.judge.complete import COLUMNS, LEDGER, NOW
from tests.judge.judged import assessed, rounds, when
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


def test_a_train_that_seems_stuck_runs_out_at_no_time_where_another_tells() -> None:
    """Its weight hangs at 1020 mm since the sixth day; the going weight was wound by itself, and goes on."""
    ran = daily("11-03 08:00", "11-08 08:00", "error_s=0 going_mm={165*(d+1):.0f} strike_mm={165*(d+1):.0f}")
    wound = ["11-02 08:00 error_s=0 work=wound", *ran, "11-08 08:05 work=wound train=going"]
    on = daily("11-09 08:00", "11-10 08:00", "error_s=0 going_mm={165*(d+1):.0f} strike_mm=1020")
    told = assessed("longcase", [*wound, *on], now="11-10 08:30")
    assert told.estimates.stuck == {Train.STRIKE}
    going, strike = told.estimates.power.trains
    assert isinstance(strike.runs_out, Moment)
    assert isinstance(going.runs_out, Moment)
    assert strike.runs_out.at < going.runs_out.at
    assert told.estimates.power.soonest is strike
    assert told.estimates.running.soonest is going
    assert told.next.short == "strike stuck"
    winds = [each.at for each in due([told], rounds(), when("12-31 08:00")) if each.what == "wind"]
    assert winds == [going.runs_out.at]


def test_the_only_train_that_tells_is_told_though_it_seems_stuck() -> None:
    noon = when("11-20 12:00")
    strike = TrainRun(Train.STRIKE, None, NotYetKnown("x"), None, NotYetKnown("x"), Moment(noon, noon, noon))
    going = TrainRun(Train.GOING, None, NotYetKnown("x"), None, NotYetKnown("x"), NotYetKnown("no wind told yet"))
    assert Power((going, strike)).without({Train.STRIKE}).soonest is strike
