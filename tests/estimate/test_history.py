"""From facts to a clock's history: what a row shows, what a work breaks, what counts."""

import itertools
import math
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from standwatch.estimate.breaks import NEW
from standwatch.estimate.history import History, dial_error, history_of, rail_of
from standwatch.model.facts import Clock, Handover, Waiver
from standwatch.model.records import Record, build
from standwatch.model.words import ReadBy, Work
from tests.stories import ZONE, at, daily, rows, story


class TestOrder:
    """Facts of one clock go by time; ties keep the order of writing."""

    LINES = """
        11-03 08:00  error_s=3
        11-02 08:00  work=wound
        11-03 08:00  work=nut amount=0.5
        11-03 08:00  error_s=5
        11-02 08:00  error_s=1
    """

    def test_rows_need_not_be_sorted_and_ties_keep_their_order(self) -> None:
        seen = story("longcase", self.LINES, now="11-04 08:00")
        assert [(v.error_s, v.work) for v in seen.visits] == [
            (None, Work.WOUND), (1, None), (3, None), (None, Work.NUT), (5, None),
        ]  # fmt: skip

    def test_any_order_of_records_gives_the_same_history(self) -> None:
        records = rows(self.LINES)
        clock = build(Clock, {"tag": "T1", "kind": "longcase"})
        histories = [
            history_of(clock, shuffled, now=at("11-04 08:00"), zone=ZONE)
            for shuffled in itertools.permutations(records)
        ]
        assert all(history == histories[0] for history in histories)

    def test_a_correction_stands_in_the_place_of_what_it_corrects(self) -> None:
        first, second = rows("11-03 08:00  error_s=3\n11-03 08:00  work=nut amount=1")
        right = rows("11-03 08:00  error_s=33")[0].body
        mended = Record("late", right, sequence=99, place=first.place, replaces=first.id, recorded_at=right.at)
        clock = build(Clock, {"tag": "T1", "kind": "longcase"})
        seen = history_of(clock, [second, mended], now=at("11-04 08:00"), zone=ZONE)
        assert [v.error_s for v in seen.visits] == [33, None]

    def test_what_lies_after_now_does_not_count(self) -> None:
        lines = "11-03 08:00  error_s=3\n11-04 08:00  error_s=4 work=opened"
        assert len(story("longcase", lines, now="11-04 07:59:59").visits) == 1
        assert len(story("longcase", lines, now="11-04 08:00").visits) == 2


class TestDoubt:
    """How well an error was read (common practice)."""

    @staticmethod
    def _doubts(kind: str, lines: str, **columns: Any) -> list[float | None]:
        return [v.doubt_s for v in story(kind, lines, now="11-30 08:00", **columns).visits]

    def test_by_how_it_was_read(self) -> None:
        assert self._doubts("longcase", "11-02 08:00  error_s=1") == [0.5]
        assert self._doubts("mantel", "11-02 08:00  error_s=1") == [5]
        assert self._doubts("mantel", "11-02 08:00  error_s=1 read_by=first-blow") == [7]

    def test_another_way_than_usual_carries_thirty_seconds(self) -> None:
        lines = "11-02 08:00  error_s=1\n11-03 08:00  error_s=1\n11-04 08:00  error_s=1 read_by=minute-hand"
        assert self._doubts("longcase", lines) == [0.5, 0.5, math.hypot(5, 30)]

    def test_the_usual_way_is_what_the_clock_is_mostly_read_by(self) -> None:
        lines = [*daily("11-02 08:00", "11-05 08:00", "error_s=1 read_by=first-blow"), "11-06 08:00  error_s=1"]
        seen = story("floor-chiming", lines, now="11-06 09:00")
        assert seen.usual_read_by is ReadBy.FIRST_BLOW
        assert [v.doubt_s for v in seen.visits] == [2.5, 2.5, 2.5, 2.5, math.hypot(5, 30)]
        assert seen.usual_doubt_s == 2.5

    def test_of_two_ways_read_as_often_the_kind_s_own_is_usual(self) -> None:
        lines = "11-02 08:00  error_s=1 read_by=first-blow\n11-03 08:00  error_s=1"
        assert story("floor-chiming", lines, now="11-06 09:00").usual_read_by is ReadBy.MINUTE_HAND
        assert story("floor-chiming", "", now="11-06 09:00").usual_read_by is ReadBy.MINUTE_HAND

    def test_a_doubt_told_is_all_the_doubt(self) -> None:
        lines = "11-02 08:00  error_s=1\n11-03 08:00  error_s=1\n11-04 08:00  error_s=1 read_by=estimate error_u_s=0.3"
        assert self._doubts("longcase", lines) == [0.5, 0.5, 0.3]

    def test_the_next_reading_is_as_good_as_the_doubts_told_with_the_last(self) -> None:
        told = daily("11-02 08:00", "11-06 08:00", "error_s=1 error_u_s=0.02")
        assert story("longcase", told, now="11-06 09:00").usual_doubt_s == 0.02
        mixed = [*told, "11-07 08:00  error_s=1"]
        assert story("longcase", mixed, now="11-07 09:00").usual_doubt_s == 0.5


