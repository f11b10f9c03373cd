"""What sounds at a quarter, by stories: when by its own error, for what it is worth hearing, and who stays unheard."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standwatch.judge.assessment import Assessment
from standwatch.judge.striking import hours_to_hear
from standwatch.service.hearing.picking import APART
from standwatch.service.hearing.quarter import Listening, Row, coming_up, coming_words, listening_at, open_at
from standwatch.service.hearing.voices import mark_of, mark_words
from tests.judge.judged import assessed, rounds
from tests.stories import ZONE, at, daily

NOW = "11-20 08:50"
NINE = at("11-20 09:00")
_WEEK = ("11-13 07:00 work=restarted", "11-13 07:30 work=wound")


def clock(kind: str, error_s: float, *tail: str, tag: str = "T1", now: str = NOW, **columns: Any) -> Assessment:
    columns = {"position": "A1", **columns}
    """A week of readings that keep `error_s`, then `tail`."""
    lines = [*_WEEK, *daily("11-13 08:00", "11-20 08:00", f"error_s={error_s}"), *tail]
    return assessed(kind, lines, now=now, tag=tag, **columns)


def heard(*told: Assessment, mark: datetime = NINE, keep: tuple[str, ...] = ()) -> Listening:
    return listening_at(told, rounds(), mark, keep)


def only(told: Assessment, mark: datetime = NINE) -> Row:
    [row] = heard(told, mark=mark).rows
    return row


class TestWhenItSounds:
    def test_two_minutes_slow_strikes_two_minutes_after(self) -> None:
        row = only(clock("longcase", -120))
        assert abs(row.voice.at - (NINE + timedelta(minutes=2))) < timedelta(seconds=3)
        assert row.voice.low < row.voice.at < row.voice.high
        assert (row.voice.hour, row.voice.quarter, row.voice.blows) == (9, 4, 9)

    def test_fast_strikes_before(self) -> None:
        assert abs(only(clock("longcase", 90)).voice.at - (NINE - timedelta(seconds=90))) < timedelta(seconds=3)

    def test_ten_minutes_slow_sounds_its_own_quarter_meanwhile(self) -> None:
        """At five past nine a chime that is ten minutes slow plays its fourth quarter: it is the turn of 9:15."""
        told = clock("floor-chiming", -600)
        assert only(told).voice.quarter == 3
        late = only(told, at("11-20 09:15"))
        assert (late.voice.quarter, late.voice.hour) == (4, 9)
        assert abs(late.voice.at - at("11-20 09:10")) < timedelta(seconds=5)

    def test_hours_shifted_sound_as_the_dial_shows(self) -> None:
        told = clock("mantel", 0, "11-20 08:10 work=hours-shifted amount=10")
        assert only(told).voice.hour == 7

    def test_before_its_summer_time_row_it_strikes_the_old_hour(self) -> None:
        """The clocks went back on 25 October 2026 (tzdata); at nine of the new time the dial shows ten."""
        lines = ["10-18 07:00 work=restarted", *daily("10-18 08:00", "10-26 08:00", "error_s=0")]
        old = assessed("mantel", lines, now="10-26 08:50", position="A1")
        assert only(old, at("10-26 09:00")).voice.hour == 10
        set_ = assessed("mantel", [*lines, "10-26 08:10 work=summer-time"], now="10-26 08:50", position="A1")
        assert only(set_, at("10-26 09:00")).voice.hour == 9

    def test_the_doubt_grows_with_the_days_unread(self) -> None:
        fresh = only(clock("mantel", 0))
        old = only(assessed("mantel", [*_WEEK, *daily("11-13 08:00", "11-17 08:00", "error_s=0")], now=NOW))
        assert old.voice.doubt_s > fresh.voice.doubt_s


class TestWhoSaysNothing:
    @pytest.mark.parametrize(
        ("told", "why"),
        [
            (clock("regulator", 0), "does not strike"),
            (clock("torsion", 0), "does not strike"),
            (clock("mantel", 0, "11-20 08:10 work=stopped dial=3:47"), "stopped"),
            (clock("longcase", 0, "11-20 08:10 work=ran-out"), "ran out"),
            (clock("longcase", 0, "11-20 08:10 work=ran-out train=strike"), "ran out"),
            (clock("floor-chiming", 0, night_silence="21:00-09:30"), "silent by night"),
            (
                clock("floor-chiming", 0, "11-20 08:05 work=tune amount=0", "11-20 08:15 chime=silent", tunes="a;b"),
                "selector on silent",
            ),
        ],
    )
    def test_it_is_said_why(self, told: Assessment, why: str) -> None:
        listening = heard(told)
        assert listening.rows == ()
        assert [group.why for group in listening.quiet] == [why]

    def test_one_never_read_is_wanted_and_can_not_be_named_a_time(self) -> None:
        listening = heard(assessed("mantel", ["11-20 08:00 work=seen-going"], now=NOW, position="A1"))
        assert (listening.rows, listening.quiet) == ((), ())
        [group] = listening.left
        assert (group.names, group.why) == (("A1",), "when it sounds is not known: read it first")

    def test_at_a_quarter_strikers_are_not_even_named(self) -> None:
        listening = heard(clock("mantel", 0), mark=at("11-20 09:15"))
        assert listening.rows == ()
        assert listening.quiet == ()

    def test_a_half_hour_blow_is_a_voice_but_worth_nothing(self) -> None:
        listening = heard(clock("mantel", 0, half_hour="yes"), mark=at("11-20 09:30"))
        assert [(row.voice.blows, row.points) for row in listening.rows] == [(1, ())]
        assert listening.hear == ()

    def test_the_night_silence_ends_at_its_end(self) -> None:
        told = clock("floor-chiming", 0, night_silence="22:00-09:00")
        assert heard(told).rows
        assert not heard(told, mark=at("11-20 08:45")).rows

    def test_a_clock_at_its_owner_is_no_part_of_it(self) -> None:
        told = clock("mantel", 0, handed=["11-20 08:20 released", "11-20 08:30 delivered"])
        listening = heard(told)
        assert (listening.rows, listening.quiet) == ((), ())

    def test_a_released_one_sounds_and_wants_nothing(self) -> None:
        listening = heard(clock("mantel", 0, handed=["11-20 08:20 released"]))
        assert len(listening.others) == 1
        assert [group.why for group in listening.rest] == ["released"]


class TestWhatItIsWorth:
    def points(self, told: Assessment, mark: datetime = NINE) -> list[str]:
        return [point.text for point in only(told, mark).points]

    def test_an_hour_not_heard_yet(self) -> None:
        assert self.points(clock("mantel", 0)) == ["nine, new"]
        assert self.points(clock("mantel", 0, "11-19 09:00 hour=9 blows=9")) == []

    def test_an_hour_that_was_wrong_is_wanted_twice(self) -> None:
        put_right = ["11-18 09:00 hour=9 blows=8", "11-18 10:00 work=strike-set"]
        assert self.points(clock("mantel", 0, *put_right)) == ["nine, new"]
        assert self.points(clock("mantel", 0, *put_right, "11-19 09:00 hour=9 blows=9")) == ["nine, once more"]

    def test_after_a_wrong_count_nothing_is_counted_until_it_is_put_right(self) -> None:
        told = clock("mantel", 0, "11-19 08:00 hour=8 blows=7")
        assert self.points(told) == []
        assert [group.why for group in heard(told).rest] == ["eight was wrong: set its strike right first"]

    def test_chime_and_count_together(self) -> None:
        assert self.points(clock("floor-chiming", 0)) == ["fourth quarter, new", "nine, new"]

    def test_a_further_morning_once_a_day(self) -> None:
        quarters = [f"11-{19}  09:{15 * n:02} chime=in-step quarter={n}" for n in (1, 2, 3)]
        quarters.append("11-19 10:00 chime=in-step quarter=4")
        told = clock("floor-chiming", 0, *quarters)
        assert "fourth quarter, a further morning" in self.points(told)
        again = clock("floor-chiming", 0, *quarters, "11-20 08:15 chime=in-step quarter=1")
        assert self.points(again) == ["nine, new"]

    def test_a_slip_and_a_correction_are_asked_about(self) -> None:
        slip = clock("floor-chiming", 0, "11-20 08:15 chime=out-of-step quarter=1")
        assert self.points(slip)[0] == "fourth quarter, or another?"
        assert only(slip).points[0].asks
        touched = ["11-20 08:10 work=hands-set amount=30", "11-20 08:30 chime=out-of-step quarter=2"]
        assert self.points(clock("floor-chiming", 0, *touched))[0] == "fourth quarter, or another?"

    def test_a_mis_set_has_two_hours(self) -> None:
        told = clock("floor-chiming", 0, "11-20 08:05 work=mis-set amount=2")
        assert self.points(told)[0] == "fourth quarter, in step again by 10:05?"
        [tries] = heard(told).tries
        assert tries.states == ("untried", "running", "untried")
        assert tries.until == at("11-20 10:05")
        late = clock("floor-chiming", 0, "11-20 06:30 work=mis-set amount=2")
        assert "by" not in self.points(late)[0]

    def test_each_tune_at_each_quarter(self) -> None:
        told = clock("floor-chiming", 0, "11-20 08:05 work=tune amount=2", tunes="Vesper;Meadow")
        assert "tune 2 Meadow, fourth quarter" in self.points(told)
        [(name, tunes)] = heard(told).tunes
        assert name == "A1"
        assert [(tune.position, tune.done) for tune in tunes] == [(1, False), (2, False), (0, False)]

    def test_silent_must_say_nothing_and_the_return_is_heard(self) -> None:
        silent = ["11-20 08:05 work=tune amount=0"]
        told = clock("floor-chiming", 0, *silent, tunes="Vesper")
        row = only(told)
        assert row.voice.silent
        assert [point.text for point in row.points] == ["silent: it must say nothing"]
        back = [*silent, "11-20 08:15 chime=silent", "11-20 08:20 work=tune amount=1"]
        assert "back from silent, in step?" in self.points(clock("floor-chiming", 0, *back, tunes="Vesper"))

    def test_in_its_own_case_twelve_and_the_quarters_once_more(self) -> None:
        hours = [f"11-14 {8 + n:02}:00 hour={(7 + n) % 12 + 1} blows={(7 + n) % 12 + 1}" for n in range(12)]
        cased = ["11-20 08:05 work=cased", "11-20 08:10 error_s=0"]
        told = clock("mantel", 0, *hours, *cased)
        assert self.points(told) == []
        noon = clock("mantel", 0, *hours, *cased, "11-20 11:50 error_s=0", now="11-20 11:55")
        assert self.points(noon, at("11-20 12:00")) == ["twelve, in its own case"]


class TestTheWhole:
    def shop(self) -> list[Assessment]:
        return [
            clock("mantel", 0, tag="T1", position="A1"),
            clock("mantel", 12, tag="T2", position="A2"),
            clock("longcase", -70, tag="T3", position="B1"),
            clock("floor-chiming", 80, tag="T4", position="B2"),
        ]

    def test_in_order_with_neighbours_named(self) -> None:
        listening = heard(*self.shop())
        assert listening.words == "nine o'clock"
        assert listening.hear[0].voice.name == "B2"
        assert {row.voice.name for row in listening.hear} & {"A1", "A2"} != {"A1", "A2"}
        for row in listening.rows:
            if row.voice.name == "A1":
                assert row.before == ("A2",)
        assert listening.left[0].why.startswith("too near A")

    def test_a_stagger_is_proposed_for_the_one_left(self) -> None:
        listening = heard(*self.shop())
        assert listening.proposal is not None
        assert listening.proposal.text.startswith("set A")
        assert "at ten it strikes alone, " in listening.proposal.text
        stagger = listening.proposal.stagger
        others = [row.voice for row in heard(*self.shop(), mark=at("11-20 10:00")).rows]
        assert all(abs(o.at - stagger.voice.at) >= APART for o in others if o.tag != stagger.voice.tag)

    def test_what_was_told_stays_in_its_row(self) -> None:
        told = clock("mantel", 0, "11-20 09:00:20 hour=9 blows=9", now="11-20 09:01")
        listening = heard(told, keep=("T1",))
        [row] = listening.hear
        assert row.answered is not None
        assert (row.answered.text, row.answered.right) == ("heard right", True)
        assert row.heard.hours[8] == "right"

    @pytest.mark.parametrize(
        ("cells", "told_as"),
        [
            ("hour=9 blows=8", ("counted 8", False)),
            ("hour=9 blows=0", ("did not strike", False)),
            ("chime=out-of-step quarter=4", ("a quarter off", False)),
            ("chime=not-running quarter=4", ("did not sound", False)),
            ("chime=silent quarter=4", ("silent", None)),
            ("note='strike shut off at nine'", ("strike shut off", None)),
        ],
    )
    def test_what_was_told_in_words(self, cells: str, told_as: tuple[str, bool | None]) -> None:
        told = clock("floor-chiming", 0, f"11-20 09:00:40 {cells}", now="11-20 09:01")
        answered = only(told).answered
        assert answered is not None
        assert (answered.text, answered.right) == told_as

    def test_seven_is_named_where_no_open_shop_hears_it(self) -> None:
        [closed] = [each for each in heard(clock("mantel", 0)).closed if each.hour == "seven"]
        assert closed.names == ("A1",)
        assert closed.shift > 0

    def test_where_nothing_is_wanted_the_next_is_named(self) -> None:
        told = [clock("mantel", 0, "11-19 09:00 hour=9 blows=9")]
        assert heard(*told).hear == ()
        assert coming_words(coming_up(told, rounds(), NINE)) == "Nothing is worth hearing now. Next: ten o'clock, A1."
        assert coming_words(coming_up([], rounds(), NINE)) == "Nothing is worth hearing for an hour."

    def test_an_empty_stand(self) -> None:
        listening = heard()
        assert (listening.rows, listening.proposal, listening.tries) == ((), None, ())
        assert listening.first_to_sound is None


KINDS = ("mantel", "floor-chiming", "longcase", "mantel-chiming", "regulator", "cuckoo")
HEARD = tuple(f"11-14 {hour:02}:00 hour={(hour - 1) % 12 + 1} blows={(hour - 1) % 12 + 1}" for hour in range(8, 20))


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(KINDS), st.integers(-500, 500), st.booleans(), st.booleans()), min_size=1, max_size=5
    ),
    st.sampled_from(["09:00", "09:15", "12:00", "13:30"]),
)
def test_whatever_hangs_there(told: list[tuple[str, int, bool, bool]], time: str) -> None:
    """Chosen voices are 25 s apart, none is chosen that needs nothing or keeps its night's silence."""
    mark = at(f"11-20 {time}")
    stand = []
    for n, (kind, error, night, complete) in enumerate(told):
        columns: dict[str, Any] = {"night_silence": "20:00-14:00"} if night and "chiming" in kind else {}
        heard_before = HEARD if complete and kind not in {"regulator", "floor-chiming", "mantel-chiming"} else ()
        stand.append(clock(kind, error, *heard_before, tag=f"T{n}", position=f"A{n}", **columns))
    listening = listening_at(stand, rounds(), mark)
    chosen = [row.voice for row in listening.hear]
    for one, other in pairwise(chosen):
        assert other.at - one.at >= APART
    for row in listening.hear:
        n = int(row.voice.tag[1:])
        kind, _, night, complete = told[n]
        assert row.points
        assert not (night and "chiming" in kind), "its night's silence lasts until two"
        assert kind != "regulator"
        assert not (complete and kind in {"mantel", "longcase", "cuckoo"}), "each hour of it was heard"
    named = {name for group in (*listening.left, *listening.rest, *listening.quiet) for name in group.names}
    silent_quarters = mark.astimezone(ZONE).minute != 0
    if not silent_quarters:
        assert named | {row.voice.name for row in listening.hear} == {f"A{n}" for n in range(len(told))}


