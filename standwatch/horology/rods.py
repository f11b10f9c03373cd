"""Pendulum rods in the warmth: how much a clock loses a degree, and how that is compensated.

Expansion coefficients in 1e-6 per deg C. A material's own doubt is 10 %.
"""

from __future__ import annotations

from dataclasses import dataclass

ROD_DOUBT = 0.10
"""Relative standard doubt of a material's coefficient."""
_HALF_DAY_MICRO = 0.0432
"""43200 s times 1e-6."""


@dataclass(frozen=True, slots=True)
class Rod:
    """A rod's material: linear expansion in 1e-6 per deg C, where the figure is published, and words that name it."""

    name: str
    alpha_micro: float
    source: str
    words: tuple[str, ...]


_BECKETT = "E. Beckett, Clocks, Watches and Bells, 8th ed. 1903, p. 53"
_SWYT = "D. Swyt, J. Res. NIST 99 (1994) 31"

# The one named first in a rod's description holds: "nickel steel" is no steel, "steel, brass bob" no brass.
RODS: tuple[Rod, ...] = (
    Rod("low-expansion nickel steel", 1.05, "textbook tables, 0.9 to 1.2", ("nickel", "low-expansion")),
    Rod("fused silica", 0.55, "general tables, 0.5 to 0.59", ("silica", "quartz")),
    Rod("wood", 4.14, _BECKETT + ", white deal", ("wood", "deal", "pine", "spruce", "mahogany")),
    Rod("aluminium", 23.1, _SWYT, ("aluminium", "aluminum")),
    Rod("brass", 18.0, _BECKETT, ("brass",)),
    Rod("zinc", 28.8, _BECKETT, ("zinc",)),
    Rod("iron", 12.6, _BECKETT, ("iron",)),
    Rod("steel", 11.5, _SWYT, ("steel",)),
)


def rod_named(words: str | None) -> Rod | None:
    """The material that a clock's `rod` column names first; None where it names none known here."""
    said = (words or "").lower()
    named = [(said.index(word), rod) for rod in RODS for word in rod.words if word in said]
    return min(named, key=lambda pair: pair[0])[1] if named else None


def loss_s_per_day_per_c(alpha_micro: float) -> float:
    """s/day lost for each deg C warmer by a pendulum on a rod of `alpha_micro` (1e-6 per deg C): 0.0432 alpha.

    43200 s/day times dl/l (E. Beckett 1903, p. 50), since a pendulum's period goes by the root of its length.
    """
    return _HALF_DAY_MICRO * alpha_micro


def compensating_tube_mm(pendulum_mm: float, rod_alpha: float, tube_alpha: float) -> float:
    """Height in mm of a tube that keeps a pendulum's length in warmth and cold.

    The tube stands on the nut at the rod's foot and carries the bob on its top, so that the rod is longer by its
    height: (L + h) a_rod = h a_tube (lengths alone; the bob's own part is left out). Raises ValueError where the tube
    expands no more than the rod.
    """
    if tube_alpha <= rod_alpha:
        raise ValueError("the tube must expand more than the rod")
    return pendulum_mm * rod_alpha / (tube_alpha - rod_alpha)
