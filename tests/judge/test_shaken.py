"""A bumped rail in words: for a day, on every clock of it, and on no other."""

from __future__ import annotations

import pytest

from standwatch.judge.shaken import bumped_words
from tests.judge.judged import history
from tests.stories import daily

READ = daily("11-02 08:00", "11-12 08:00", "error_s={2*d:.1f}")


@pytest.mark.parametrize(
    ("now", "said"),
    [
        ("11-12 09:59", ""),
        ("11-12 10:00", "rail bumped Thu 12 Nov 10:00: what is read until Fri 13 Nov 10:00 is in doubt"),
        ("11-13 09:59", "rail bumped Thu 12 Nov 10:00: what is read until Fri 13 Nov 10:00 is in doubt"),
        ("11-13 10:00", ""),
    ],
)
def test_for_a_day(now: str, said: str) -> None:
    told = bumped_words(history("longcase", [*READ, "11-12 10:00 work=bumped"], now=now, position="A1"))
    assert told.partition(", and nothing")[0] == said


def test_the_last_of_two_counts() -> None:
    rows = [*READ, "11-12 09:00 work=bumped", "11-12 17:00 work=bumped"]
    assert bumped_words(history("longcase", rows, now="11-12 18:00", position="A1")).startswith(
        "rail bumped Thu 12 Nov 17:00"
    )
