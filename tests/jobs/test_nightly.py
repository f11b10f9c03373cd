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
from tests.jobs.passing import Said, passing, utc_now

ZONE = ZoneInfo("Europe/London")
AUCKLAND = ZoneInfo("Pacific/Auckland")


@pytest.fixture
def stand(tmp_path: Path) -> Iterator[Stand]:
    opened = Stand(open_book(tmp_path / "book.sqlite"), computer_zone=lambda: "Europe/London")
    opened.add_clock({"tag": "2426", "kind": "longcase"}, datetime(2026, 3, 1, tzinfo=UTC))
    yield opened
    opened.close()


def nightly(stand: Stand, said: Said, zone: ZoneInfo = ZONE, made: list[datetime] | None = None) -> Nightly:
    async def copy(to: Path) -> None:
        if made is not None:
            made.append(utc_now())
        stand.backup(to)

    return Nightly(stand.book_path, zone, copy=copy, clock=utc_now, tell=said)


async def test_a_missed_night_is_made_up_for_at_start_and_only_once_a_day(stand: Stand) -> None:
    said = Said()
    for _ in range(2):
        async with passing(datetime(2026, 3, 27, 8, tzinfo=UTC), ZONE, [nightly(stand, said)]):
            pass
    made = backups_of(stand.book_path)
    assert [day for day, _ in made] == [date(2026, 3, 27)]
    assert said.told == []
    copied = Stand(open_book(made[0][1], create=False))
    assert [record.body.tag for record in copied.clocks()] == ["2426"]
    copied.close()


@pytest.mark.parametrize(
    ("zone", "start"),
    [
        (ZONE, datetime(2026, 3, 28, 12, tzinfo=UTC)),  # the clocks go forward at 01:00 UTC on 29 March 2026
        (ZONE, datetime(2026, 10, 24, 12, tzinfo=UTC)),  # and back at 01:00 UTC on 25 October (tzdata)
        (AUCKLAND, datetime(2026, 4, 4, 2, tzinfo=UTC)),  # back at 14:00 UTC on 4 April 2026
        (AUCKLAND, datetime(2026, 9, 26, 2, tzinfo=UTC)),  # and forward at 14:00 UTC on 26 September (tzdata)
    ],
)
async def test_a_night_each_through_both_changes_of_the_clocks(stand: Stand, zone: ZoneInfo, start: datetime) -> None:
    said, made = Said(), list[datetime]()
    async with passing(start, zone, [nightly(stand, said, zone, made)]) as time:
        await time.until(start + timedelta(days=2))
    first = start.astimezone(zone).date()
    assert [day for day, _ in backups_of(stand.book_path)] == [first + timedelta(days=n) for n in range(3)]
    at = [f"{at.astimezone(zone):%d %H:%M}" for at in made[1:]]
    assert at == [f"{first + timedelta(days=n):%d} 03:30" for n in (1, 2)]
    assert said.told == []


async def test_nights_slept_through_are_one_backup(stand: Stand) -> None:
    start = datetime(2026, 5, 4, 12, tzinfo=UTC)
    async with passing(start, ZONE, [nightly(stand, Said())]) as time:
        await time.sleep_until(start + timedelta(days=5))
    assert [day for day, _ in backups_of(stand.book_path)] == [date(2026, 5, 4), date(2026, 5, 9)]


async def test_the_last_fourteen_are_kept_and_nothing_else_is_touched(stand: Stand) -> None:
    folder = folder_of(stand.book_path)
    folder.mkdir()
    for n in range(1, 21):
        file_of(stand.book_path, date(2026, 4, n)).write_bytes(b"")
    other = folder / "mine.sqlite"
    other.write_bytes(b"x")
    with time_machine.travel(datetime(2026, 4, 21, 8, tzinfo=UTC), tick=False):
        await nightly(stand, Said()).back_up()
    made = [day for day, _ in backups_of(stand.book_path)]
    assert made == [date(2026, 4, n) for n in range(8, 22)]
    assert len(made) == KEPT
    assert other.exists()


async def test_trouble_is_told_in_a_sentence_and_nothing_is_let_go(stand: Stand) -> None:
    said = Said()

    async def copy(_to: Path) -> None:
        raise BadValue("the disk is full; make room")

    jobs = Nightly(stand.book_path, ZONE, copy=copy, clock=utc_now, tell=said)
    await jobs.back_up()
    assert said.trouble == ["No backup was made today: the disk is full; make room"]