def test_a_mark_is_the_turn_of_its_quarter() -> None:
    assert mark_of(NINE - timedelta(minutes=7, seconds=30)) == NINE
    assert mark_of(NINE - timedelta(minutes=7, seconds=31)) == NINE - timedelta(minutes=15)
    assert mark_of(NINE + timedelta(minutes=7, seconds=29)) == NINE
    assert mark_of(datetime(2026, 11, 20, 9, 7, 30, tzinfo=UTC)) == NINE + timedelta(minutes=15)
    assert [mark_words(NINE + timedelta(minutes=15 * n), ZONE) for n in range(4)] == [
        "nine o'clock",
        "a quarter past nine",
        "half past nine",
        "a quarter to ten",
    ]
    assert mark_words(at("11-20 12:45"), ZONE) == "a quarter to one"


def test_open_hours_are_ten_from_the_round_on() -> None:
    assert open_at(rounds(), at("11-20 08:00"))
    assert open_at(rounds(), at("11-20 17:59"))
    assert not open_at(rounds(), at("11-20 18:00"))
    assert not open_at(rounds(), at("11-20 07:59"))
    assert not open_at(rounds(), at("11-21 10:00")), "a Saturday"


def test_hours_left_agree_with_the_judge() -> None:
    told = clock("mantel", 0, "11-19 09:00 hour=9 blows=9")
    cells = only(told).heard.hours
    from standwatch.judge.case import Case  # noqa: PLC0415  # beside what it is compared with

    left = hours_to_hear(Case(told.estimates, told.going, rounds()))
    assert {n for n, cell in enumerate(cells, start=1) if cell != "right"} == set(left)
