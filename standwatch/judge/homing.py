"""A clock at its owner's, in words: what that place and its room do to it, and what nobody knows of the move."""

from __future__ import annotations

from standwatch.estimate.answers import Estimates
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.release import Home
from standwatch.model.units import rate_words

_KEEPS_S_PER_DAY = 0.05


def place_words(estimates: Estimates) -> str:
    """What its owner's place and room do to a clock that is there, or what is missing, in half sentences joined by ;.

    Empty on the stand, and where neither does anything.
    """
    home = estimates.home
    if estimates.history.home_since is None or home is None:
        return ""
    return "; ".join(part for part in (site_words(home.site), room_words(home.room)) if part)


def site_words(site: Answer | None) -> str:
    """ "at its owner's place it gains 3.2 a day more than here, ±4.4 for the ground it stands on", or what is missing.

    Empty for what has no pendulum.
    """
    if site is None:
        return ""
    return _words(site, "at its owner's place it", "the ground it stands on")


def room_words(room: Answer | None) -> str:
    """ "in its owner's room it loses 0.8 a day more than here, ±0.5 for what a degree does", or what is missing.

    Empty for a reference.
    """
    if room is None:
        return ""
    return _words(room, "in its owner's room it", "what a degree does to it")


def _words(change: Answer, where: str, unsure_of: str) -> str:
    if isinstance(change, NotYetKnown):
        return change.because
    doubt = f"±{change.doubt:.1f} for {unsure_of}"
    if abs(change.estimate) < _KEEPS_S_PER_DAY:
        return f"{where} goes as here, {doubt}"
    return f"{where} {rate_words(change.estimate)} more than here, {doubt}"


def move_words(home: Home) -> str:
    """How much rates change on the way home, and who taught it. Empty where a record doesn't tell."""
    if home.move_s_per_day is None:
        return ""
    number = home.follow_ups
    taught = "as is usual; none of the shop's own that went home has told yet"
    if number:
        taught = f"{number} that went home {'has' if number == 1 else 'have'} taught it"
    return f"the move changes a rate by about {home.move_s_per_day:.2g} s/day either way: {taught}"


def home_words(home: Home) -> tuple[str, ...]:
    """What goes into the error at home, a half sentence each: the move, the place, the room, or what is left out."""
    parts = (move_words(home), site_words(home.site_s_per_day), room_words(home.room_s_per_day))
    return tuple(part for part in parts if part)


def leave_at_words(target: Quantity) -> str:
    """ "leave it losing 3.2 a day here, ±4.4, so that it keeps time at its owner's"."""
    if abs(target.estimate) < _KEEPS_S_PER_DAY:
        return f"leave it keeping time here, ±{target.doubt:.1f}: its owner's place and room change nothing"
    way = rate_words(target.estimate).replace("gains", "gaining").replace("loses", "losing")
    return f"leave it {way} here, ±{target.doubt:.1f}, so that it is right at its owner's"
