"""What a person reads, as the column that keeps it."""

from __future__ import annotations

import math

from standwatch.horology.kinds import traits_of
from standwatch.model.errors import BadValue
from standwatch.model.facts import Clock
from standwatch.model.words import Train


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


def scale_zero(clock: Clock, train: Train) -> float | None:
    """What the slot's paper scale reads at the fully wound weight of `train`; None where there is no scale."""
    zero: float | None = getattr(clock, f"{train}_scale_mm")
    return zero


def fallen_mm(clock: Clock, train: Train, read: float) -> float:
    """mm fallen from fully wound, of what was read of `train`'s weight: on the slot's paper scale, if there is one.

    A scale whose figures grow upwards reads less as the weight falls. Where its direction isn't told it is taken the
    way that makes a fall of it.
    """
    zero = scale_zero(clock, train)
    if zero is None:
        return read
    fallen = read - zero
    if clock.scale is None:
        return abs(fallen)
    return fallen if clock.scale == "down" else -fallen


def scale_reads(clock: Clock, train: Train, fallen: float) -> float:
    """What is read of a weight that has fallen so many mm: the inverse of `fallen_mm` for what lies below the top."""
    zero = scale_zero(clock, train)
    if zero is None:
        return fallen
    return zero - fallen if clock.scale == "up" else zero + fallen
