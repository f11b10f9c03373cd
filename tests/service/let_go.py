"""Books in which regulators were let go, and what their releases carry."""

from __future__ import annotations

import shutil
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.service.stand import Stand
from standwatch.store import open_book
from tests.shop import NOW, Row, regulator_ready, write_ledger

HOUR = timedelta(hours=1)


def import_ready(stand: Stand, folder: Path, *tags: str, more: list[Row] | None = None) -> None:
    """Regulators that lack nothing but the oil's look."""
    told = [regulator_ready(tag, missing="oil") for tag in tags or ("R1",)]
    rows = [row for _, rows in told for row in rows] + (more or [])
    stand.import_ledger([write_ledger(folder / "ledger", [clock for clock, _ in told], rows)], NOW)


def let_go(stand: Stand, tag: str = "R1", *, by: str = "K. M.", after: timedelta = timedelta()) -> None:
    """Release a clock, its oil waived."""
    stand.release(tag, by=by, waive={"oil": "looked at in March"}, now=NOW + after)


def texts(stand: Stand, tag: str = "R1") -> list[str]:
    """The lines that the releases of a clock carry."""
    return [str(step.body.record) for step in stand.steps(tag) if step.body.what == "released"]


def open_at(path: Path) -> Stand:
    """The book in a file, as another terminal opens it."""
    return Stand(open_book(path), computer_zone=lambda: "Europe/London")


def copy_of(book: Path, folder: Path) -> Path:
    """The same book in another file."""
    return Path(shutil.copy(book, folder / "copy.sqlite"))


@pytest.fixture(scope="module")
def let_go_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book in which R1 and R2 were let go."""
    folder = tmp_path_factory.mktemp("released")
    with closing(open_at(folder / "book.sqlite")) as stand:
        import_ready(stand, folder, "R1", "R2")
        let_go(stand)
        let_go(stand, "R2")
    return folder / "book.sqlite"


@pytest.fixture
def book(let_go_once: Path, tmp_path: Path) -> Path:
    """A copy of that book."""
    return copy_of(let_go_once, tmp_path)
