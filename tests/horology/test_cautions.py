from __future__ import annotations

import pytest

from standwatch.horology.cautions import caution
from standwatch.model.facts import Clock
from standwatch.model.records import build
from standwatch.model.words import Work


def a(kind: str, **columns: object) -> Clock:
    return build(Clock, {"tag": "1", "kind": kind, **columns})


def test_weights_and_springs_hurt_differently() -> None:
    assert "feet clear" in (caution(a("longcase"), Work.WOUND) or "")
    assert "key" in (caution(a("mantel"), Work.WOUND) or "")


@pytest.mark.parametrize(
    ("work", "said"),
    [
        (Work.OPENED, "let down"),
        (Work.CASED, "local code"),
        (Work.HANDS_SET, "while it strikes"),
        (Work.TUNE, "selector"),
    ],
)
def test_each_danger_has_its_caution(work: Work, said: str) -> None:
    assert said in (caution(a("floor-chiming"), work) or "")


def test_looking_and_noting_need_none() -> None:
    assert caution(a("longcase"), Work.SEEN_GOING) is None


def test_its_own_hazards_come_first() -> None:
    told = caution(a("longcase", hazards="mercury pendulum"), Work.MOVED)
    assert told is not None
    assert told.startswith("This clock: mercury pendulum.")
