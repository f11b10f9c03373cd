"""Who first: the order of needs, then the soonest run-out, the slot, the tag."""

from __future__ import annotations

from datetime import timedelta
from itertools import permutations

import pytest

from standwatch.judge.assess import who_first
from standwatch.judge.assessment import Assessment, Need
from standwatch.model.text import natural
from tests.judge import complete
from tests.judge.judged import assessed, rounds, when
from tests.stories import daily

NOW = "11-20 08:20"  # a Friday
READ = daily("11-02 08:05", "11-20 08:05", "error_s={0.1*d:.1f}")
FAST = daily("11-02 08:05", "11-20 08:05", "error_s={3*d:.1f}")
WOUND = ["11-16 08:10 work=wound"]
FALLS = daily("11-17 08:06", "11-20 08:06", "going_mm={150*(d+1):.0f}")


def clock(tag: str, slot: str, *lines: str, kind: str = "regulator", **more: object) -> Assessment:
    return assessed(kind, [*READ, *WOUND, *FALLS, *lines], now=NOW, tag=tag, position=slot, **more)


@pytest.fixture(scope="module")
def needs() -> tuple[Assessment, ...]:
    """One clock for each need, the most needy in the last slots, so that slots can't give the order."""
    unread = [line for line in READ if not line.startswith("11-20")]
    return (
        clock("still", "D9", "11-20 08:10 work=stopped explained=yes"),
        clock("gone", "D8", "11-20 08:10 work=stopped", handed=["11-18 09:00 released"]),
        assessed(
            "regulator",
            [*READ, "11-13 08:10 work=wound", "11-20 08:06 going_mm=1050"],
            now=NOW,
            tag="out",
            position="D7",
        ),
        clock("slip", "C3", "11-19 08:00 work=stopped", "11-19 08:05 work=restarted", "11-20 08:12 error_s=0"),
        clock("suspect", "C2", "11-20 08:12 error_s=300"),
        assessed("regulator", [*unread, *WOUND, *FALLS], now=NOW, tag="unread", position="B2"),
        assessed("regulator", [*FAST, *WOUND, *FALLS], now=NOW, tag="adjust", position="B1"),
        assessed("floor-chiming", complete.LEDGER, now=complete.NOW, tag="ready", position="A2", **complete.COLUMNS),
        clock("rest", "A1"),
    )


def test_the_order_of_needs(needs: tuple[Assessment, ...]) -> None:
    expected = [Need.STANDS_STILL, Need.STANDS_STILL, Need.RUNS_OUT, Need.SLIPPED, Need.SUSPECT, Need.UNREAD,
                Need.ADJUST, Need.READY, Need.REST]  # fmt: skip
    assert [a.need for a in needs] == expected
    tags = ["gone", "still", "out", "slip", "suspect", "unread", "adjust", "ready", "rest"]
    for order in (needs, needs[::-1], needs[3:] + needs[:3]):
        assert [a.tag for a in who_first(order)] == tags


def test_slots_in_their_natural_order_then_tags() -> None:
    clocks = [clock("9", "A10"), clock("10", "A2"), clock("2", "A2"), clock("x", ""), clock("b", "b1")]
    for order in permutations(clocks, 5):
        assert [a.tag for a in who_first(order)] == ["2", "10", "9", "b", "x"]


def test_natural_order_of_any_text() -> None:
    assert sorted(["A10", "A2", "", "B1", "10", "9", "É2", "²"], key=natural)[:6] == ["", "9", "10", "A2", "A10", "B1"]


def test_run_outs_stand_by_slot() -> None:
    def wound(tag: str, slot: str, day: str) -> Assessment:
        fall = 150 * (when(NOW) - when(f"{day} 08:10")) / timedelta(days=1)
        ledger = [*READ, f"{day} 08:10 work=wound", f"11-20 08:06 going_mm={fall:.0f}"]
        return assessed("regulator", ledger, now=NOW, tag=tag, position=slot)

    found = who_first([wound("later", "A1", "11-14"), wound("sooner", "A2", "11-13")])
    assert [(a.tag, a.need) for a in found] == [("later", Need.RUNS_OUT), ("sooner", Need.RUNS_OUT)]


@pytest.mark.parametrize(
    ("day", "need"),
    # wound on Saturday the 14th it lasts to Sunday the 22nd: Thursday's next round is before that, Friday's is not
    [("11-19", Need.REST), ("11-20", Need.RUNS_OUT)],
)
def test_friday_looks_through_monday(day: str, need: Need) -> None:
    ledger = [*daily("11-02 08:05", f"{day} 08:05", "error_s={0.1*d:.1f}"), "11-14 08:10 work=wound"]
    ledger += daily("11-16 08:06", f"{day} 08:06", "going_mm={150*(d+2):.0f}")
    assert assessed("regulator", ledger, now=f"{day} 08:20").need is need


def test_a_holiday_reaches_further() -> None:
    ledger = [*READ, "11-15 08:10 work=wound", *daily("11-16 08:06", "11-20 08:06", "going_mm={150*(d+1):.0f}")]
    assert assessed("regulator", ledger, now=NOW).need is Need.REST
    monday_off = rounds(holidays=[when("11-23 08:00").date()])
    assert assessed("regulator", ledger, now=NOW, shop=monday_off).need is Need.RUNS_OUT


def test_a_delivered_clock_is_the_rest_whatever_is_heard_of_it() -> None:
    home = clock("home", "A1", handed=["11-17 09:00 released", "11-18 09:00 delivered"])
    assert home.need is Need.REST
    assert [a.tag for a in who_first([home, clock("stand", "B1", "11-20 08:12 error_s=300")])] == ["stand", "home"]
