"""From a press and a figure to a reading: the right minute whenever the truth is near enough, and no false sureness."""

from __future__ import annotations

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.history import History, history_of
from standwatch.horology.rounds import Rounds, parse_open_days
from standwatch.judge.assess import assess
from standwatch.judge.assessment import Assessment
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record, build
from standwatch.model.units import DIAL_S, dial_seconds, wrap_dial
from standwatch.model.words import ReadBy
from standwatch.service.round import crossing as cr
from standwatch.service.round.crossing import Crossing, Reading, crossed, dial_complete, dial_of_digits, read, way_of
from tests.stories import ZONE, at, daily, story

NOON = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)
ROUNDS = Rounds(ZONE, time(8), parse_open_days("Mon-Fri"))
EXACT = Quantity(0.0, -2.0, 2.0)


def assessed(history: History) -> Assessment:
    [estimates] = estimates_of([history])
    return assess(estimates, estimates.going, ROUNDS)


def longcase() -> History:
    lines = daily("11-09 08:00", "11-19 08:00", "error_s={3*d:.1f}")
    return story("longcase", lines, now="11-20 08:00")


def press(way: ReadBy, truth_s: float, expected: Quantity | NotYetKnown, moment: datetime = NOON) -> Crossing:
    """A press at which the dial, `truth_s` fast, is exactly on a mark: the moment is moved to where it is."""
    crossing = Crossing("T1", moment, way, 0.0, expected, whole=isinstance(expected, NotYetKnown))
    spacing = 15.0 if way is ReadBy.SECONDS_HAND else 3600.0 if way is ReadBy.FIRST_BLOW else 60.0
    off = (crossing.right_s + truth_s) % spacing
    return Crossing("T1", moment - timedelta(seconds=off), way, 0.0, expected, crossing.whole)


def shown(crossing: Crossing, truth_s: float) -> int:
    """Seconds past twelve that the dial really shows at the press."""
    return round(crossing.right_s + truth_s) % round(DIAL_S)


moments = st.integers(0, 2 * 86400 * 10**6).map(lambda us: NOON + timedelta(microseconds=us))
estimates = st.floats(-21000, 21000)
doubts = st.floats(0.2, 230)
ways = st.sampled_from([ReadBy.SECONDS_HAND, ReadBy.MINUTE_HAND])


