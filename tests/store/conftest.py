"""A fresh book for each test."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from standwatch.store import SqliteBook, open_book


@pytest.fixture(scope="session")
def empty_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a book just made, to be copied: making one waits for the disk several times."""
    path = tmp_path_factory.mktemp("empty") / "stand.db"
    open_book(path).close()
    return path


@pytest.fixture
def book(tmp_path: Path, empty_book: Path) -> Iterator[SqliteBook]:
    path = tmp_path / "stand.db"
    shutil.copy(empty_book, path)
    opened = open_book(path, create=False)
    yield opened
    opened.close()
