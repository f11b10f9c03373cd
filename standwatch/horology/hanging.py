"""Where weights hang and where clocks stand: by kind, until the clock's own columns say otherwise. Common practice."""

from __future__ import annotations

from types import MappingProxyType
from typing import Literal

from standwatch.horology.kinds import Traits
from standwatch.model.words import KindName, Train

Stands = Literal["floor", "wall", "table"]
Wound = Literal["key", "chain", "either"]

_K = KindName
_STANDS: MappingProxyType[KindName, Stands] = MappingProxyType(
    {
        **dict.fromkeys((_K.LONGCASE, _K.LONGCASE_30H, _K.FLOOR_CHIMING), "floor"),
        **dict.fromkeys((_K.REGULATOR, _K.WEIGHT_WALL, _K.CUCKOO, _K.SPRING_WALL, _K.SPRING_WALL_31D), "wall"),
        **dict.fromkeys((_K.MANTEL, _K.BRACKET, _K.MANTEL_CHIMING, _K.CARRIAGE, _K.TORSION, _K.REFERENCE), "table"),
    }
)
_WOUND: MappingProxyType[KindName, Wound] = MappingProxyType(
    {_K.LONGCASE_30H: "chain", _K.CUCKOO: "chain", _K.FLOOR_CHIMING: "either"}
)


def stands(traits: Traits) -> Stands:
    """Whether such a clock stands on the floor in a tall case, hangs on a wall, or stands on something."""
    return _STANDS[traits.kind.name]


def wound_by(traits: Traits) -> Wound:
    """Whether such a clock is wound by a key or crank, by pulling a chain or rope, or by either."""
    return _WOUND.get(traits.kind.name, "key")


def one_weight(traits: Traits) -> bool:
    """An endless chain: one weight drives both trains, and winding either winds both."""
    return traits.weights and traits.kind.name is KindName.LONGCASE_30H


def weight_sides(trains: tuple[Train, ...], order: str | None) -> dict[str, Train]:
    """Which train hangs left, centre and right as you face the clock; the usual order where the clock names none."""
    named = [word.strip().lower() for word in (order or "").replace(",", ";").split(";") if word.strip()]
    told = [Train(word) for word in named if word in set(trains)]
    usual = [train for train in (Train.STRIKE, Train.GOING, Train.CHIME) if train in trains]
    hung = told if len(told) == len(trains) else usual
    if len(hung) == 1:
        return {"centre": hung[0]}
    if len(hung) == 2:
        return {"left": hung[0], "right": hung[1]}
    return {"left": hung[0], "centre": hung[1], "right": hung[2]}


def has_bird(traits: Traits) -> bool:
    """A bird calls the hours, with bellows that are easily pressed flat."""
    return traits.kind.name is KindName.CUCKOO
