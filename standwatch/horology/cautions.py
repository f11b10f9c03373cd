"""The usual cautions of the trade, for whoever is about to touch a clock (common practice).

They remind; they teach nobody. Local codes and licensed practice come first.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from standwatch.horology.hanging import stands, wound_by
from standwatch.horology.kinds import Traits, traits_of
from standwatch.model.facts import Clock
from standwatch.model.words import Work

_STRIKING = "Never turn hands or selector while it strikes or chimes; forward only, pausing at each quarter."
_OPENING = (
    "Weights off, mainsprings let down before a plate is opened; radium never scraped; air for solvents, no ultrasonic "
    "bath for plastic; mains for a licensed person."
)
_CARRYING = (
    "Pendulum and weights off first; a tall case tips: fix it to the wall by the local code. Mercury goes upright, by "
    "itself."
)
_OF_WORK = {
    **dict.fromkeys(
        (Work.HANDS_SET, Work.HOURS_SHIFTED, Work.MIS_SET, Work.TUNE, Work.CHIME_SET, Work.STRIKE_SET), _STRIKING
    ),
    **dict.fromkeys((Work.OPENED, Work.OILED), _OPENING),
    **dict.fromkeys((Work.MOVED, Work.CASED, Work.LEVELLED), _CARRYING),
    Work.MOON_SET: "Never set the moon while it changes.",
}


def caution(clock: Clock, work: Work) -> str | None:
    """What to mind at `work` on `clock`, in a sentence or two, its own hazards first; None where nothing is usual."""
    usual = _OF_WORK.get(work)
    if work is Work.WOUND:
        weights = traits_of(clock).weights
        usual = (
            "Weight clear, feet clear; never slacken a line."
            if weights
            else "Hold the key until the click has taken; a spring that slips can break a hand."
        )
    if usual is None:
        return None
    return f"This clock: {clock.hazards}. {usual}" if clock.hazards else usual


LAST = "Local codes and licensed practice come first."


@dataclass(frozen=True, slots=True)
class _Danger:
    """What can hurt someone, or the clock, where `of` says so: what a fitter is told of it, and what its owner."""

    of: Callable[[Clock, Traits], bool]
    fitter: str
    owner: str


def _named(words: str) -> Callable[[Clock, Traits], bool]:
    """Whether the clock's own text names it: its hazards, its rod, how it is described."""
    sign = re.compile(words, re.IGNORECASE)
    return lambda clock, _: any(sign.search(text or "") for text in (clock.hazards, clock.rod, clock.description))


_NAMED = (
    _Danger(
        _named(r"\bmercur"),
        "Mercury: the jar goes upright, apart from the clock and closed. A spill is dealt with by the rules of the "
        "place, never with a vacuum cleaner.",
        "There is mercury in its pendulum, which is poisonous: never take the pendulum off or tilt it. Spilt: air the "
        "room, stay out of it, telephone.",
    ),
    _Danger(
        _named(r"\bradium|\bluminous|\blumed?\b"),
        "Radium paint: never scraped, brushed or licked; loose flakes are bagged and go to licensed disposal.",
        "Its dial or hands may carry radium paint: never touch, scrape or clean them; the glass stays shut.",
    ),
    _Danger(
        _named(r"\bmains\b|\belectri|\b(1[01]0|12[0-7]|2[234]0) ?v"),
        "Mains: cut off, locked off and proved dead by a licensed person before anything is opened.",
        "Part of it is under mains voltage: never open it, and have a licensed person see to plug and cable.",
    ),
    _Danger(
        _named(r"\basbestos"),
        "Asbestos: never cut, drilled or brushed; licensed people only.",
        "There is asbestos in its case: never drill, sand or brush it.",
    ),
)
_OF_KIND = (
    _Danger(
        lambda _, traits: traits.weights and wound_by(traits) != "chain",
        "Weights fall: never slacken a line, cable or chain, hands and feet clear, one weight at a time.",
        "Its weights are heavy and can fall: keep hands and feet from under them, children too, and never lift one to "
        "slacken its line.",
    ),
    _Danger(
        lambda _, traits: traits.weights and wound_by(traits) == "chain",
        "Weights fall: hands and feet clear. A slack chain or rope jumps off its wheel: keep some pull on it.",
        "Its weights can fall: keep hands and feet from under them, children too. Never lift a weight while you wind: "
        "a slack chain comes off.",
    ),
    _Danger(
        lambda _, traits: not traits.weights and not traits.reference,
        "Its springs are under power: hold the key until the click has taken, and let every mainspring down before a "
        "plate is opened.",
        "Hold the key until the click has taken before you let go: a spring that slips back can hurt a hand. Never "
        "undo a screw of the movement: a wound spring is dangerous.",
    ),
    _Danger(
        lambda _, traits: stands(traits) == "floor",
        "A tall case tips: it is never left standing unfixed, and is fixed to the wall by the local code.",
        "A tall case can tip over: it stays fixed to the wall.",
    ),
    _Danger(
        lambda _, traits: stands(traits) == "wall",
        "It falls with its fixing: one that holds in this wall and bears the whole clock.",
        "Never pull at it or lean on it: it hangs from one fixing.",
    ),
)


def fitters_cautions(clock: Clock) -> tuple[str, ...]:
    """What whoever carries and sets up `clock` has to mind, its own hazards first and the local code last."""
    return (*own_hazards(clock), *(danger.fitter for danger in _dangers(clock)), LAST)


def owners_cautions(clock: Clock) -> tuple[str, ...]:
    """What whoever lives with `clock` has to mind, its own hazards first."""
    return (*own_hazards(clock), *(danger.owner for danger in _dangers(clock)))


def own_hazards(clock: Clock) -> tuple[str, ...]:
    """What the shop wrote of this clock's hazards, as a sentence; empty where it wrote nothing."""
    return (f"This clock: {clock.hazards.rstrip('.')}.",) if clock.hazards else ()


def _dangers(clock: Clock) -> list[_Danger]:
    """Those of `clock`: what its own text names, then what comes with its kind."""
    traits = traits_of(clock)
    return [danger for danger in (*_NAMED, *_OF_KIND) if danger.of(clock, traits)]
