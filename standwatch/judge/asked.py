"""What the shop asks beside what a kind's own default asks: stricter or looser, and how that is said."""

from __future__ import annotations

from typing import Literal

from standwatch.horology.kinds import Traits
from standwatch.model.words import Requirement

_AT_LEAST = frozenset({Requirement.CONTINUOUS_RUNNING, Requirement.FULL_DURATION, Requirement.AMPLITUDE})
"""Where more is asked by a greater number."""


def usual_limit(traits: Traits, requirement: Requirement, limit: float | None) -> float | None:
    """The kind's own default of `limit`, in its unit; None where there is no number."""
    usual = traits.usual
    by_shop = {
        Requirement.CONTINUOUS_RUNNING: usual.least_days,
        Requirement.MEAN_RATE: usual.mean_rate_limit,
        Requirement.DAY_RANGE: usual.day_range_limit,
        Requirement.AMPLITUDE: usual.swing_limit,
        Requirement.BEAT: usual.beat_limit,
    }
    if limit is None:
        return None
    if requirement is Requirement.FULL_DURATION and traits.oscillator == "torsion":
        return 24 * usual.least_days  # its run is inferred from the least days of going
    return by_shop.get(requirement, limit)


def compared(requirement: Requirement, limit: float | None, usual: float | None) -> Literal["stricter", "looser", ""]:
    """How `limit` is beside the kind's `usual`; empty where they are the same, or nothing is asked."""
    if limit is None or limit == usual:
        return ""
    if usual is None or (limit > usual) == (requirement in _AT_LEAST):
        return "stricter"
    return "looser"


def asked_words(requirement: Requirement, limit: float | None, usual: float | None, unit: str = "") -> str:
    """ "limit 7 s/day (the kind's 10: stricter)"; empty where what is asked is the kind's own default."""
    how = compared(requirement, limit, usual)
    if not how or limit is None:
        return ""
    what = "at least" if requirement in _AT_LEAST else "limit"
    space = "" if unit in {"", "°"} else " "
    kind = "the kind has none" if usual is None else f"the kind's {usual:g}"
    return f"{what} {limit:g}{space}{unit} ({kind}: {how})"