class TestShown:
    """What a row shows of the error."""

    @staticmethod
    def _errors(lines: str, kind: str = "longcase") -> list[float | None]:
        return [v.error_s for v in story(kind, lines, now="11-30 08:00").visits]

    def test_a_dial_against_civil_time(self) -> None:
        assert self._errors("11-02 08:00:30  dial=8:00:44") == [14]
        assert self._errors("11-02 12:01  dial=11:59", "mantel") == [-120]

    def test_hours_shifted_are_taken_off_a_dial_and_never_off_an_error(self) -> None:
        lines = """
            11-02 08:00  dial=8:00:10
            11-02 08:05  work=hours-shifted amount=3
            11-03 08:00  dial=11:00:12
            11-04 08:00  error_s=14
            11-04 08:05  work=hours-shifted amount=-3
            11-05 08:00  dial=8:00:16
        """
        assert self._errors(lines) == [10, None, 12, 14, None, 16]

    def test_a_clock_that_hangs_shows_no_error_and_no_going(self) -> None:
        seen = story(
            "longcase",
            """
            11-02 08:00  dial=3:47 going_mm=400 work=stopped
            11-09 08:00  dial=5:02 work=ran-out
            11-10 08:00  error_s=12 work=stopped
            """,
            now="11-30 08:00",
        )
        assert [(v.error_s, v.doubt_s, v.shows_going) for v in seen.visits] == [(None, None, False)] * 3
        assert seen.readings == ()

    @pytest.mark.parametrize(
        ("cells", "goes"),
        [
            ("error_s=3", True),
            ("dial=8:00", True),
            ("hour=8 blows=8", True),
            ("blows=1", True),
            ("chime=in-step", True),
            ("chime=out-of-step quarter=2", True),
            ("work=seen-going", True),
            ("chime=silent", False),
            ("chime=not-running", False),
            ("amplitude_deg=240", False),
            ("going_mm=100", False),
            ("work=wound", False),
            ("hour=8", False),
            ("blows=3 work=stopped", False),
        ],
    )
    def test_going_is_shown_by_what_moves(self, cells: str, goes: bool) -> None:  # noqa: FBT001  # a table's column
        kind = "floor-chiming" if "mm" in cells else "mantel-chiming"
        assert story(kind, f"11-02 08:00  {cells}", now="11-30 08:00").visits[0].shows_going is goes

    def test_seen_going_shows_no_error(self) -> None:
        assert self._errors("11-02 08:00  work=seen-going") == [None]


class TestSummerTime:
    """What a season changes is what a dial is read against, never an error told."""

    def test_errors_told_are_errors_whatever_the_season(self) -> None:
        seen = story("longcase", "10-24 08:00  error_s=10\n10-26 08:00  error_s=12", now="10-27 08:00")
        assert [v.error_s for v in seen.readings] == [10, 12]

    def test_before_its_row_a_dial_is_against_the_old_civil_time(self) -> None:
        seen = story("longcase", "10-24 08:00  dial=8:00:10\n10-26 08:00  dial=8:00:12", now="10-27 08:00")
        # set back by somebody who told nobody: an hour slow by what is known
        assert [v.error_s for v in seen.readings] == [10, -3588]


