"""What nobody logged, on the screens: the receipt of the reading that betrays it, the clock's page, the panel."""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.shop import write_ledger
from tests.stories import at
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, text_of, type_in
from tests.tui.shop import open_shop

FIRST = at("11-02 08:05")
TURNED = 8
SAID = "nut turned, not logged? about 13 s/day faster, between Mon 9 and Tue 10 Nov"


def error(day: int) -> float:
    """Gains 3 s a day; from half a day before the reading of `TURNED` on 16."""
    return round(3 * day + 13 * max(day - TURNED + 0.5, 0), 1)


def stopped_at(now: datetime) -> Callable[[], datetime]:
    """A clock that always shows `now`."""
    return lambda: now


def book(folder: Path, days: int) -> tuple[Path, datetime]:
    """A longcase read for so many days, and the minute after the last reading."""
    rows = [{"tag": "L1", "at": FIRST + timedelta(days=d), "error_s": error(d)} for d in range(days + 1)]
    clock = {"tag": "L1", "kind": "longcase", "position": "A1", "unlock_deg": 1.9}
    now = FIRST + timedelta(days=days, minutes=1)
    shop = open_shop(folder / "book.sqlite")
    shop.set_settings({"zone": "Europe/London"}, now)
    shop.import_ledger([write_ledger(folder / "ledger", [clock], rows)], now)
    shop.close()
    return folder / "book.sqlite", now


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_clocks_page_says_it_under_the_rate_and_marks_it(size: tuple[int, int], tmp_path: Path) -> None:
    path, now = book(tmp_path, TURNED + 3)
    async with running(path, size, now=lambda: now) as (app, pilot):
        await press(pilot, "enter")
        text = text_of(app)
        check_golden(f"clock-unlogged-{size[0]}x{size[1]}", text)
        lines = text.splitlines()
        said, next_step = [
            n for n, line in enumerate(lines) if line.startswith(" nut turned, not logged? about 13 s/day")
        ]
        [chart] = [n for n, line in enumerate(lines) if line.startswith(" ERROR ─")]
        assert said < chart < next_step
        assert "nut?" in lines[chart + 1]
        assert " ".join(line.strip() for line in lines[next_step:-1]) == (
            f"{SAID}; log it: standwatch work L1 nut --at 2026-11-09T08:05"
        )
        await press(pilot, "m")
        assert "nut? before" in text_of(app)


async def test_where_another_step_comes_next_the_page_says_when_and_how_to_log_it(tmp_path: Path) -> None:
    path, now = book(tmp_path, TURNED + 8)
    async with running(path, WIDE, now=lambda: now) as (app, pilot):
        await press(pilot, "enter")
        text = text_of(app)
        assert "lower the bob" in text
        left = " ".join(line.partition(" │ ")[0].strip() for line in text.splitlines())
        assert f"{SAID}; log it: standwatch work L1 nut --at 2026-11-09T08:05 ERROR ─" in left


async def test_a_page_without_it_has_no_line(tmp_path: Path) -> None:
    path, now = book(tmp_path, TURNED - 1)
    async with running(path, WIDE, now=lambda: now) as (app, pilot):
        await press(pilot, "enter")
        assert "not logged" not in text_of(app)
        assert "nut?" not in text_of(app)


async def test_the_panel_beside_the_stand_and_the_next_column_say_it(tmp_path: Path) -> None:
    path, now = book(tmp_path, TURNED + 3)
    async with running(path, WIDE, now=lambda: now) as (app, _):
        text = text_of(app)
        panel = " ".join(line.rpartition("▏")[2].strip() for line in text.splitlines() if "▏" in line)
        assert "nut turned, not logged? about 13 s/day faster" in panel
        [row] = [line for line in text.splitlines() if "A1 L1" in line and "longcase" in line]
        assert "nut turned?" in row


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_reading_that_betrays_it_says_so_at_once(size: tuple[int, int], tmp_path: Path) -> None:
    path, now = book(tmp_path, TURNED)
    seen = []
    for day in range(TURNED + 1, TURNED + 5):
        now = FIRST + timedelta(days=day)
        async with running(path, size, now=stopped_at(now)) as (app, pilot):
            await press(pilot, "space")
            await type_in(pilot, f"{error(day):+.1f}")
            await press(pilot, "enter")
            text = " ".join(line.strip() for line in text_of(app).splitlines())
            assert "recorded" in text
            seen.append("not logged?" in text)
            if seen[-1]:
                assert "between Mon 9 and Tue 10 Nov; log it: standwatch work L1 nut --at 2026-11-09T08:05" in text
                break
    assert seen[-1]
    assert not seen[0]


async def test_where_something_else_comes_next_the_receipt_says_both(tmp_path: Path) -> None:
    path, now = book(tmp_path, TURNED + 1)
    shop = open_shop(path)
    shop.check_in({"tag": "L1", "work": "stopped", "at": now + timedelta(minutes=1)}, now + timedelta(minutes=1))
    shop.check_in({"tag": "L1", "work": "restarted", "at": now + timedelta(minutes=1)}, now + timedelta(minutes=2))
    shop.close()
    told = []
    for day in range(TURNED + 2, TURNED + 7):
        now = FIRST + timedelta(days=day)
        async with running(path, SMALL, now=stopped_at(now)) as (app, pilot):
            await press(pilot, "space")
            await type_in(pilot, f"{error(day):+.1f}")
            await press(pilot, "enter")
            text = text_of(app)
            if " nut turned, not logged? about 1" in text:
                told.append(text)
    [once] = told
    assert "follows: the stop found" in once
