"""A bump concerns whoever hung on that rail then, and the clock itself that was bumped, with a slot or without."""

from __future__ import annotations

import pytest

from standwatch.estimate.history import History, history_of
from standwatch.model.facts import Clock
from standwatch.model.records import build
from tests.stories import ZONE, at, rows

BUMP = at("11-05 20:00")
TO_B = "11-10 09:00 work=moved note=B7"


def hung(slot: str, *lines: str, rail: str) -> History:
    """A clock that began at `slot`, when some clock of `rail` was bumped on the evening of the 5th."""
    clock = build(Clock, {"tag": "T1", "kind": "carriage", "position": slot})
    return history_of(clock, rows(lines), now=at("11-12 08:00"), zone=ZONE, rail_bumps=[(rail, BUMP)] if rail else [])


@pytest.mark.parametrize(
    ("slot", "lines", "rail", "concerned"),
    [
        ("A1", [], "A", True),
        ("A1", [], "B", False),
        ("A1", [TO_B], "A", True),  # it hung there then
        ("A1", [TO_B], "B", False),  # and not yet there
        ("A1", ["11-05 20:00 work=moved note=B7"], "B", True),  # moved there that minute
        ("A1", ["11-03 09:00 work=moved note=B7", "11-06 09:00 work=moved note=A1"], "B", True),
        ("A1", ["11-03 09:00 work=moved note=B7", "11-06 09:00 work=moved note=A1"], "A", False),
        ("A1", ["11-03 09:00 work=moved"], "A", True),  # within its slot
        ("", [], "A", False),
        ("", [], "", False),
        ("", ["11-05 20:00 work=bumped"], "", True),
        ("A1", ["11-05 20:00 work=bumped"], "A", True),  # told once
    ],
)
def test_whom_a_bump_concerns(slot: str, lines: list[str], rail: str, *, concerned: bool) -> None:
    assert hung(slot, *lines, rail=rail).bumps == ((BUMP,) if concerned else ())
