"""A fresh book for each test."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from standwatch.store import SqliteBook, open_book


@pytest.fixture
def book(tmp_path: Path) -> Iterator[SqliteBook]:
    opened = open_book(tmp_path / "stand.db")
    yield opened
    opened.close()
