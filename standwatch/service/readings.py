"""What a person reads, as the column that keeps it."""

from __future__ import annotations

import math

from standwatch.horology.kinds import traits_of
from standwatch.model.errors import BadValue
from standwatch.model.facts import Clock


def beat_column(clock: Clock) -> str:
    """The column that this clock's beat error goes into: per cent of a pendulum, milliseconds of a balance."""
    return "beat_error_ms" if traits_of(clock).oscillator == "balance" else "beat_error_pct"


def swing_deg(clock: Clock, mm: str) -> float:
    """The half-swing in degrees of `mm` read each side on the clock's swing scale: atan(mm / its distance).

    Raises BadValue where the scale's distance is not known, or `mm` is no number over 0.
    """
    if clock.swing_scale_mm is None:
        raise BadValue(
            f"swing in mm is read on a scale, and swing_scale_mm of {clock.tag} is not given; "
            f"`standwatch clock change {clock.tag} swing_scale_mm=MM` tells its distance from the suspension",
            column="swing_scale_mm",
        )
    try:
        read = float(mm)
    except ValueError:
        read = math.nan
    if not 0 < read <= 5000:
        raise BadValue(f"swing {mm!r} is no swing; give mm each side, over 0", column="amplitude_deg")
    return math.degrees(math.atan(read / clock.swing_scale_mm))
