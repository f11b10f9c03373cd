"""The computer's clock as reference: adjtimex(2) and its constants, chronyc's CSV, w32tm's first line."""

from __future__ import annotations

import math
import subprocess
import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from standwatch.model.answers import Quantity
from standwatch.service.reference import ReferenceTime, by_chrony, by_kernel, by_w32tm, reference_time
from standwatch.service.stand import Stand
from standwatch.store import open_book

NOW = datetime(2026, 11, 20, 8, 20, tzinfo=UTC)
KERNEL_MOST_US = 16_000_000
"""What the kernel tells while nothing keeps its clock: linux/timex.h, NTP_PHASE_LIMIT."""
UNKEPT = by_kernel(5, 0x40, KERNEL_MOST_US)


def test_it_says_one_of_three_things_and_never_that_all_is_fine() -> None:
    told = reference_time().words
    assert told.startswith(("synchronised", "not synchronised", "unknown: "))
    assert "fine" not in told


@pytest.mark.skipif(sys.platform != "linux", reason="adjtimex is Linux'")
def test_it_agrees_with_another_caller_of_adjtimex() -> None:
    """CPython has no adjtimex; timedatectl, adjtimex or ntptime may be here: compare where one is."""
    programs = (["timedatectl", "show", "--property=NTPSynchronized"], ["adjtimex", "--print"], ["ntptime"])
    for program in programs:
        try:
            told = subprocess.run(program, capture_output=True, text=True, check=True).stdout
        except (FileNotFoundError, subprocess.CalledProcessError):
            continue
        unkept = any(word in told for word in ("UNSYNC", "return value = 5", "NTPSynchronized=no"))
        assert (reference_time().state == "not synchronised") == unkept
        return
    pytest.skip("no other caller of adjtimex here")


# adjtimex(2): TIME_OK 0, TIME_ERROR 5; STA_UNSYNC 0x40; maxerror in microseconds


def test_a_kept_clock_says_how_well_and_adds_nothing() -> None:
    told = by_kernel(0, 0x2001, 43_500)
    assert told == ReferenceTime("synchronised", "by the kernel's word", 0.0435)
    assert told.words == "synchronised, by the kernel's word, within 0.05 s at most"
    assert told.short == "good to 0.05 s"
    assert told.extra_doubt_s == 0


@pytest.mark.parametrize(("state", "status"), [(5, 0), (0, 0x40), (5, 0x40)])
def test_either_sign_is_enough_for_a_clock_that_nothing_keeps(state: int, status: int) -> None:
    told = by_kernel(state, status, KERNEL_MOST_US)
    assert told.state == "not synchronised"
    # a bound of ±a known of nothing else: a over the root of three (JCGM 100:2008, 4.3.7)
    assert told.extra_doubt_s == pytest.approx(16 / math.sqrt(3))
    assert "16 s" in told.words


def test_a_kernel_that_may_not_be_asked_is_unknown_and_unknown_invents_no_doubt() -> None:
    told = by_kernel(-1, 0, 0)
    assert told.state == "unknown"
    assert told.words.startswith("unknown: ")
    assert told.extra_doubt_s == 0


@pytest.mark.parametrize(("within", "shown"), [(0.0435, "0.05 s"), (0.11, "0.11 s"), (1.01, "1.1 s"), (12.2, "13 s")])
def test_a_bound_is_never_rounded_down(within: float, shown: str) -> None:
    assert ReferenceTime("synchronised", "by chrony", within).short == f"good to {shown}"


def test_chrony() -> None:
    """chronyc(1): the error is at most |system time| + root dispersion + root delay / 2. Order of cells from memory."""
    cells = "C0000201,192.0.2.1,3,1795162834.1,-0.000012,0.00001,0.00002,1.5,0.001,0.02,0.030000,0.004000,64.2,Normal"
    told = by_chrony(cells)
    assert told is not None
    assert told.within_s == pytest.approx(0.000012 + 0.004 + 0.015)
    assert told.words == "synchronised, by chrony from 192.0.2.1, within 0.02 s at most"
    lost = by_chrony(cells.replace("Normal", "Not synchronised"))
    assert lost is not None
    assert lost.state == "not synchronised"
    assert by_chrony("") is None
    assert by_chrony("506 Cannot talk to daemon") is None
    assert by_chrony(cells.replace("0.004000", "?")) is None


