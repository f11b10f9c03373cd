"""A reading far from what was expected: each ready answer does the right thing in the facts of a real book."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from standwatch.judge.assessment import Assessment
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.words import Requirement, Standing, Work
from standwatch.service.round import crossing as cr
from standwatch.service.round.crossing import Reading, crossed, read
from standwatch.service.round.surprise import (
    SLIPPED,
    Code,
    Ready,
    Step,
    Surprise,
    minutes_as_seconds,
    ready_answers,
    steps_of,
    whole_minutes,
)
from standwatch.service.stand import Stand

FRIDAY = datetime(2026, 11, 20, 8, 20, tzinfo=UTC)
DAY, MINUTE, SECOND = timedelta(days=1), timedelta(minutes=1), timedelta(seconds=1)
TAG = "T1"


def begin(stand: Stand, kind: str = "longcase", rate: float = 2.0) -> Assessment:
    """Ten mornings of a clock that gains `rate` a day; today's reading is still to come."""
    stand.add_clock({"tag": TAG, "kind": kind, "position": "C2"}, FRIDAY)
    start = FRIDAY - 10 * DAY
    for d in range(10):
        stand.check_in({"tag": TAG, "at": start + d * DAY, "error_s": rate * d}, FRIDAY)
    return stand.assess(TAG, FRIDAY)


def look(before: Assessment, dial: str, at: datetime, *, again: bool = False) -> Reading:
    """A press at `at` and the dial as it then stands, told as an honest reader would."""
    crossing = crossed(before, at, again=again)
    hour, minute, *second = (int(part) for part in dial.split(":"))
    whole = cr.with_dial(crossing, f"{hour}{minute:02}")
    assert whole is not None
    crossing = whole if crossing.wants == "dial" else cr.with_figure(crossing, minute % 10)
    if crossing.wants == "mark":
        crossing = cr.with_mark(crossing, second[0] if second else 0)
    return read(crossing, before.estimates.history)


def keep(stand: Stand, reading: Reading, now: datetime = FRIDAY) -> str:
    return stand.check_in(reading.cells, now).id


def surprise_of(stand: Stand, dial: str, at: datetime = FRIDAY - 40 * SECOND, kind: str = "longcase") -> Surprise:
    before = begin(stand, kind)
    reading = look(before, dial, at)
    assert reading.surprise
    return Surprise(before.estimates.history, reading, keep(stand, reading))


def answer(stand: Stand, surprise: Surprise, code: Code, restarted_at: datetime | None = None) -> Assessment:
    assert by_code(stand, surprise)[code].on
    do(stand, steps_of(surprise, code, restarted_at=restarted_at))
    return stand.assess(TAG, FRIDAY)


def do(stand: Stand, steps: tuple[Step, ...]) -> None:
    for step in steps:
        if step.corrects is None:
            stand.check_in(step.cells, FRIDAY)
        else:
            stand.correct(step.corrects, {name: str(value) for name, value in step.cells.items()}, FRIDAY)


def by_code(stand: Stand, surprise: Surprise) -> dict[Code, Ready]:
    answers = ready_answers(surprise, stand.shop)
    assert [each.key for each in answers] == [1, 2, 3, 4, 5, 6]
    assert answers[0].code == "look-again"
    return {each.code: each for each in answers}


def test_look_again_is_first_and_does_nothing_to_the_facts(stand: Stand) -> None:
    surprise = surprise_of(stand, "8:23:15", FRIDAY - 65 * SECOND)
    assert steps_of(surprise, "look-again") == ()
    assert "can't tell 8:13 from 8:23" in by_code(stand, surprise)["look-again"].does
    assert not by_code(stand, surprise)["misread"].on, "only after a second look"


