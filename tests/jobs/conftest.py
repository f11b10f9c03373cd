"""A small stand of real books for the jobs: clocks that chime, and one whose weights run out."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from standwatch.service.stand import Stand
from standwatch.store import open_book

MakeStand = Callable[..., Stand]


@pytest.fixture
def make_stand(tmp_path: Path) -> Iterator[MakeStand]:
    """Makes a stand in a zone: chiming clocks read and wound each morning of the week before `until`."""
    made: list[Stand] = []

    def make(zone: str, until: datetime, *, next_round: str = "08:00", open_days: str = "Mon-Sun") -> Stand:
        stand = Stand(open_book(tmp_path / f"book{len(made)}.sqlite"), computer_zone=lambda: zone)
        made.append(stand)
        stand.set_settings({"zone": zone, "next_round": next_round, "open_days": open_days}, until)
        for tag, slot, error in (("T1", "A1", 20.0), ("T2", "A2", 75.0)):
            stand.add_clock({"tag": tag, "kind": "floor-chiming", "position": slot}, until)
            for day in range(7, 0, -1):
                cells = {"tag": tag, "at": until - timedelta(days=day), "error_s": error, "going_mm": 0}
                stand.check_in({**cells, "work": "wound"}, until)
        return stand

    yield make
    for stand in made:
        stand.close()
