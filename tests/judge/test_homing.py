"""What the owner's place does to a clock that is there, in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import pytest

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.owners_place import site_of
from standwatch.horology.gravity import Site
from standwatch.judge.homing import home_words, leave_at_words, place_words
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.release import Home
from tests.judge.judged import history

SHOP = Site(51.5, 20)


class There:
    """A home of which only the place and its room are asked."""

    def __init__(self, site: Answer | None, room: Answer | None) -> None:
        self.site, self.room = site, room
        self.told: tuple[tuple[datetime, float, Answer], ...] = ()

    def reading_at(self, at: datetime) -> Answer:
        return NotYetKnown(f"not asked of {at:%Y}")


def said(owner: Site | None, *, kind: str = "longcase", gone: bool = True, room: Answer | None = None) -> str:
    steps = ["11-03 09:00 released", "11-03 10:00 delivered"] if gone else []
    told = history(kind, ["11-02 08:00 error_s=0"], now="11-04 09:00", handed=steps)
    [estimates] = estimates_of([told])
    there = There(site_of(told.traits, SHOP, owner), room)
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


@pytest.mark.parametrize(
    ("room", "words"),
    [
        (
            Quantity(-1.25, -2.0, -0.5),
            "in its owner's room it loses 1.2 a day more than here, ±0.8 for what a degree",
        ),
        (Quantity(0.01, -0.2, 0.2), "in its owner's room it goes as here, ±0.2 for what a degree does"),
        (NotYetKnown("the warmth of its owner's room is not told"), "the warmth of its owner's room is not told"),
    ],
)
def test_what_the_room_does(room: Answer, words: str) -> None:
    assert said(Site(57.1, 40), kind="carriage", room=room).startswith(words)
    assert said(Site(51.5, 21), room=room).startswith("at its owner's place it goes as here, ±4.4 for the ground")
    assert words in said(Site(51.5, 21), room=room)


def test_who_taught_the_move_is_said() -> None:
    untaught = Home(days=14, error_s=NotYetKnown("it stands still"), move_s_per_day=12.0)
    [usual] = home_words(untaught)
    assert usual.startswith("the move changes a rate by about 12 s/day either way: as is usual; none of the shop's own")
    [one] = home_words(untaught.model_copy(update={"move_s_per_day": 8.46, "follow_ups": 1}))
    assert one == "the move changes a rate by about 8.5 s/day either way: 1 that went home has taught it"
    [more] = home_words(untaught.model_copy(update={"move_s_per_day": 8.46, "follow_ups": 5}))
    assert more.endswith("5 that went home have taught it")
    first_edition = Home(days=14, error_s=NotYetKnown("-"))
    assert home_words(first_edition) == ()


@pytest.mark.parametrize(
    ("rate", "words"),
    [
        (-3.24, "leave it losing 3.2 a day here, ±4.4, so that it is right at its owner's"),
        (3.24, "leave it gaining 3.2 a day here, ±4.4, so that it is right at its owner's"),
        (0.04, "leave it keeping time here, ±4.4: its owner's place and room change nothing"),
    ],
)
def test_how_to_leave_it(rate: float, words: str) -> None:
    assert leave_at_words(Quantity(rate, rate - 4.4, rate + 4.4)) == words


def test_on_the_stand_there_is_no_owner_s_place() -> None:
    assert said(Site(57.1, 40), gone=False) == ""
