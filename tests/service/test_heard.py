"""What was heard so far, by stories: the twelve cells, the quarters, the tunes, the mis-sets."""

from __future__ import annotations

from typing import Any

import pytest

from standwatch.judge.mis_setting import mis_set
from standwatch.service.hearing.heard import Cell, Tries, heard_of, tries_of, tunes_of
from tests.judge.judged import case
from tests.stories import at, daily

WEEK = ["11-13 07:00 work=restarted", *daily("11-13 08:00", "11-20 08:00", "error_s=0")]


def hours(*lines: str, new: int | None = None) -> dict[int, Cell]:
    """The cells that are not plainly unheard."""
    heard = heard_of(case("mantel", [*WEEK, *lines], now="11-20 12:00"), new_hour=new)
    assert heard.quarters == ()
    return {hour: cell for hour, cell in enumerate(heard.hours, start=1) if cell != "unheard"}


def quarters(*lines: str, new: int | None = None) -> list[Cell]:
    return list(heard_of(case("floor-chiming", [*WEEK, *lines], now="11-20 12:00"), new_quarter=new).quarters)


def tries(*lines: str, now: str = "11-20 12:00", **columns: Any) -> Tries | None:
    told = case("floor-chiming", [*WEEK, *lines], now=now, position="A3", **columns)
    return tries_of(told, mis_set(told).outcome)


class TestTwelveCells:
    def test_right_wrong_and_new(self) -> None:
        cells = hours("11-19 09:00 hour=9 blows=9", "11-19 10:00 hour=10 blows=9", new=11)
        assert cells == {9: "right", 10: "wrong", 11: "new"}

    def test_one_that_was_wrong_is_heard_once_and_wanted_once_more(self) -> None:
        put_right = ["11-19 10:00 hour=10 blows=9", "11-19 10:30 work=strike-set"]
        assert hours(*put_right) == {}
        assert hours(*put_right, "11-19 22:00 hour=10 blows=10") == {10: "once"}
        assert hours(*put_right, "11-19 22:00 hour=10 blows=10", new=10) == {10: "new"}
        assert hours(*put_right, "11-19 22:00 hour=10 blows=10", "11-20 10:00 hour=10 blows=10") == {10: "right"}

    def test_an_hour_heard_already_is_not_new(self) -> None:
        assert hours("11-19 09:00 hour=9 blows=9", new=9) == {9: "right"}

    def test_a_half_hour_blow_is_no_hour(self) -> None:
        assert hours("11-19 09:30 blows=1") == {}

    def test_opening_begins_anew(self) -> None:
        assert hours("11-19 09:00 hour=9 blows=9", "11-19 10:00 work=opened") == {}

    def test_where_nothing_strikes_there_are_no_cells(self) -> None:
        heard = heard_of(case("regulator", WEEK, now="11-20 12:00"))
        assert (heard.hours, heard.quarters, heard.slipped) == ((), (), False)


class TestQuarters:
    def test_in_step_new_and_out_of_step(self) -> None:
        lines = ["11-19 09:00 chime=in-step quarter=4", "11-20 09:15 chime=out-of-step quarter=1"]
        assert quarters(*lines, new=3) == ["wrong", "unheard", "new", "right"]

    def test_the_last_hearing_counts(self) -> None:
        lines = ["11-19 09:15 chime=out-of-step quarter=1", "11-20 09:15 chime=in-step quarter=1"]
        assert quarters(*lines)[0] == "right"

    def test_putting_the_chime_right_begins_anew(self) -> None:
        lines = ["11-19 09:15 chime=out-of-step quarter=1", "11-19 10:00 work=chime-set"]
        assert quarters(*lines) == ["unheard"] * 4
        told = case("floor-chiming", [*WEEK, *lines], now="11-20 12:00")
        assert not heard_of(told).slipped


class TestTunes:
    def test_four_quarters_from_one_turn_of_the_selector(self) -> None:
        first = [f"11-19 {9 + n}:00 chime=in-step quarter={n}" for n in (1, 2)]
        lines = [*WEEK, "11-19 08:30 work=tune amount=1", *first, "11-19 13:00 work=tune amount=2"]
        told = case("floor-chiming", lines, now="11-20 12:00", tunes="Vesper;Meadow")
        one, two, silent = tunes_of(told)
        assert (one.name, one.quarters, one.done) == ("Vesper", frozenset({1, 2}), False)
        assert (two.quarters, two.done) == (frozenset(), False)
        assert (silent.position, silent.done) == (0, False)

    def test_silent_is_done_with_the_return_from_it(self) -> None:
        lines = [*WEEK, "11-19 08:30 work=tune amount=0", "11-19 08:45 chime=silent"]
        told = case("floor-chiming", lines, now="11-20 12:00", tunes="Vesper")
        assert not tunes_of(told)[-1].done
        lines += ["11-19 08:50 work=tune amount=1", "11-19 09:00 chime=in-step quarter=4"]
        assert tunes_of(case("floor-chiming", lines, now="11-20 12:00", tunes="Vesper"))[-1].done

    def test_none_are_listed(self) -> None:
        assert tunes_of(case("floor-chiming", WEEK, now="11-20 12:00")) == ()


class TestMisSets:
    def test_right_within_two_hours(self) -> None:
        told = tries("11-20 09:00 work=mis-set amount=1", "11-20 10:00 chime=in-step quarter=4")
        assert told is not None
        assert (told.states, told.until, told.name) == (("right", "untried", "untried"), None, "A3")

    def test_running_until_two_hours_are_over(self) -> None:
        told = tries("11-20 09:00 work=mis-set amount=3", now="11-20 10:30")
        assert told is not None
        assert (told.states, told.running, told.until) == (("untried", "untried", "running"), 3, at("11-20 11:00"))

    def test_still_out_of_step_after_them_is_failed(self) -> None:
        told = tries("11-20 08:30 work=mis-set amount=2", "11-20 11:00 chime=out-of-step quarter=4")
        assert told is not None
        assert told.states == ("untried", "failed", "untried")

    def test_nobody_listened(self) -> None:
        told = tries("11-20 08:30 work=mis-set amount=2")
        assert told is not None
        assert told.states == ("untried", "unheard", "untried")

    def test_a_slip_is_named_with_its_quarter(self) -> None:
        told = tries("11-20 08:15 chime=out-of-step quarter=1")
        assert told is not None
        assert (told.slipped_at, told.slipped_quarter) == (at("11-20 08:15"), 1)

    @pytest.mark.parametrize("columns", [{"self_correcting": "no"}, {"trains": "going+strike"}])
    def test_where_it_does_not_apply_there_is_nothing(self, columns: dict[str, str]) -> None:
        assert tries(**columns) is None
