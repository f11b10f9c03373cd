"""What its owner's place does to a clock's rate: the latitude and height of the house, and the warmth of the room."""

from __future__ import annotations

import math
from collections.abc import Iterable

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.history import History
from standwatch.horology.gravity import Site, parse_site, site_change
from standwatch.horology.kinds import Traits
from standwatch.model.answers import Z95, Answer, NotYetKnown, Quantity
from standwatch.model.facts import Clock


def owner_site(clock: Clock) -> Site | None:
    """Where the clock's owner lives; None where nobody told."""
    return None if clock.home_site is None else parse_site(clock.home_site, "home_site")


def site_of(traits: Traits, shop: Site | None, owner: Site | None) -> Answer | None:
    """s/day that a pendulum gains by its owner's latitude and height against the shop's, or which place is not known.

    A real place lies up to 100 mGal off normal gravity, which is taken as the 95 % interval. None where no bob swings:
    balances and torsion pendulums go by their springs, whatever the place.
    """
    if traits.oscillator != "pendulum" or traits.reference:
        return None
    if owner is None:
        return NotYetKnown("its owner's latitude and height are not told: what that place does to it is left out")
    if shop is None:
        return NotYetKnown(
            "the shop's own place is not told: what its owner's does to it is left out; "
            "`standwatch set site=LAT,METRES` tells it"
        )
    change, doubt = site_change(shop, owner)
    return Quantity(change, change - doubt, change + doubt)


def room_of_owner(history: History, time: Timekeeping) -> Answer | None:
    """s/day that the clock gains by the owner's room against the stand while its rate was judged, or what is not known.

    What a degree does is `time.warmth`: by rod, balance or strip (`horology.warmth`), until its own readings and the
    room's log tell it better. None for a reference.
    """
    if history.traits.reference:
        return None
    if history.clock.home_temperature_c is None:
        return NotYetKnown("the warmth of its owner's room is not told: what that does to it is left out")
    if time.stand_c is None:
        return NotYetKnown(
            "no temperature was read on the stand while its rate was judged: what its owner's room does is left out"
        )
    warmer = history.clock.home_temperature_c - time.stand_c
    loses, sd = time.warmth
    return Quantity.normal(-loses * warmer, sd * abs(warmer))


def together(changes: Iterable[Answer | None]) -> tuple[float, float]:
    """What the known ones of `changes` add to the rate in s/day, and its standard doubt; the others are left out."""
    known = [change for change in changes if isinstance(change, Quantity)]
    return sum(change.estimate for change in known), math.hypot(*(change.doubt / Z95 for change in known))
