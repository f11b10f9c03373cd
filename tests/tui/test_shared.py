"""What the clocks share stands over the table, and only when there is something."""

import re
from datetime import timedelta
from pathlib import Path

import pytest

from tests.estimate.stand_together import FIRST, jump_of, ledger_of, nothing, stand
from tests.shop import write_ledger
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, text_of
from tests.tui.shop import open_shop

NOW = FIRST + timedelta(days=17, minutes=50)
SAID = re.compile(r" 1[234] clocks all (59|60|61) s fast since Wed 21 Oct: check the reference")


def book(folder: Path, *, jumped: bool) -> Path:
    shop = open_shop(folder / "book.sqlite")
    happens = jump_of(60, 16) if jumped else nothing
    ledger = write_ledger(folder / "ledger", *ledger_of(stand(7, days=18, happens=happens)))
    shop.set_settings({"zone": "Europe/London"}, NOW)
    shop.import_ledger([ledger], NOW)
    shop.close()
    return folder / "book.sqlite"


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_jump_of_the_reference_is_named_over_the_table(size: tuple[int, int], tmp_path: Path) -> None:
    async with running(book(tmp_path, jumped=True), size, now=lambda: NOW) as (app, pilot):
        text = text_of(app)
        assert SAID.fullmatch(text.splitlines()[1])
        check_golden(f"stand-shared-{size[0]}x{size[1]}", text)
        await press(pilot, "space")
        assert SAID.search(text_of(app))


async def test_nothing_shared_takes_no_line(tmp_path: Path) -> None:
    async with running(book(tmp_path, jumped=False), SMALL, now=lambda: NOW) as (app, _):
        assert "reference" not in text_of(app)
        assert "NEED YOU" in text_of(app).splitlines()[1]