def test_hands_set_steps_the_error_and_keeps_the_rate(stand: Stand) -> None:
    surprise = surprise_of(stand, "8:23:15", FRIDAY - 65 * SECOND)
    assert surprise.minutes == 4
    offered = by_code(stand, surprise)["hands-set"]
    assert offered.fits
    assert offered.means == "about 4:00 forward since yesterday"
    before = surprise.history.readings[-1].at
    after = answer(stand, surprise, "hands-set")
    [work] = [v for v in after.estimates.history.worked if v.work is Work.HANDS_SET]
    assert before <= work.at < surprise.reading.crossing.at
    assert isinstance(after.estimates.time.rate, Quantity)
    assert after.estimates.time.rate.low < 2.0 < after.estimates.time.rate.high
    assert after.estimates.time.suspects == ()
    error = after.estimates.time.reading_at(FRIDAY)
    assert isinstance(error, Quantity)
    assert error.estimate == pytest.approx(surprise.reading.error_s, abs=1.0)


@pytest.mark.parametrize("known", [True, False])
def test_stopped_and_restarted_starts_continuity_anew_and_stays_to_be_explained(stand: Stand, *, known: bool) -> None:
    surprise = surprise_of(stand, "7:58:45", FRIDAY - 40 * SECOND)
    assert by_code(stand, surprise)["stopped"].wants_time
    set_going = FRIDAY - 50 * MINUTE
    after = answer(stand, surprise, "stopped", set_going if known else None)
    assert after.standing is Standing.ATTENTION, "nobody has explained it"
    assert after.going.hangs is None, "it goes again"
    assert after.going.days < 0.1
    assert after.estimates.time.suspects == ()
    restarted = after.estimates.history.works(Work.RESTARTED)[-1].at
    assert restarted == (set_going if known else surprise.reading.crossing.at - MINUTE)
    assert after.verdict(Requirement.CONTINUOUS_RUNNING).observed == pytest.approx(0, abs=0.1)


def test_a_minute_misread_is_put_right_after_a_second_look(stand: Stand) -> None:
    before = begin(stand)
    first = look(before, "8:23:15", FRIDAY - 65 * SECOND)
    first_id = keep(stand, first)
    second = look(before, "8:19:45", FRIDAY - 35 * SECOND, again=True)
    assert not second.surprise
    cleared = Surprise(before.estimates.history, second, keep(stand, second), first, first_id)
    told = by_code(stand, cleared)
    assert [code for code, each in told.items() if each.on] == ["look-again", "misread", "slipped", "really-so"]
    assert told["misread"].means == "the first look was 8:23, the dial showed 8:19"
    after = answer(stand, cleared, "misread")
    assert [v.row.dial for v in after.estimates.history.readings[-2:]] == ["8:19:15", "8:19:45"]
    assert after.estimates.time.suspects == ()
    corrected = stand.facts(TAG)[-2]
    assert corrected.replaces == first_id, "what was first told stays in the book"


def test_a_press_gone_wrong_is_kept_as_a_rough_one(stand: Stand) -> None:
    before = begin(stand)
    first = look(before, "8:20:00", FRIDAY - 65 * SECOND)
    assert first.off_s == pytest.approx(45, abs=3)
    second = look(before, "8:19:45", FRIDAY - 35 * SECOND, again=True)
    cleared = Surprise(before.estimates.history, second, keep(stand, second), first, keep(stand, first))
    assert whole_minutes(first) == 0
    answer(stand, cleared, "misread")
    row = next(record.body for record in stand.facts(TAG) if record.body.at == first.crossing.at)
    assert row.error_u_s == pytest.approx(45, abs=3)
    assert row.dial == first.dial


def test_a_second_look_that_says_the_same_is_no_misreading(stand: Stand) -> None:
    before = begin(stand)
    first = look(before, "8:23:15", FRIDAY - 65 * SECOND)
    first_id = keep(stand, first)
    second = look(before, "8:23:45", FRIDAY - 35 * SECOND, again=True)
    again = Surprise(before.estimates.history, second, keep(stand, second), first, first_id)
    told = by_code(stand, again)
    assert not told["misread"].on
    assert told["misread"].means == "the second look says the same"
    after = answer(stand, again, "hands-set")
    assert after.estimates.time.suspects == ()
    assert "4:00" in told["hands-set"].means


