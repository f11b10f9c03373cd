"""Books for the screens' tests, made once and copied: each test writes to its own."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from standwatch.bootstrap import demo
from tests.tui.shop import SHOP, Told, make_book

ONE = (Told("2426", "longcase", "A1", -2.0, days=0),)
FORTY = tuple(
    replace(told, tag=str(3000 + n), position=f"{'ABCDEFG'[n // 6]}{n % 6 + 1}")
    for n, told in enumerate((SHOP * 3)[:40])
)
ODD = (
    replace(SHOP[0], tag="[bold]No 1[/]", columns={"owner": "[red]=1+1[/red]", "unlock_deg": 1.9}),
    replace(SHOP[1], tag="[/]", position="[b]"),
    replace(SHOP[2], tag="$x {y} \\[z]"),
    replace(SHOP[4], tag="掛け時計 七", position="A9"),
)


def make_demo(path: Path) -> Path:
    """The demo's book, as `standwatch demo` makes it."""
    with demo() as (book, _begins):
        shutil.copy(book, path)
    return path


@pytest.fixture(scope="session")
def books(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """The path of a fresh copy of the book called so."""
    made: dict[str, Path] = {}
    shops: dict[str, tuple[Told, ...]] = {"shop": SHOP, "empty": (), "one": ONE, "forty": FORTY, "odd": ODD}
    folder = tmp_path_factory.mktemp("books")

    def copy(name: str) -> Path:
        if name not in made:
            path = folder / f"{name}.sqlite"
            made[name] = make_demo(path) if name == "demo" else make_book(path, shops[name])
        fresh = tmp_path_factory.mktemp(name) / "book.sqlite"
        shutil.copy(made[name], fresh)
        return fresh

    return copy


@pytest.fixture
def shop_book(books: Callable[[str], Path]) -> Path:
    """A copy of the shop's book."""
    return books("shop")


@pytest.fixture
def empty_book(books: Callable[[str], Path]) -> Path:
    """A copy of an empty book."""
    return books("empty")
