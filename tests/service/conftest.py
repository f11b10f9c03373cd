from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from standwatch.service.stand import Stand
from standwatch.store import open_book

OpenStand = Callable[[], Stand]


@pytest.fixture
def open_stand(tmp_path: Path) -> Iterator[OpenStand]:
    """Opens the same real book again, as another terminal would; all are closed at the end."""
    opened: list[Stand] = []

    def another() -> Stand:
        opened.append(Stand(open_book(tmp_path / "book.sqlite"), computer_zone=lambda: "Europe/London"))
        return opened[-1]

    yield another
    for each in opened:
        each.close()


@pytest.fixture
def stand(open_stand: OpenStand) -> Stand:
    """A stand on a fresh book in London."""
    return open_stand()