def test_minutes_that_were_typed_as_seconds_are_put_right(stand: Stand) -> None:
    stand.add_clock({"tag": TAG, "kind": "mantel"}, FRIDAY)
    for d in range(9):
        stand.check_in({"tag": TAG, "at": FRIDAY - (10 - d) * DAY, "error_s": 180.0 + 2 * d}, FRIDAY)
    typed = stand.check_in({"tag": TAG, "at": FRIDAY - DAY, "error_s": 3.3}, FRIDAY).id
    before = stand.assess(TAG, FRIDAY)
    reading = look(before, "8:23", FRIDAY - 20 * SECOND)
    # as if the others had not given the typing away: what is expected goes by the wrong row alone
    wrong = Quantity(4.0, -6.0, 14.0)
    reading = replace(reading, expected=wrong)
    surprise = Surprise(before.estimates.history, reading, keep(stand, reading))
    assert minutes_as_seconds(surprise) is not None
    told = by_code(stand, surprise)["misread"]
    assert (told.on, told.title) == (True, "minutes typed as seconds")
    assert told.means == "yesterday: 3.3 s typed, 3:18 fast meant"
    after = answer(stand, surprise, "misread")
    assert [v.error_s for v in after.estimates.history.readings][-2] == 198
    assert after.estimates.time.suspects == ()
    assert any(record.replaces == typed for record in stand.facts(TAG))


def test_a_hand_that_slipped_is_noted_and_stays_unlogged(stand: Stand) -> None:
    surprise = surprise_of(stand, "8:23:15", FRIDAY - 65 * SECOND)
    after = answer(stand, surprise, "slipped")
    last = after.estimates.history.readings[-1].row
    assert last.note == SLIPPED
    assert last.dial == surprise.reading.dial
    assert not after.estimates.history.works(Work.HANDS_SET)


def test_really_so_is_kept_as_it_was_read(stand: Stand) -> None:
    surprise = surprise_of(stand, "8:23:15", FRIDAY - 65 * SECOND)
    facts = stand.facts(TAG)
    after = answer(stand, surprise, "really-so")
    assert stand.facts(TAG) == facts
    assert [s.id for s in after.estimates.time.suspects] == [surprise.id]
    assert by_code(stand, surprise)["really-so"].does == "kept as suspect, asked again Monday"


def test_an_hour_after_the_civil_change_is_summer_time(stand: Stand) -> None:
    monday = datetime(2026, 3, 30, 7, 20, tzinfo=UTC)  # London went forward on 29 March 2026
    stand.add_clock({"tag": TAG, "kind": "longcase"}, monday)
    for d in range(8):
        stand.check_in({"tag": TAG, "at": monday - (10 - d) * DAY, "error_s": 1.0 * d}, monday)
    before = stand.assess(TAG, monday)
    reading = look(before, "8:20:00", monday - 10 * SECOND)
    assert not reading.surprise, "one figure can't tell the hour: it is taken for what is expected"
    looked = look(before, "8:20:00", monday - 10 * SECOND, again=True)
    assert looked.off_s == pytest.approx(3600, abs=5)
    surprise = Surprise(before.estimates.history, looked, stand.check_in(looked.cells, monday).id, reading, "none")
    told = by_code(stand, surprise)["hands-set"]
    assert (told.title, told.fits) == ("summer time", "fits the reading")
    [step] = steps_of(surprise, "hands-set")
    stand.check_in(step.cells, monday)
    after = stand.assess(TAG, monday)
    assert after.estimates.time.suspects == ()
    error = after.estimates.time.error_at(monday)
    assert isinstance(error, Quantity)
    assert error.estimate == pytest.approx(8, abs=6)


def test_a_seconds_hand_tells_setting_from_standing(stand: Stand) -> None:
    surprise = surprise_of(stand, "7:58:45", FRIDAY - 40 * SECOND)
    told = by_code(stand, surprise)
    assert surprise.minutes == 0, "the seconds don't agree"
    assert not told["hands-set"].fits


def test_nothing_was_expected_nothing_surprises(stand: Stand) -> None:
    stand.add_clock({"tag": TAG, "kind": "longcase"}, FRIDAY)
    reading = look(stand.assess(TAG, FRIDAY), "8:23:15", FRIDAY)
    assert isinstance(reading.expected, NotYetKnown)
    assert not reading.surprise