def told(crossing: Crossing, dial: int) -> Crossing:
    """The figure, and the mark where it is asked, as an honest reader tells them."""
    crossing = cr.with_figure(crossing, dial // 60 % 10)
    return cr.with_mark(crossing, dial % 60) if crossing.wants == "mark" else crossing


@given(moments, estimates, doubts, st.floats(-299, 299), ways)
def test_the_figure_settles_the_minute_when_the_truth_is_within_five_minutes(
    moment: datetime, estimate: float, doubt: float, off: float, way: ReadBy
) -> None:
    expected = Quantity(estimate, estimate - doubt, estimate + doubt)
    truth = wrap_dial(estimate + off)
    crossing = press(way, truth, expected, moment)
    dial = shown(crossing, truth)
    crossing = cr.with_figure(crossing, dial // 60 % 10)
    if way is ReadBy.SECONDS_HAND:
        crossing = cr.with_mark(crossing, dial % 60)
    reading = read(crossing, longcase())
    assert dial_seconds(reading.dial) == dial
    assert wrap_dial(reading.error_s - truth) == pytest.approx(0, abs=1e-3)


@given(moments, estimates, doubts, st.integers(0, 9), st.tuples(ways, st.sampled_from(cr.MARKS)))
def test_any_press_and_any_figure_lie_within_five_minutes_of_what_was_expected(
    moment: datetime, estimate: float, doubt: float, figure: int, told: tuple[ReadBy, int]
) -> None:
    way, mark = told
    expected = Quantity(estimate, estimate - doubt, estimate + doubt)
    crossing = cr.with_figure(Crossing("T1", moment, way, 0.0, expected, whole=False), figure)
    if crossing.wants == "mark":
        crossing = cr.with_mark(crossing, mark)
    assert crossing.wants is None
    reading = read(crossing, longcase())
    assert abs(wrap_dial(reading.error_s - estimate)) <= 300 + 1e-6
    assert -21600 < reading.error_s <= 21600
    assert round(dial_seconds(reading.dial)) // 60 % 10 == figure


@given(moments, st.floats(-200, 200), st.floats(0.3, 5.0), st.floats(-7.4, 7.4))
def test_the_mark_follows_from_what_is_expected_where_that_is_sure(
    moment: datetime, estimate: float, doubt: float, off: float
) -> None:
    expected = Quantity(estimate, estimate - doubt, estimate + doubt)
    crossing = press(ReadBy.SECONDS_HAND, estimate + off, expected, moment)
    dial = shown(crossing, estimate + off)
    crossing = cr.with_figure(crossing, dial // 60 % 10)
    assert crossing.wants is None
    reading = read(crossing, longcase())
    assert reading.mark_assumed
    assert reading.mark == dial % 60
    assert reading.error_s == pytest.approx(estimate + off, abs=1e-3)


def test_an_unsure_second_is_asked_and_a_figure_that_disagrees_makes_it_unsure() -> None:
    unsure = cr.with_figure(press(ReadBy.SECONDS_HAND, 0, Quantity(0, -5.1, 5.1)), 0)
    assert unsure.wants == "mark"
    sure = press(ReadBy.SECONDS_HAND, 0, EXACT)
    assert cr.with_figure(sure, 0).wants is None
    assert cr.with_figure(sure, 3).wants == "mark"
    assert read(cr.with_mark(cr.with_figure(sure, 3), 60), longcase()).error_s == 180
    assert press(ReadBy.MINUTE_HAND, 0, Quantity(0, -90, 90)).wants == "figure"


@pytest.mark.parametrize(
    ("figure", "error"),
    [(9, 0.0), (8, -3600.0), (0, 3600.0), (1, 2 * 3600.0), (2, 3 * 3600.0), (7, -2 * 3600.0)],
)
def test_the_first_blow_is_that_of_an_hour(figure: int, error: float) -> None:
    crossing = cr.with_figure(press(ReadBy.FIRST_BLOW, 0, Quantity(0, -20, 20), NOON - timedelta(hours=3)), figure)
    assert crossing.wants is None
    assert read(crossing, longcase()).error_s == error


def test_the_whole_dial_is_asked_first_with_a_wide_doubt_and_on_a_second_look() -> None:
    told = assessed(longcase())
    moment = at("11-20 08:06:46")
    assert crossed(told, moment).wants == "figure"
    assert crossed(told, moment, again=True).wants == "dial"
    never = assessed(story("longcase", "11-19 08:00 work=wound", now="11-20 08:00"))
    assert isinstance(crossed(never, moment).expected, NotYetKnown)
    assert crossed(never, moment).wants == "dial"
    vague = assessed(story("torsion", ["11-01 08:00 error_s=0"], now="11-20 08:00"))
    assert isinstance(crossed(vague, moment).expected, Quantity)
    assert crossed(vague, moment).wants == "dial"
    hung = assessed(
        story("longcase", ["11-19 08:00 error_s=0", "11-20 07:00 work=stopped dial=3:47"], now="11-20 08:00")
    )
    assert crossed(hung, moment).expected == NotYetKnown("it was standing still")


@pytest.mark.parametrize(
    ("digits", "seconds"),
    [("827", 8 * 3600 + 27 * 60), ("0827", 8 * 3600 + 27 * 60), ("1227", 27 * 60), ("100", 3600), ("1000", 36000),
     ("860", None), ("1300", None), ("8", None), ("", None), ("82:7", None), ("82700", None), ("٨٢٧", None)],
)  # fmt: skip
def test_a_dial_in_figures(digits: str, seconds: int | None) -> None:
    assert dial_of_digits(digits) == seconds


@given(st.integers(1, 12), st.integers(0, 59))
def test_any_dial_in_figures_reads_back_and_is_whole_only_when_nothing_could_follow(hour: int, minute: int) -> None:
    digits = f"{hour}{minute:02}"
    assert dial_of_digits(digits) == hour % 12 * 3600 + minute * 60
    later = [f"{digits}{more}" for more in range(10) if dial_of_digits(f"{digits}{more}") is not None]
    assert dial_complete(digits) is not bool(later)
    assert all(dial_complete(longer) for longer in later)


@given(st.text(max_size=6))
def test_no_text_makes_a_dial_raise(text: str) -> None:
    seconds = dial_of_digits(text)
    assert seconds is None or 0 <= seconds < DIAL_S


def test_a_second_look_tells_the_dial_whole() -> None:
    crossing = crossed(assessed(longcase()), at("11-20 08:06:46"), again=True)
    looked = cr.with_dial(crossing, "807")
    assert looked is not None
    assert looked.wants == "mark", "what is expected tells nothing now"
    reading = read(cr.with_mark(looked, 0), longcase())
    assert (reading.dial, reading.error_s) == ("8:07:00", 14.0)
    assert cr.with_dial(crossing, "8:07") is None


def test_what_is_read_is_a_row_that_says_the_same(tmp_path: object) -> None:
    for way, moment in ((ReadBy.SECONDS_HAND, "11-20 08:06:27"), (ReadBy.MINUTE_HAND, "11-20 08:06:30")):
        lines = daily("11-09 08:00", "11-19 08:00", f"error_s={{3*d:.1f}} read_by={way}")
        history = story("longcase", lines, now="11-20 08:00")
        reading = read(cr.with_figure(crossed(assessed(history), at(moment)), 7), history)
        row = build(CheckIn, reading.cells)
        record = Record("R", row, 99, 99, None, row.at)
        first = build(CheckIn, {"at": at("11-19 08:00"), "tag": "T1", "error_s": 30})
        known = history_of(
            history.clock, [Record("F", first, 1, 1, None, first.at), record], now=at("11-20 09:00"), zone=ZONE
        )
        visit = known.visits[-1]
        assert visit.read_by is way
        assert visit.error_s == pytest.approx(reading.error_s, abs=1e-6)


def test_the_dial_is_held_against_the_civil_time_the_clock_is_kept_to() -> None:
    lines = [*daily("10-12 08:00", "10-23 08:00", "error_s={2*d:.1f}")]
    kept = story("longcase", lines, now="10-26 08:00")
    # London went back to UTC on 25 October; nobody has told that the clock shows it
    assert crossed(assessed(kept), at("10-26 08:00")).ahead_s == 3600
    told = story("longcase", [*lines, "10-26 07:55 work=summer-time"], now="10-26 08:00")
    assert crossed(assessed(told), at("10-26 08:00")).ahead_s == 0
    shifted = story("longcase", [*lines, "10-23 08:05 work=hours-shifted amount=2"], now="10-23 09:00")
    assert crossed(assessed(shifted), at("10-23 09:00")).ahead_s == 3 * 3600
    moment = at("10-23 09:00:06")
    crossing = Crossing("T1", moment, ReadBy.SECONDS_HAND, 3 * 3600.0, Quantity(24, 22, 26), whole=False)
    reading = read(cr.with_mark(cr.with_figure(crossing, 0), 30), shifted)
    row = build(CheckIn, reading.cells)
    rows = [build(CheckIn, {"at": at("10-23 08:05"), "tag": "T1", "work": "hours-shifted", "amount": 2}), row]
    records = [Record(str(n), body, n, n, None, body.at) for n, body in enumerate(rows)]
    known = history_of(shifted.clock, records, now=at("10-23 10:00"), zone=ZONE)
    assert known.visits[-1].error_s == pytest.approx(reading.error_s)
    assert reading.error_s == 24.0


def minute_read(dial: str) -> Reading:
    """A minute hand read at 8:07, read last at `dial`."""
    lines = daily("11-16 08:05", "11-19 08:05", f"dial={dial}")
    history = story("mantel", lines, now="11-20 08:00")
    return read(cr.with_figure(crossed(assessed(history), at("11-20 08:07:02")), 7), history)


def test_a_minute_hand_is_surer_on_the_mark_it_was_read_at_last() -> None:
    assert minute_read("8:07").told_doubt_s is None
    other = minute_read("8:05")
    assert other.told_doubt_s == pytest.approx(15.0, abs=0.01)
    assert isinstance(other.expected, Quantity)
    same = minute_read("8:07").expected
    assert isinstance(same, Quantity)
    assert other.expected.doubt > same.doubt


def test_a_reference_nothing_keeps_right_makes_each_reading_doubtful() -> None:
    history = longcase()
    crossing = cr.with_mark(cr.with_figure(crossed(assessed(history), at("11-20 08:06:27")), 7), 0)
    assert read(crossing, history).told_doubt_s is None
    # press 0.07 s (Am. J. Phys. 87, 110, 2019), seconds hand 0.5 s (common practice), in quadrature with the reference
    assert read(crossing, history, reference_doubt_s=3.0).told_doubt_s == pytest.approx(
        (9 + 0.25 + 0.0049) ** 0.5, abs=0.01
    )


def test_a_reading_taken_another_way_than_usual_carries_thirty_seconds_more() -> None:
    history = longcase()
    crossing = Crossing("T1", at("11-20 08:06:30"), ReadBy.MINUTE_HAND, 0.0, Quantity(33, 30, 36), whole=False)
    reading = read(cr.with_figure(crossing, 7), history)
    assert reading.doubt_s == pytest.approx((15**2 + 30**2) ** 0.5, abs=0.1)


def test_a_small_hand_that_does_not_show_seconds_is_left_alone() -> None:
    lines = daily("11-09 08:00", "11-12 08:00", "error_s={3*d:.1f} read_by=seconds-hand")
    assert way_of(story("floor-chiming", lines, now="11-20 08:00")) is ReadBy.SECONDS_HAND
    # 3960 beats an hour on a 30-tooth wheel: one turn in 54.5 s
    jumping = story("floor-chiming", lines, now="11-20 08:00", seconds_turn_s=54.5, seconds_hand="yes")
    assert way_of(jumping) is ReadBy.MINUTE_HAND
    assert way_of(story("floor-chiming", lines, now="11-20 08:00", seconds_turn_s=60)) is ReadBy.SECONDS_HAND


def test_a_surprise_is_well_outside() -> None:
    sure = press(ReadBy.SECONDS_HAND, 0, EXACT)
    assert not read(cr.with_figure(sure, 0), longcase()).surprise
    five = read(cr.with_mark(cr.with_figure(sure, 5), 0), longcase())
    assert five.surprise
    assert five.off_s == 300
    assert cr.other_reading(five) == ("11:55", -300.0)
    unknown = press(ReadBy.MINUTE_HAND, 0, NotYetKnown("not read yet"))
    looked = cr.with_dial(unknown, "1200")
    assert looked is not None
    assert read(looked, longcase()).off_s is None
    assert not read(looked, longcase()).surprise


def test_the_zone_of_the_shop_may_be_any() -> None:
    clock = build(Clock, {"tag": "T1", "kind": "mantel"})
    history = history_of(clock, [], now=NOON, zone=ZoneInfo("Asia/Kathmandu"))
    assert crossed(assessed(history), NOON).ahead_s == 5.75 * 3600