class TestBreaks:
    """TRADE's table of works: what each does to error and rate (common practice)."""

    @pytest.mark.parametrize(
        ("kind", "cells", "shift", "sd", "rate", "settled_h"),
        [
            ("longcase", "work=hands-set amount=-90", -90, 0.5, 0, 0),
            ("longcase", "work=hands-set", 0, NEW, 0, 0),
            ("reference", "work=hands-set amount=1", 1, 0, 0, 0),
            ("longcase", "work=held amount=300", -300, 1, 0, 0),
            ("longcase", "work=held", 0, NEW, 0, 0),
            ("longcase", "work=nut amount=0.5", 0, 15, NEW, 12),
            ("carriage", "work=nut amount=0.5", 0, 2, NEW, 12),
            ("longcase", "work=beat-set", 0, 20, NEW, 24),
            ("torsion", "work=levelled", 0, 20, NEW, 48),
            ("longcase", "work=moved", 0, NEW, NEW, 24),
            ("carriage", "work=moved", 0, 2, NEW, 24),
            ("torsion", "work=cased", 0, NEW, NEW, 48),
            ("longcase", "work=stopped", 0, NEW, 0, 0),
            ("longcase", "work=restarted", 0, NEW, 0, 0),
            ("longcase", "work=ran-out", 0, NEW, 0, 0),
            ("longcase", "work=ran-out train=going", 0, NEW, 0, 0),
            ("longcase", "work=opened", 0, NEW, NEW, 24),
            ("longcase", "work=oiled", 0, NEW, NEW, 24),
        ],
    )
    def test_works_that_break(  # noqa: PLR0917  # a table's columns
        self, kind: str, cells: str, shift: float, sd: float, rate: float, settled_h: float
    ) -> None:
        seen = story(kind, f"11-02 08:00  {cells}", now="11-30 08:00")
        (found,) = seen.breaks
        assert (found.error_shift_s, found.error_sd_s, found.rate_sd) == (shift, sd, rate)
        assert found.settled_at == seen.visits[0].at + timedelta(hours=settled_h)
        assert found.opens_rate == (rate == NEW)
        assert found.opens_all == (found.work in {Work.OPENED, Work.OILED})
        assert found.opens_swing == (rate == NEW and found.work is not Work.NUT)

    @pytest.mark.parametrize(
        "cells",
        [
            "work=summer-time amount=-3600",
            "work=hours-shifted amount=3",
            "work=seen-going",
            "work=bumped",
            "work=mis-set amount=1",
            "work=tune amount=1",
            "work=chime-set",
            "work=strike-set",
            "work=moon-set",
            "work=safety-checked note=mk",
            "work=oil-checked amount=0 note=mk",
            "work=ran-out train=strike",
            "work=wound train=strike",
        ],
    )
    def test_works_that_keep_error_and_rate(self, cells: str) -> None:
        assert story("floor-chiming", f"11-02 08:00  {cells}", now="11-30 08:00").breaks == ()

    @pytest.mark.parametrize(
        ("kind", "columns", "cells", "step"),
        [
            ("longcase", {}, "work=wound", (-10, 8)),
            ("longcase", {}, "work=wound train=going", (-10, 8)),
            ("longcase", {"going_usable_mm": 1000}, "work=wound amount=250", (-2.5, 2)),
            ("longcase", {"going_usable_mm": 1000}, "work=wound amount=1400", (-10, 8)),
            ("longcase", {"maintaining": "yes"}, "work=wound", None),
            ("regulator", {}, "work=wound", None),
            ("mantel", {}, "work=wound", None),
            ("longcase-30h", {}, "work=wound", None),
        ],
    )
    def test_winding_costs_seconds_only_without_maintaining_power(
        self, kind: str, columns: dict[str, Any], cells: str, step: tuple[float, float] | None
    ) -> None:
        breaks = story(kind, f"11-02 08:00  {cells}", now="11-30 08:00", **columns).breaks
        assert [(b.error_shift_s, b.error_sd_s) for b in breaks] == ([] if step is None else [step])

    def test_evidence_counts_from_the_last_opening(self) -> None:
        seen = story(
            "longcase",
            """
            11-02 08:00  error_s=1 work=opened
            11-03 08:00  error_s=2
            11-04 08:00  error_s=3
            11-04 08:00  work=oiled
            11-04 08:00  error_s=4
            """,
            now="11-30 08:00",
        )
        assert seen.opened_at == at("11-04 08:00")
        assert [v.error_s for v in seen.since_opened] == [4]
        assert story("longcase", "11-02 08:00  error_s=1", now="11-30 08:00").opened_at is None


