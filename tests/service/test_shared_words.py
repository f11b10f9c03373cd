"""What the clocks share, in the shop's words: it must fit in a line of eighty columns."""

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from standwatch.estimate.together import NOTHING_SHARED, Common, Heating, ReferenceJump
from standwatch.service.shared_words import shared_words

ZONE = ZoneInfo("Europe/London")
NOW = datetime(2026, 11, 12, 9, tzinfo=UTC)
JUMP = ReferenceJump(datetime(2026, 11, 10, 8, 1, tzinfo=UTC), 59.7, 0.4, 14)
WARM = Heating(datetime(2026, 11, 9, 8, tzinfo=UTC), 1.24, 2.4, 0.5, 7)


def said(*jumps: ReferenceJump, heating: Heating | None = None) -> tuple[str, ...]:
    return shared_words(Common(jumps, heating), NOW, ZONE)


def test_nothing_shared_is_not_spoken_of() -> None:
    assert shared_words(NOTHING_SHARED, NOW, ZONE) == ()


def test_a_jump_of_the_reference() -> None:
    assert said(JUMP) == ("14 clocks all 60 s fast since Tue 10 Nov: check the reference",)
    slow = replace(JUMP, seconds=-300.4)
    assert said(slow) == ("14 clocks all 5:00 slow since Tue 10 Nov: check the reference",)


def test_an_hour_is_asked_after_as_summer_time() -> None:
    hour = replace(JUMP, seconds=3598.0)
    assert said(hour) == ("14 clocks all an hour fast since Tue 10 Nov: summer time? Record it on each",)


def test_a_jump_that_went_back_is_told_as_over() -> None:
    back = ReferenceJump(datetime(2026, 11, 11, 8, tzinfo=UTC), -60.1, 0.5, 13)
    assert said(JUMP, back) == ("the reference was 60 s behind from Tue 10 Nov to Wed 11 Nov, and is right again",)


def test_an_old_jump_is_no_news() -> None:
    assert said(replace(JUMP, at=datetime(2026, 11, 4, 8, tzinfo=UTC))) == ()


@pytest.mark.parametrize(
    ("loss", "warmer", "words"),
    [
        (1.24, 2.4, "steel pendulums lose 1.2 a day since Mon 9 Nov: room about 2.4 °C warmer"),
        (-1.24, -2.4, "steel pendulums gain 1.2 a day since Mon 9 Nov: room about 2.4 °C cooler"),
    ],
)
def test_the_rooms_warmth(loss: float, warmer: float, words: str) -> None:
    heating = replace(WARM, loss_s_per_day=loss, warmer_c=warmer)
    assert said(JUMP, heating=heating)[1] == words


def test_every_line_fits_in_eighty_columns() -> None:
    long = ReferenceJump(datetime(2026, 11, 11, 8, tzinfo=UTC), -59.4, 1.0, 40)
    lines = [
        *said(JUMP, long),
        *said(replace(long, seconds=-3600.0)),
        *said(long, heating=replace(WARM, warmer_c=12.5)),
    ]
    assert max(map(len, lines)) <= 79
