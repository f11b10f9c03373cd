"""What may follow what after the stand, and the calls that remain (TRADE's follow-up: common practice)."""

from __future__ import annotations

from datetime import timedelta

import pytest

from standwatch.model.errors import Refused
from standwatch.model.facts import Clock, Handover
from standwatch.model.records import build
from standwatch.service.phases import check_steps, done_with
from tests.shop import NOW

DAY = timedelta(days=1)


def steps(*told: tuple[str, float]) -> list[Handover]:
    return [build(Handover, {"at": NOW + day * DAY, "tag": "T1", "what": what}) for what, day in told]


CLOCK = build(Clock, {"tag": "T1", "kind": "mantel"})
BARE = build(Clock, {"tag": "T1", "kind": "mantel", "movement_only": "yes"})


@pytest.mark.parametrize(
    "told",
    [
        [("released", 0), ("delivered", 1), ("called", 2), ("called-back", 3), ("reopened", 4), ("released", 9)],
        [("released", 0), ("reopened", 1)],
        [("released", 0), ("called-back", 1)],
    ],
)
def test_what_may_follow(told: list[tuple[str, float]]) -> None:
    check_steps(steps(*told))


@pytest.mark.parametrize(
    "told",
    [
        [("delivered", 0)],
        [("called", 0)],
        [("called-back", 0)],
        [("reopened", 0)],
        [("released", 0), ("released", 1)],
        [("released", 0), ("called", 1)],
        [("released", 0), ("delivered", 1), ("delivered", 2)],
        [("released", 0), ("delivered", 1), ("released", 2)],
        [("released", 0), ("reopened", 1), ("delivered", 2)],
    ],
)
def test_what_may_not(told: list[tuple[str, float]]) -> None:
    with pytest.raises(Refused):
        check_steps(steps(*told))


def test_a_clock_is_done_with_after_its_calls() -> None:
    home = [("released", 0.0), ("delivered", 1.0)]
    assert not done_with(CLOCK, [], (14,))
    assert not done_with(CLOCK, steps(*home), (14,))
    assert done_with(CLOCK, steps(*home, ("called", 15.0)), (14,))
    assert not done_with(BARE, steps(*home, ("called", 3.0)), (14,))  # the second day, and the fourteenth
    assert done_with(BARE, steps(*home, ("called", 3.0), ("called", 15.0)), (14,))
    assert not done_with(CLOCK, steps(*home, ("called", 15.0), ("reopened", 16.0)), (14,))
