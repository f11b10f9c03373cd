"""What a restorer tripped over on printed papers: axes, times without their doubt, sides of a limit, the plain twin."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.model.answers import Quantity
from standwatch.model.release import Judged
from standwatch.model.words import KindName, Outcome, Requirement
from standwatch.papers.blocks import Chart, Dot, Sheet, Step, Table
from standwatch.papers.fitters_sheet import fitters_sheet
from standwatch.papers.pdf import pdf_of
from standwatch.papers.plain import text_of
from standwatch.papers.release_record import release_record
from standwatch.papers.scales import value_ticks
from tests.papers.every_kind import AT, released
from tests.papers.reading import placed

_DAY = timedelta(days=1)


def _sheet(*blocks: Chart | Table) -> Sheet:
    return Sheet(name="one", title="One", tag="2417", blocks=blocks, made_at=AT)


@pytest.mark.parametrize("high", [128.0, 95.0, 31.0, 400.0])
def test_no_figure_of_an_axis_stands_above_its_chart(high: float) -> None:
    """The frame's own ends, asked for ticks again, can give wider ones: −1:00 to +2:30 gave +3:00 in the title."""
    line = tuple(Step(AT + n * _DAY, high * n / 30, high * n / 30 - 8, high * n / 30 + 8) for n in range(31))
    chart = Chart("Error", "s", "fast", "slow", line=line)
    runs = placed(pdf_of(_sheet(chart)))[0]
    title = next(run for run in runs if run.text.startswith("Error"))
    figures = [run for run in runs if re.fullmatch(r"[+−]\d+(:\d\d)?|0", run.text.strip())]
    assert len(figures) >= 2
    assert all(run.y < title.y for run in figures)


@given(st.floats(-600, 0), st.floats(1, 900))
def test_ticks_asked_for_once_are_all_that_a_frame_needs(low: float, high: float) -> None:
    ticks = value_ticks(low, high, "s")
    assert ticks[0].value <= low + 1e-6
    assert ticks[-1].value >= high - 1e-6


def test_a_reading_stands_beside_the_estimate_of_its_own_hour() -> None:
    """In the plain twin: not beside the evening's, by which a clock that loses 16 a day seems to contradict itself."""
    morning = AT.replace(hour=8, minute=0)
    line = tuple(Step(morning + n * _DAY / 4, -4.0 * n, -4.0 * n - 1, -4.0 * n + 1) for n in range(8))
    dots = (Dot(morning, 0.2), Dot(morning + _DAY, -16.3))
    text = text_of(_sheet(Chart("Error", "s", "fast", "slow", dots=dots, line=line)))
    assert "+0.2  0.0 (−1.0 to +1.0)" in re.sub(r" {3,}", "  ", text)
    assert re.search(r"−16\.3 +−16\.0 \(−17\.0 to −15\.0\)", text)


def test_a_moon_may_be_off_by_so_much_at_most() -> None:
    record = released(KindName.LONGCASE).model_copy(
        update={
            "outcomes": (
                Judged(name=Requirement.MOON, outcome=Outcome.MET, observed=0.0, limit=1.0, unit="d", usual=1.0),
            )
        }
    )
    table = next(block for block in release_record(record).blocks if isinstance(block, Table))
    assert table.rows[0][3] == "at most 1 day"


def _goes_until(kind: KindName) -> str:
    record = released(kind)
    trains = tuple(
        hung.model_copy(update={"runs_out": AT + 8 * _DAY + timedelta(minutes=14)}) for hung in record.trains
    )
    sheet = release_record(record.model_copy(update={"trains": trains}))
    table = next(b for b in sheet.blocks if isinstance(b, Table) and b.head[-1] == "goes until")
    return table.rows[0][-1]


def test_how_long_it_goes_is_told_no_closer_than_it_is_known() -> None:
    """A weight to the hour, a spring to the day (common practice)."""
    assert _goes_until(KindName.LONGCASE) == "about Sat 28 Nov 2026, 09:00"
    assert _goes_until(KindName.CARRIAGE) == "about Sat 28 Nov 2026"


def test_a_paper_knows_no_present_temperature() -> None:
    record = released(KindName.CARRIAGE).model_copy(
        update={"rate_s_per_day": Quantity(4.0, 1.6, 6.4), "rate_named": "at the present temperature"}
    )
    for sheet in (release_record(record), fitters_sheet(record)):
        text = re.sub(r"\s+", " ", text_of(sheet))
        assert "gains 4.0 ±2.4 s a day, at the temperature of those days" in text
        assert "present temperature" not in text


def test_the_room_wanted_is_that_of_a_full_run_not_the_stand_s() -> None:
    """Eight days and a half at the kind's 135 mm a day (the trade's own figures), whatever room the stand has."""
    record = released(KindName.FLOOR_CHIMING, case_fall_mm=None, going_usable_mm=1900)
    text = re.sub(r"\s+", " ", text_of(fitters_sheet(record)))
    assert "about 1148 mm are wanted for a full run" in text


def test_a_table_of_many_columns_parts_no_word_that_has_room() -> None:
    """The round on paper: "bracke/t" and "regula/tor" could be read by nobody."""
    head = ("slot", "tag", "kind", "read by", "watch", "dial, error", "swing", "L", "C", "R", "heard", "mind")
    row = ("A6", "2417 !", "regulator", "seconds", "", "", "mm", "mm", "mm", "mm", "chime, blows", "WIND by Sat 21")
    text = text_of(_sheet(Table(head, (row, row))))
    assert max(len(line) for line in text.splitlines()) <= 80
    for word in ("regulator", "seconds", "chime,", "blows", "WIND"):
        assert len(re.findall(rf"\b{word}", text)) == 2, word
