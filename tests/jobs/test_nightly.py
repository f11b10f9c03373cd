import asyncio
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import time_machine

from standwatch.jobs.nightly import KEPT, Nightly, backups_of, file_of, folder_of
from standwatch.model.errors import BadValue
from standwatch.service.stand import Stand
from standwatch.store import open_book

ZONE = ZoneInfo("Europe/London")


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Stand]:
    opened = Stand(open_book(tmp_path / "book.sqlite"), computer_zone=lambda: "Europe/London")
    opened.add_clock({"tag": "2426", "kind": "longcase"}, datetime(2026, 3, 1, tzinfo=UTC))
    yield opened
    opened.close()


def nightly(stand: Stand, told: list[str]) -> Nightly:
    async def copy(to: Path) -> None:
        stand.backup(to)

    return Nightly(stand.book_path, ZONE, copy=copy, clock=lambda: datetime.now(UTC), tell=told.append)


async def test_a_missed_night_is_made_up_for_at_start_and_only_once_a_day(stand: Stand) -> None:
    told: list[str] = []
    with time_machine.travel(datetime(2026, 3, 27, 8, tzinfo=UTC), tick=False):
        for _ in range(2):
            jobs = nightly(stand, told)
            await jobs.start()
            jobs.stop()
    made = backups_of(stand.book_path)
    assert [day for day, _ in made] == [date(2026, 3, 27)]
    assert told == []
    copied = Stand(open_book(made[0][1], create=False))
    assert [record.body.tag for record in copied.clocks()] == ["2426"]
    copied.close()


@pytest.mark.parametrize(
    ("start", "days"),
    [
        (datetime(2026, 3, 28, 12, tzinfo=UTC), 2),  # the clocks go forward at 01:00 UTC on 29 March 2026
        (datetime(2026, 10, 24, 12, tzinfo=UTC), 2),  # and back at 01:00 UTC on 25 October (tzdata)
    ],
)
async def test_a_night_each_through_both_changes_of_the_clocks(stand: Stand, start: datetime, days: int) -> None:
    told: list[str] = []
    with time_machine.travel(start, tick=False) as travel:
        jobs = nightly(stand, told)
        await jobs.start()
        try:
            for _ in range(days * 24):
                travel.shift(timedelta(hours=1))
                assert jobs._scheduler is not None
                jobs._scheduler.wakeup()
                await asyncio.sleep(0.02)
        finally:
            jobs.stop()
    made = [day for day, _ in backups_of(stand.book_path)]
    first = start.astimezone(ZONE).date()
    assert made == [first + timedelta(days=n) for n in range(days + 1)]
    assert told == []


async def test_nights_slept_through_are_one_backup(stand: Stand) -> None:
    with time_machine.travel(datetime(2026, 5, 4, 12, tzinfo=UTC), tick=False) as travel:
        jobs = nightly(stand, [])
        await jobs.start()
        travel.shift(timedelta(days=5))
        assert jobs._scheduler is not None
        jobs._scheduler.wakeup()
        await asyncio.sleep(0.1)
        jobs.stop()
    assert [day for day, _ in backups_of(stand.book_path)] == [date(2026, 5, 4), date(2026, 5, 9)]


async def test_the_last_fourteen_are_kept_and_nothing_else_is_touched(stand: Stand) -> None:
    folder = folder_of(stand.book_path)
    folder.mkdir()
    for n in range(1, 21):
        file_of(stand.book_path, date(2026, 4, n)).write_bytes(b"")
    other = folder / "mine.sqlite"
    other.write_bytes(b"x")
    with time_machine.travel(datetime(2026, 4, 21, 8, tzinfo=UTC), tick=False):
        await nightly(stand, []).back_up()
    made = [day for day, _ in backups_of(stand.book_path)]
    assert made == [date(2026, 4, n) for n in range(8, 22)]
    assert len(made) == KEPT
    assert other.exists()


async def test_trouble_is_told_in_a_sentence_and_nothing_is_let_go(stand: Stand) -> None:
    told: list[str] = []

    async def copy(_to: Path) -> None:
        raise BadValue("the disk is full; make room")

    jobs = Nightly(stand.book_path, ZONE, copy=copy, clock=lambda: datetime.now(UTC), tell=told.append)
    await jobs.back_up()
    assert told == ["No backup was made today: the disk is full; make room"]
