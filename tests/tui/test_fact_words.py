"""A fact as one line: what was heard of strike and chime, and the works that belong to them."""

from __future__ import annotations

import pytest

from standwatch.model.words import Work
from standwatch.tui.draw.facts import fact_words
from standwatch.tui.entry import amount_words
from tests.stories import story


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ("hour=1 blows=1", "1 blow at 1"),
        ("hour=9 blows=0", "no blows at 9"),
        ("blows=1", "1 blow"),
        ("hour=12 blows=12 strike_s=24.5 staged=yes", "12 blows at 12, staged, striking 24.5 s"),
        ("chime=not-running quarter=2", "chime should have sounded, didn't at quarter 2"),
        ("work=mis-set amount=1", "chime mis-set 1 quarter"),
        ("work=mis-set amount=3", "chime mis-set 3 quarters"),
        ("work=mis-set", "chime mis-set"),
        ("work=hours-shifted amount=1", "hands 1 hour on, to hear other hours"),
        ("work=hours-shifted amount=-3", "hands 3 hours back, to hear other hours"),
        ("work=hours-shifted", "hours shifted"),
        ("work=tune amount=0", "tune: silent"),
    ],
)
def test_what_was_heard_and_done(cells: str, said: str) -> None:
    history = story("floor-chiming", f"11-02 09:00 {cells}", now="11-03 09:00")
    assert fact_words(history.visits[0], history) == said


def test_a_quarter_is_one() -> None:
    clock = story("floor-chiming", [], now="11-03 09:00").clock
    assert amount_words(Work.MIS_SET, 1, clock) == "1 quarter"
    assert amount_words(Work.MIS_SET, 2, clock) == "2 quarters"
