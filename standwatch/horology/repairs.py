"""What was repaired, by the trade's own short list: free words are counted under it. Common practice."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True, slots=True)
class Repair:
    """One line of the short list, and the words by which free words count under it."""

    name: str
    words: tuple[str, ...]


REPAIRS = (
    Repair("pivots", ("pivot", "re-pivot", "repivot", "arbor")),
    Repair("bushes", ("bush", "bushing", "re-bush", "rebush")),
    Repair("mainspring", ("mainspring", "main spring", "spring", "barrel", "fusee")),
    Repair("suspension", ("suspension", "suspension spring", "torsion wire")),
    Repair("escapement", ("escapement", "escape wheel", "pallet", "anchor", "verge", "cylinder", "platform")),
    Repair("balance", ("balance", "balance spring", "balance staff", "hairspring", "hair spring", "impulse pin")),
    Repair("pendulum", ("pendulum", "pendulum spring", "bob", "crutch", "rating nut")),
    Repair("click", ("click", "click spring", "ratchet", "ratchet wheel", "clickwork", "maintaining power")),
    Repair("wheel, pinion", ("wheel", "pinion", "tooth", "teeth", "leaf", "leaves", "lantern pinion")),
    Repair(
        "strike",
        ("strike", "striking", "rack", "rack tail", "snail", "count wheel", "hammer", "gong", "bell", "warning"),
    ),
    Repair("chime", ("chime", "chiming", "chime barrel", "chime hammer", "chime rod", "chime block", "selector")),
    Repair("line, cable, chain", ("line", "gut", "cable", "chain", "rope", "cord", "pulley", "chain wheel")),
    Repair(
        "dial, motion work",
        ("dial", "hand", "motion work", "cannon", "cannon pinion", "minute wheel", "hour wheel", "moon", "calendar"),
    ),
    Repair("case", ("case", "glass", "door", "hood", "backboard", "seatboard", "veneer")),
    Repair("cleaning", ("clean", "cleaning", "oil", "oiling", "wash", "service", "overhaul", "polish")),
)
"""The short list, in its order."""

_ENDINGS = r"(?:s|es|d|ed|r|ing|ings)?"


def repairs_in(text: str) -> tuple[str, ...]:
    """The names of the short list that free words count under, in its order; empty where they name none of it.

    The longest of the list's words counts: an escape wheel is the escapement's and no wheel's.
    """
    left = text.casefold().translate(_DASHES)
    found = set()
    for word, name in _longest_first():
        left, times = word.subn(" · ", left)
        if times:
            found.add(name)
    return tuple(repair.name for repair in REPAIRS if repair.name in found)


_DASHES = {ord(dash): "-" for dash in "‐‑‒–"}


@lru_cache(maxsize=1)
def _longest_first() -> tuple[tuple[re.Pattern[str], str], ...]:
    words = sorted(((word, repair.name) for repair in REPAIRS for word in repair.words), key=lambda each: -len(each[0]))
    return tuple((re.compile(rf"(?<!\w){re.escape(word)}{_ENDINGS}(?!\w)"), name) for word, name in words)
