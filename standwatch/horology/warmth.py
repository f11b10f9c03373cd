"""How much a clock loses in the warmth, as far as one can tell before its own readings and the room's log do.

Everywhere b is s/day lost for each deg C warmer (+ loses), with one standard deviation of what clocks of that make do.
"""

from __future__ import annotations

from standwatch.horology.kinds import Traits
from standwatch.horology.rods import ROD_DOUBT, loss_s_per_day_per_c, rod_named
from standwatch.model.facts import Clock
from standwatch.model.words import KindName

Warmth = tuple[float, float]
"""Mean and standard deviation of b, in s/day lost per deg C warmer."""

STEEL: Warmth = (0.40, 0.25)
"""A steel rod, or one that nobody named. Steel alone loses 0.50 (CHECKS: D. Swyt, J. Res. NIST 99 (1994) 31); bob,
suspension and air take some of it or add to it, and an unnamed rod may be of wood (common practice)."""
COMPENSATED: Warmth = (0.05, 0.10)
"""Mercury, gridiron or tube: what such pendulums leave over either way (common practice, from memory)."""
REGULATOR: Warmth = (0.05, 0.05)
"""A regulator whose rod nobody named: low-expansion, or well compensated (common practice)."""
BALANCES: dict[str | None, Warmth] = {
    "plain": (10.5, 1.5),  # E. Beckett, Clocks, Watches and Bells, 8th ed. 1903, p. 305: 6.5 min/day for 32 to 100 F
    "cut": (0.5, 1.0),  # common practice, as the rest
    "alloy": (0.3, 0.4),
    None: (0.5, 0.5),
}
"""By the clock's `balance` column. Unnamed, a plain one would be told by the log."""
TORSION: Warmth = (0.0, 5.0)
"""Old strips 10 to 15 either way, modern ones 0.5 (common practice): nothing is known until the log tells."""
BESIDE_THE_ROD = 0.05
"""Standard deviation of what suspension, bob and air do at a degree, beside the rod (common practice, from memory)."""
DAMP = 0.10
"""The same of damp in a wooden rod, which comes and goes with the heating (common practice, from memory)."""

_COMPENSATED_WORDS = ("compensat", "gridiron", "mercury", "mercurial", "tube")


def warmth_of(clock: Clock, traits: Traits) -> Warmth:
    """Prior mean and standard deviation of b for `clock`, in s/day lost per deg C warmer.

    By its rod where a pendulum hangs on one, whatever drives it, by its balance or its torsion strip elsewhere; 0 and
    0 for a reference, whose rate is what is asked.
    """
    if traits.reference:
        return 0.0, 0.0
    if traits.oscillator == "balance":
        return BALANCES[clock.balance]
    if traits.oscillator == "torsion":
        return TORSION
    return _rod(clock.rod, REGULATOR if traits.kind.name is KindName.REGULATOR else STEEL)


def _rod(words: str | None, unnamed: Warmth) -> Warmth:
    said = (words or "").lower()
    if any(word in said for word in _COMPENSATED_WORDS):
        return COMPENSATED
    rod = rod_named(words)
    if rod is None:
        return unnamed
    if rod.name == "steel":
        return STEEL
    loss = loss_s_per_day_per_c(rod.alpha_micro)
    others = BESIDE_THE_ROD**2 + (DAMP**2 if rod.name == "wood" else 0.0)
    return loss, ((ROD_DOUBT * loss) ** 2 + others) ** 0.5