class TestRail:
    """The slot's letters are the rail; a moved clock takes its note's slot."""

    BUMPS = (("B", at("11-03 10:00")), ("A", at("11-05 10:00")), ("", at("11-06 10:00")))

    @classmethod
    def _history(cls, lines: str, position: str | None = "B4") -> History:
        clock = build(Clock, {"tag": "T1", "kind": "longcase", "position": position})
        return history_of(clock, rows(lines), now=at("11-08 08:00"), zone=ZONE, rail_bumps=cls.BUMPS)

    @pytest.mark.parametrize(("slot", "rail"), [("B4", "B"), ("AB12", "AB"), ("", ""), ("7", "")])
    def test_letters(self, slot: str, rail: str) -> None:
        assert rail_of(slot) == rail

    def test_every_clock_of_the_rail_is_bumped(self) -> None:
        assert self._history("11-02 08:00  error_s=1").bumps == (at("11-03 10:00"),)

    def test_a_clock_without_slot_is_on_no_rail(self) -> None:
        assert self._history("11-02 08:00  error_s=1", position=None).bumps == ()

    def test_the_slot_is_where_it_was_moved_last(self) -> None:
        seen = self._history("11-04 08:00  work=moved note=A2\n11-05 08:00  work=moved")
        assert (seen.position, seen.rail) == ("A2", "A")


class TestAtHome:
    """After delivery a reading is one at home; reopened, the clock is back on the stand."""

    @staticmethod
    def _history(*steps: tuple[str, str]) -> History:
        clock = build(Clock, {"tag": "T1", "kind": "longcase"})
        handovers = []
        for number, (when, what) in enumerate(steps):
            body = build(Handover, {"at": at(when), "tag": "T1", "what": what})
            handovers.append(Record(f"h{number}", body, number, number, None, body.at))
        lines = daily("11-02 08:00", "11-08 08:00", "error_s={d:.0f}")
        return history_of(clock, rows(lines), now=at("11-30 08:00"), zone=ZONE, handovers=handovers)

    def test_delivered(self) -> None:
        seen = self._history(("11-04 08:00", "released"), ("11-05 08:00", "delivered"))
        assert [v.error_s for v in seen.visits] == [0, 1, 2, 3]  # at delivery it is still the stand's
        assert [v.error_s for v in seen.at_home] == [4, 5, 6]
        assert seen.home_since == at("11-05 08:00")

    def test_reopened(self) -> None:
        seen = self._history(("11-05 08:00", "delivered"), ("11-07 08:00", "reopened"))
        assert [v.error_s for v in seen.visits] == [0, 1, 2, 3, 6]
        assert [v.error_s for v in seen.at_home] == [4, 5]
        [back] = seen.breaks  # it comes back with an error of its own and the rate it had
        assert (back.at, back.error_sd_s, back.opens_rate) == (at("11-07 08:00"), NEW, False)
        assert seen.home_since is None

    def test_reopened_before_it_ever_left(self) -> None:
        seen = self._history(("11-05 08:00", "released"), ("11-06 08:00", "reopened"))
        assert len(seen.visits) == 7
        assert [h.what for h in seen.handovers] == ["released", "reopened"]


def test_waivers_count_up_to_now() -> None:
    clock = build(Clock, {"tag": "T1", "kind": "longcase"})
    cells = {"tag": "T1", "requirement": "oil", "reason": "no pivot to be seen", "by": "mk"}
    bodies = [build(Waiver, {"at": at(when), **cells}) for when in ("11-20 08:00", "11-05 08:00")]
    waivers = [Record(f"w{n}", body, n, n, None, body.at) for n, body in enumerate(bodies)]
    seen = history_of(clock, [], now=at("11-10 08:00"), zone=ZONE, waivers=waivers)
    assert [w.at for w in seen.waivers] == [at("11-05 08:00")]


def test_no_facts_are_a_history_too() -> None:
    seen = story("mantel", "", now="11-10 08:00")
    assert (seen.visits, seen.breaks, seen.opened_at, seen.usual_doubt_s) == ((), (), None, 5)


def test_a_dial_error_takes_hours_shifted_by_name() -> None:
    noon = datetime(2026, 11, 20, 12, tzinfo=UTC)
    assert dial_error("3:00", noon, timedelta(), shifted_h=3) == 0
