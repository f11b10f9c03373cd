"""The works a hand can do, a key each, with what their amount means."""

from __future__ import annotations

from dataclasses import dataclass

from standwatch.horology.kinds import traits_of
from standwatch.model.facts import Clock
from standwatch.model.words import Drive, Train, Work


@dataclass(frozen=True, slots=True)
class WorkKey:
    """One work with its key; `ask` is what may be typed after it, nothing being needed unless said."""

    key: str
    work: Work
    words: str
    ask: str


WORKS: tuple[WorkKey, ...] = (
    WorkKey("w", Work.WOUND, "wound", "turns of the key; nothing: fully; a train's name: that one alone"),
    WorkKey("n", Work.NUT, "nut or index", "turns, + raises the bob or goes faster"),
    WorkKey("h", Work.HANDS_SET, "hands set", "seconds moved, + forward; nothing: not known"),
    WorkKey("g", Work.SEEN_GOING, "seen going", "a note"),
    WorkKey("s", Work.STOPPED, "found stopped", "the dial as it hangs, such as 3:47; explained, if it is"),
    WorkKey("o", Work.RAN_OUT, "ran out", "the dial as it hangs; a train's name: that one alone"),
    WorkKey("r", Work.RESTARTED, "restarted", "a note"),
    WorkKey("b", Work.BEAT_SET, "beat set", "a note"),
    WorkKey("l", Work.LEVELLED, "levelled", "a note"),
    WorkKey("m", Work.MOVED, "moved", "n and the new slot, such as n A4"),
    WorkKey("c", Work.CASED, "in its own case", "a note"),
    WorkKey("u", Work.BUMPED, "rail bumped", "a note"),
    WorkKey("d", Work.HELD, "held on purpose", "for how many seconds"),
    WorkKey("f", Work.HOURS_SHIFTED, "hours shifted", "whole hours forward"),
    WorkKey("y", Work.SUMMER_TIME, "summer time", "seconds civil time moved; nothing: what it now is"),
    WorkKey("q", Work.MIS_SET, "mis-set chime", "quarters: 1, 2 or 3"),
    WorkKey("t", Work.TUNE, "tune chosen", "its place on the selector, 0 silent"),
    WorkKey("k", Work.CHIME_SET, "chime put right", "a note"),
    WorkKey("j", Work.STRIKE_SET, "strike put right", "a note"),
    WorkKey("z", Work.MOON_SET, "moon set", "a note"),
    WorkKey("e", Work.OIL_CHECKED, "oil looked at", "0 clear or 1 dark, then n and your initials: 0 n JW"),
    WorkKey("i", Work.OILED, "oiled", "a note"),
    WorkKey("p", Work.OPENED, "opened", "a note"),
    WorkKey("x", Work.SAFETY_CHECKED, "safety signed", "n and your initials: n JW"),
)


def works_for(clock: Clock) -> tuple[WorkKey, ...]:
    """The works that this clock can have."""
    traits = traits_of(clock)
    no_chime = {Work.MIS_SET, Work.TUNE, Work.CHIME_SET} if Train.CHIME not in traits.trains else set()
    no_strike = {Work.STRIKE_SET} if Train.STRIKE not in traits.trains else set()
    no_moon = set() if traits.moon else {Work.MOON_SET}
    return tuple(known for known in WORKS if known.work not in no_chime | no_strike | no_moon)


def ask_words(known: WorkKey, clock: Clock) -> str:
    """What may be typed after a work, for this clock."""
    if known.work is Work.WOUND and traits_of(clock).drive is Drive.WEIGHT:
        return "mm raised; nothing: to the top; a train's name: that one alone"
    return known.ask
