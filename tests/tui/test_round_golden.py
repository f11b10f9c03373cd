"""The round's pages as plain text, in each situation at both sizes. Read the diff when one changes."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from tests.tui.round_shop import make_round
from tests.tui.screens import SMALL, WIDE, comes_to_golden, press, running
from tests.tui.shop import NOW

# seconds after 8:20:14 as @n, then keys
SITUATIONS = {
    "hand": "",
    "take": "@32 space",
    "mark": "n n n @22 space 1",
    "whole-dial": "n n n n @22 space 8",
    "done": "@32 space 1 3 2 5",
    "surprise": "n @48 space 5 6",
    "second-look": "n @48 space 5 6 enter @108 space 8 2 2 6",
    "still-so": "n @48 space 5 6 enter @108 space 8 2 6 6",
    "when": "n @48 space 5 6 3 7",
    "answered": "n @48 space 5 6 2",
    "hung": "x 3 4 7 5 2 5",
    "touched": "slash",
    "end": "@32 space 1 n x 3 4 7 enter enter enter n n n n",
}


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_round(tmp_path_factory.mktemp("round") / "book.sqlite")


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])
@pytest.mark.parametrize("name", SITUATIONS)
async def test_the_round(name: str, size: tuple[int, int], made: Path, tmp_path: Path) -> None:
    book = tmp_path / "book.sqlite"
    book.write_bytes(made.read_bytes())
    times = [NOW]
    async with running(book, size, now=lambda: times[0]) as (app, pilot):
        await press(pilot, "r")
        for key in SITUATIONS[name].split():
            if key.startswith("@"):
                times[0] = NOW + timedelta(seconds=float(key[1:]))
            else:
                await press(pilot, key)
        await press(pilot)
        await comes_to_golden(pilot, app, f"round-{name}-{size[0]}x{size[1]}")
