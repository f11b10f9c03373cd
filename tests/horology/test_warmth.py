"""What warmth does to a clock before its readings tell: by rod, balance or strip (common practice where no source)."""

import pytest

from standwatch.horology.kinds import KINDS, traits_of
from standwatch.horology.warmth import COMPENSATED, REGULATOR, STEEL, warmth_of
from standwatch.model.facts import Clock
from standwatch.model.records import build


def _warmth(kind: str, **columns: object) -> tuple[float, float]:
    clock = build(Clock, {"tag": "T1", "kind": kind, **columns})
    return warmth_of(clock, traits_of(clock))


@pytest.mark.parametrize("kind", ["longcase", "cuckoo", "mantel", "bracket", "spring-wall", "floor-chiming"])
def test_pendulums_go_by_their_rod_whatever_drives_them(kind: str) -> None:
    assert _warmth(kind) == STEEL == _warmth(kind, rod="steel")
    assert _warmth(kind, rod="wood")[0] < 0.2


def test_a_regulator_is_compensated_unless_its_rod_is_named() -> None:
    assert _warmth("regulator") == REGULATOR
    assert _warmth("regulator", rod="as found") == REGULATOR
    assert _warmth("regulator", rod="steel") == STEEL
    assert _warmth("regulator", rod="brass")[0] > 0.7


@pytest.mark.parametrize("rod", ["mercury, two jars", "steel and brass gridiron", "zinc tube on steel", "compensated"])
def test_a_compensated_pendulum_is_none_of_its_metals(rod: str) -> None:
    assert _warmth("longcase", rod=rod) == COMPENSATED


@pytest.mark.parametrize(
    ("rod", "same"),
    [("steel rod, brass bob", "steel"), ("wood, brass-cased bob", "wood"), ("steel, nickelled", "steel")],
)
def test_what_is_named_first_is_the_rod(rod: str, same: str) -> None:
    assert _warmth("longcase", rod=rod) == _warmth("longcase", rod=same)


def test_balances_by_their_column() -> None:
    assert _warmth("carriage", balance="cut") == (0.5, 1.0)
    assert _warmth("carriage", balance="alloy") == (0.3, 0.4)
    assert _warmth("mantel-chiming") == (0.5, 0.5)
    plain, doubt = _warmth("carriage", balance="plain")
    # TRADE's round figure for a plain brass balance with a steel spring: about 10 s/day a degree
    assert abs(plain - 10) < doubt


def test_a_rod_means_nothing_to_a_balance() -> None:
    assert _warmth("carriage", rod="brass") == _warmth("carriage")


def test_of_a_torsion_strip_nothing_is_known() -> None:
    mean, doubt = _warmth("torsion")
    assert mean == 0
    assert mean - 3 * doubt <= -15 <= 15 <= mean + 3 * doubt  # old strips: 10 to 15 either way


def test_a_reference_is_not_charged_with_warmth() -> None:
    assert _warmth("reference") == (0.0, 0.0)


@pytest.mark.parametrize("kind", sorted(set(KINDS) - {"reference"}))
def test_every_other_kind_is_in_doubt(kind: str) -> None:
    assert _warmth(kind)[1] > 0
