"""A clock at its owner's, in words: what that place does to it."""

from __future__ import annotations

from standwatch.estimate.answers import Estimates
from standwatch.model.answers import NotYetKnown
from standwatch.model.units import rate_words

_KEEPS_S_PER_DAY = 0.05


def place_words(estimates: Estimates) -> str:
    """ "at its owner's place it gains 3.2 a day more than here, ±4.4 for the ground it stands on", or what is missing.

    Empty on the stand, and for what has no pendulum.
    """
    home = estimates.home
    if estimates.history.home_since is None or home is None or home.site is None:
        return ""
    if isinstance(home.site, NotYetKnown):
        return home.site.because
    change, doubt = home.site.estimate, f"±{home.site.doubt:.1f} for the ground it stands on"
    if abs(change) < _KEEPS_S_PER_DAY:
        return f"at its owner's place it goes as here, {doubt}"
    return f"at its owner's place it {rate_words(change)} more than here, {doubt}"
