"""Near-equal neighbours on a rail, in words: what they may do to each other, and to isolate before judging."""

from __future__ import annotations

from standwatch.estimate.beside import Beside
from standwatch.model.answers import Quantity

FAR_S_PER_DAY = 60.0
"""Pendulums that go so far apart pass no swing worth a word (common practice)."""


def beside_words(neighbour: Beside) -> str:
    """ "2402 in A6 swings alike, 10 s/day apart: they may pass swing to and fro every 4.8 h; isolate before judging".

    Empty where they go far apart.
    """
    who = f"{neighbour.tag} in {neighbour.slot}" if neighbour.slot else neighbour.tag
    apart, hours = neighbour.apart_s_per_day, neighbour.hours
    if not isinstance(apart, Quantity):
        return f"{who} swings alike: they may pass swing to and fro; isolate before judging"
    if abs(apart.estimate) >= FAR_S_PER_DAY:
        return ""
    if neighbour.near or not isinstance(hours, Quantity):
        return f"{who} swings alike, too near to tell apart from drift; isolate before judging"
    every, figure = _figure(hours.estimate), _figure(abs(apart.estimate))
    return (
        f"{who} swings alike, {figure} s/day apart: they may pass swing to and fro every {every} h; "
        "isolate before judging"
    )


def _figure(value: float) -> str:
    return f"{value:.1f}" if value < 9.5 else f"{value:.0f}"
