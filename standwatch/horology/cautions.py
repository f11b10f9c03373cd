"""The usual cautions of the trade, for whoever is about to touch a clock (common practice).

They remind; they teach nobody. Local codes and licensed practice come first.
"""

from __future__ import annotations

from standwatch.horology.kinds import traits_of
from standwatch.model.facts import Clock
from standwatch.model.words import Work

_STRIKING = "Never turn hands or selector while it strikes or chimes; forward only, pausing at each quarter."
_OPENING = (
    "Weights off, mainsprings let down before a plate is opened; radium never scraped; air for solvents; mains for a "
    "licensed person."
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
