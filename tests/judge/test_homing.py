"""What the owner's place does to a clock that is there, in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from standwatch.estimate.at_home import site_of
from standwatch.estimate.estimates import estimates_of
from standwatch.horology.gravity import Site
from standwatch.judge.homing import place_words
from standwatch.model.answers import Answer, NotYetKnown
from tests.judge.judged import history

SHOP = Site(51.5, 20)


class There:
    """A home of which only the place is asked."""

    def __init__(self, site: Answer | None) -> None:
        self.site = site

    def reading_at(self, at: datetime) -> Answer:
        return NotYetKnown(f"not asked of {at:%Y}")


def said(owner: Site | None, *, kind: str = "longcase", gone: bool = True) -> str:
    steps = ["11-03 09:00 released", "11-03 10:00 delivered"] if gone else []
    told = history(kind, ["11-02 08:00 error_s=0"], now="11-04 09:00", handed=steps)
    [estimates] = estimates_of([told])
    there = There(site_of(told.traits, SHOP, owner))
    return place_words(replace(estimates, find_home=lambda: there))


@pytest.mark.parametrize(
    ("owner", "words"),
    [
        # about +4 s/day a degree towards the pole, -1.36 a hundred metres up (free air)
        (Site(57.1, 40), "at its owner's place it gains 20.9 a day more than here, ±4.4 for the ground it stands on"),
        (Site(51.5, 1620), "at its owner's place it loses 21.7 a day more than here, ±4.4 for the ground it stands on"),
        (Site(51.5, 21), "at its owner's place it goes as here, ±4.4 for the ground it stands on"),
        (None, "its owner's latitude and height are not told: what that place does to it is left out"),
    ],
)
def test_what_the_place_does(owner: Site | None, words: str) -> None:
    assert said(owner) == words


def test_a_balance_goes_alike_everywhere() -> None:
    assert said(Site(57.1, 40), kind="carriage") == ""


def test_on_the_stand_there_is_no_owner_s_place() -> None:
    assert said(Site(57.1, 40), gone=False) == ""
