"""Where weights hang, where clocks stand, how they are wound: common practice."""

from __future__ import annotations

import pytest

from standwatch.horology.hanging import one_weight, stands, weight_sides, wound_by
from standwatch.horology.kinds import KINDS, Traits, traits_of
from standwatch.model.facts import Clock
from standwatch.model.words import Drive, KindName, Train


def traits(kind: str) -> Traits:
    return traits_of(Clock(tag="1", kind=KindName(kind)))


@pytest.mark.parametrize(
    ("trains", "order", "hung"),
    [
        ((Train.GOING, Train.STRIKE, Train.CHIME), None, {"left": "strike", "centre": "going", "right": "chime"}),
        ((Train.GOING, Train.STRIKE), None, {"left": "strike", "right": "going"}),
        ((Train.GOING, Train.STRIKE), "going;strike", {"left": "going", "right": "strike"}),
        ((Train.GOING, Train.STRIKE), "going, strike", {"left": "going", "right": "strike"}),
        ((Train.GOING, Train.STRIKE), "going", {"left": "strike", "right": "going"}),
        ((Train.GOING,), None, {"centre": "going"}),
    ],
)
def test_weights_hang_facing_the_clock(trains: tuple[Train, ...], order: str | None, hung: dict[str, str]) -> None:
    assert weight_sides(trains, order) == hung


def test_every_kind_stands_somewhere_and_is_wound_somehow() -> None:
    for kind in KINDS:
        assert stands(traits(kind)) in {"floor", "wall", "table"}
        by = wound_by(traits(kind))
        assert by == "key" or KINDS[kind].drive is Drive.WEIGHT


def test_one_endless_chain_carries_both_trains() -> None:
    assert one_weight(traits("longcase-30h"))
    assert not one_weight(traits("longcase"))