def test_w32tm() -> None:
    """Leap indicator 3 is unsynchronised (RFC 5905, figure 9)."""
    assert by_w32tm("Leap Indicator: 3(not synchronized)\nStratum: 0\n").state == "not synchronised"
    assert by_w32tm("Leap Indicator: 0(no warning)\nStratum: 3\n").state == "synchronised"
    assert by_w32tm("").state == "unknown"


# a reading against it


@pytest.fixture
def longcase(stand: Stand) -> Stand:
    stand.add_clock({"tag": "2401", "kind": "longcase"}, NOW)
    return stand


def test_while_nothing_keeps_the_clock_a_reading_s_doubt_grows_and_is_recorded(longcase: Stand, tmp_path: Path) -> None:
    done = longcase.check_in({"tag": "2401", "dial": "8:20:05"}, NOW, reference=UNKEPT)
    [fact] = longcase.facts("2401")
    # u^2 = 0.5^2 of the seconds hand + (16/√3)^2
    assert fact.body.error_u_s == pytest.approx(math.hypot(0.5, 16 / math.sqrt(3)), abs=0.005)
    assert (
        done.unsure
        == "the computer's clock is not synchronised: this reading is taken with a doubt of 9.25 s, not 0.5 s"
    )
    longcase.export_ledger(tmp_path / "ledger")
    with closing(Stand(open_book(tmp_path / "other.sqlite"), computer_zone=lambda: "Europe/London")) as other:
        other.import_ledger([tmp_path / "ledger"], NOW)
        assert [each.body for each in other.facts("2401")] == [fact.body], "it holds after an import"


def test_a_kept_or_unknown_clock_leaves_a_reading_as_it_is(longcase: Stand) -> None:
    for n, reference in enumerate((by_kernel(0, 0, 40_000), ReferenceTime("unknown"), None)):
        at = NOW + timedelta(days=n)
        done = longcase.check_in({"tag": "2401", "dial": "8:20:05"}, at, reference=reference)
        assert done.unsure == ""
    assert {fact.body.error_u_s for fact in longcase.facts("2401")} == {None}


def test_the_press_s_own_doubt_is_kept_in_it(longcase: Stand) -> None:
    longcase.check_in({"tag": "2401", "error_s": 3, "error_u_s": 12}, NOW, reference=UNKEPT)
    [fact] = longcase.facts("2401")
    assert fact.body.error_u_s == pytest.approx(math.hypot(12, 16 / math.sqrt(3)), abs=0.005)


def test_what_is_no_reading_has_no_doubt(longcase: Stand) -> None:
    longcase.check_in({"tag": "2401", "going_mm": 40}, NOW, reference=UNKEPT)
    later = NOW + timedelta(hours=1)
    longcase.check_in({"tag": "2401", "work": "stopped", "dial": "3:47"}, later, reference=UNKEPT)
    assert {fact.body.error_u_s for fact in longcase.facts("2401")} == {None}


def test_the_rate_is_less_sure_by_what_the_clock_may_be_out(stand: Stand) -> None:
    doubts = []
    for tag, reference in (("kept", None), ("unkept", UNKEPT)):
        stand.add_clock({"tag": tag, "kind": "longcase"}, NOW - timedelta(days=9))
        for day in range(8):
            at = NOW - timedelta(days=8 - day)
            stand.check_in({"tag": tag, "error_s": 2.0 * day}, at, reference=reference)
        rate = stand.assess(tag, NOW).estimates.time.rate
        assert isinstance(rate, Quantity)
        doubts.append(rate.doubt)
    assert doubts[1] > 1.5 * doubts[0]
