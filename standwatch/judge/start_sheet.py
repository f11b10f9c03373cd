"""What the start sheet still lacks: asked once, in the clock's first hour, each with what for and how long it takes.

What only eyes see (lines, hooks, hands, glass) is no part of it: that is signed for as safety.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from standwatch.estimate.answers import Estimates
from standwatch.horology.hanging import one_weight
from standwatch.judge.evidence import listed
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import Drive, Train


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that nobody told: `text` says what, what for and how long it takes; `short` in two or three words.

    `pressing`: something can't be judged without it, so that it is worth a step of its own.
    """

    text: str
    short: str
    pressing: bool


def missing_of(estimates: Estimates) -> tuple[Missing, ...]:
    """What is missing, the pressing first. Nothing of a reference, nor of a clock at its owner's."""
    history = estimates.history
    if history.traits.reference or history.home_since is not None:
        return ()
    return tuple(sorted(_missing(estimates), key=lambda each: not each.pressing))


def _missing(estimates: Estimates) -> Iterator[Missing]:
    clock, traits = estimates.history.clock, estimates.history.traits
    if traits.oscillator == "pendulum" and clock.unlock_deg is None:
        yield Missing("no unlocking point: the swing can't be judged; two minutes with the bob", "unlock point", True)
    if traits.oscillator == "balance" and clock.balance is None:
        text = (
            "which balance: plain, cut or alloy? a plain one loses about 10 s/day for each °C warmer, and unnamed that "
            "looks like drift; one look"
        )
        yield Missing(text, "which balance", True)
    yield from _of_weights(estimates) if traits.weights else _of_springs(estimates)


def _of_weights(estimates: Estimates) -> Iterator[Missing]:
    unread = [run.train for run in estimates.power.trains if isinstance(run.fall_mm, NotYetKnown)]
    if unread:
        text = f"read the weights: where the {unread[0]} weight hangs is not known"
        yield Missing(text, "read weights", True)
    traits = estimates.history.traits
    unweighed = [train for train in traits.trains if getattr(estimates.history.clock, f"{train}_kg") is None]
    if unweighed and len(traits.trains) > 1 and not one_weight(traits):
        which = _names(unweighed, "weight")
        text = f"no kg of the {which}: an exchange could not be told; two minutes with the scale"
        yield Missing(text, "kg of weights", False)


def _of_springs(estimates: Estimates) -> Iterator[Missing]:
    history = estimates.history
    uncounted = [train for train in history.traits.trains if getattr(history.clock, f"{train}_turns") is None]
    if uncounted and history.traits.drive is Drive.SPRING:
        which = _names(uncounted, "spring")
        text = f"key turns to full of the {which} not told: run-down is told by days alone; count at the next full wind"
        yield Missing(text, "key turns", False)


def _names(trains: list[Train], what: str) -> str:
    """ "strike spring", "going and strike springs"."""
    return f"{listed([str(train) for train in trains])} {what}{'s' if len(trains) > 1 else ''}"
