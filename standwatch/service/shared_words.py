"""What the clocks of a stand share, in the shop's words: what both faces put over the stand."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from standwatch.estimate.together import Common, Heating, ReferenceJump
from standwatch.model.units import HOUR_S, MINUS, error_words, round_to_doubt

SAID_FOR = timedelta(days=7)
"""A jump of the reference is old news after so long; it stays in what is worked out."""
_SURELY = 3.0
_HOUR_S = 10.0
_IN_SECONDS = 120.0


def shared_words(common: Common, now: datetime, zone: ZoneInfo) -> tuple[str, ...]:
    """A line each for the reference's latest jump and for the room's warmth; nothing where nothing is shared."""
    told = []
    recent = [jump for jump in common.jumps if now - jump.at <= SAID_FOR]
    if recent:
        told.append(_jump(common.jumps, zone))
    if common.heating is not None:
        told.append(_warmth(common.heating, zone))
    return tuple(told)


def _jump(jumps: tuple[ReferenceJump, ...], zone: ZoneInfo) -> str:
    last = jumps[-1]
    if len(jumps) > 1 and _went_back(jumps[-2], last):
        side = "behind" if jumps[-2].seconds > 0 else "ahead"
        days = f"from {_day(jumps[-2].at, zone)} to {_day(last.at, zone)}"
        return f"the reference was {_size(jumps[-2])} {side} {days}, and is right again"
    side = "fast" if last.seconds > 0 else "slow"
    since = f"since {_day(last.at, zone)}"
    if abs(abs(last.seconds) - HOUR_S) <= max(_HOUR_S, _SURELY * last.doubt_s):
        return f"{last.clocks} clocks all an hour {side} {since}: summer time? Record it on each"
    return f"{last.clocks} clocks all {_size(last)} {side} {since}: check the reference"


def _went_back(first: ReferenceJump, second: ReferenceJump) -> bool:
    left = abs(first.seconds + second.seconds)
    return left <= _SURELY * (first.doubt_s**2 + second.doubt_s**2) ** 0.5 and left < abs(first.seconds) / 4


def _size(jump: ReferenceJump) -> str:
    if abs(jump.seconds) >= _IN_SECONDS:
        return error_words(abs(jump.seconds)).partition(" ")[0]
    return f"{round_to_doubt(abs(jump.seconds), max(jump.doubt_s, 0.5), digits=1, most_decimals=0)[0]} s"


def _warmth(heating: Heating, zone: ZoneInfo) -> str:
    loses = "lose" if heating.loss_s_per_day > 0 else "gain"
    warmer = "warmer" if heating.warmer_c > 0 else "cooler"
    loss, degrees = (_tenths(value) for value in (heating.loss_s_per_day, heating.warmer_c))
    return f"steel pendulums {loses} {loss} a day since {_day(heating.since, zone)}: room about {degrees} °C {warmer}"


def _tenths(value: float) -> str:
    return f"{value:.1f}".lstrip(f"-{MINUS}")


def _day(at: datetime, zone: ZoneInfo) -> str:
    local = at.astimezone(zone)
    return f"{local:%a} {local.day} {local:%b}"
