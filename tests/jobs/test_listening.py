"""The listening is told through both changes of the clocks, once a quarter, in open hours; what was slept is said."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from standwatch.jobs.listening import ListeningJob
from standwatch.service.hearing.quarter import Listening, listening_at
from standwatch.service.stand import Stand
from tests.jobs.conftest import MakeStand
from tests.jobs.passing import Said, passing, utc_now

LONDON, AUCKLAND = ZoneInfo("Europe/London"), ZoneInfo("Pacific/Auckland")
QUARTER = timedelta(minutes=15)


def job_of(stand: Stand, said: Said) -> ListeningJob:
    async def hear(mark: datetime) -> Listening | None:
        view = stand.view(utc_now(), keep=timedelta(days=2))
        return listening_at(view.assessments, view.shop.rounds, mark)

    return ListeningJob(lambda: stand.shop.rounds, hear=hear, clock=utc_now, tell=said)


@pytest.mark.parametrize(
    ("zone", "change"),
    [
        (LONDON, datetime(2026, 3, 29, 1, tzinfo=UTC)),  # forward (tzdata)
        (LONDON, datetime(2026, 10, 25, 1, tzinfo=UTC)),  # back
        (AUCKLAND, datetime(2026, 4, 4, 14, tzinfo=UTC)),  # back
        (AUCKLAND, datetime(2026, 9, 26, 14, tzinfo=UTC)),  # forward
    ],
)
async def test_every_quarter_once_through_a_change_within_open_hours(
    zone: ZoneInfo, change: datetime, make_stand: MakeStand
) -> None:
    """A shop that opens half an hour before the clocks change: ten hours are forty quarters, whatever they are called.

    A2 is 1:15 fast, so that its quarter sounds 1:15 before, and it is told two minutes before that.
    """
    opens = change - timedelta(minutes=30)
    stand = make_stand(zone.key, change - timedelta(hours=8), next_round=f"{opens.astimezone(zone):%H:%M}")
    said = Said()
    async with passing(opens - timedelta(hours=3), zone, [job_of(stand, said)]) as time:
        await time.until(opens + timedelta(hours=12))
    expected = [opens + n * QUARTER for n in range(40)]
    told = [at for at, _ in said.told]
    assert len(told) == len(expected)
    for at, mark in zip(told, expected, strict=True):
        assert abs(at - (mark - timedelta(seconds=75 + 120))) < timedelta(seconds=30), (
            "its rate is not known to the second"
        )
    assert all("listen to A2 in 2:00, then A1" in sentence for sentence in said.sentences)
    assert said.rung == len(told)


async def test_the_name_of_the_quarter_is_civil_time(make_stand: MakeStand) -> None:
    until = datetime(2026, 11, 20, 7, tzinfo=UTC)
    stand, said = make_stand("Europe/London", until), Said()
    async with passing(until, LONDON, [job_of(stand, said)]) as time:
        await time.until(until + timedelta(hours=2))
    assert [sentence.partition(":")[0] for sentence in said.sentences] == [
        "Eight o'clock",
        "A quarter past eight",
        "Half past eight",
        "A quarter to nine",
        "Nine o'clock",
    ]
    assert all("07:5" not in sentence and "08:" not in sentence for sentence in said.sentences), "no time, no error"


async def test_a_suspend_is_said_and_nothing_invented(make_stand: MakeStand) -> None:
    until = datetime(2026, 11, 20, 9, 5, tzinfo=UTC)
    stand, said = make_stand("Europe/London", until), Said()
    async with passing(until, LONDON, [job_of(stand, said)]) as time:
        await time.sleep_until(until + timedelta(hours=1))
        assert said.sentences == [
            "The computer slept from 09:05 to 10:05: nobody was told to listen at 09:15, 09:30, 09:45 and 10:00."
        ]
        await time.until(until + timedelta(hours=1, minutes=12))
        assert [sentence.partition(":")[0] for sentence in said.sentences[1:]] == ["A quarter past ten"]


async def test_a_night_slept_through_misses_only_the_open_hours(make_stand: MakeStand) -> None:
    until = datetime(2026, 11, 19, 17, 50, tzinfo=UTC)
    stand, said = make_stand("Europe/London", until), Said()
    async with passing(until, LONDON, [job_of(stand, said)]) as time:
        await time.sleep_until(datetime(2026, 11, 20, 8, 20, tzinfo=UTC))
    assert said.sentences == [
        "The computer slept from Thu 17:50 to Fri 08:20: nobody was told to listen at Fri 08:00 and Fri 08:15."
    ]
    said = Said()
    async with passing(until, LONDON, [job_of(stand, said)]) as time:
        await time.sleep_until(datetime(2026, 11, 20, 7, 40, tzinfo=UTC))
    assert said.told == []


async def test_closed_days_are_quiet(make_stand: MakeStand) -> None:
    friday = datetime(2026, 11, 20, 17, 30, tzinfo=UTC)
    stand, said = make_stand("Europe/London", friday, open_days="Mon-Fri"), Said()
    async with passing(friday, LONDON, [job_of(stand, said)]) as time:
        await time.until(datetime(2026, 11, 23, 7, 50, tzinfo=UTC))
    assert [sentence.partition(":")[0] for sentence in said.sentences] == ["A quarter to six"]


async def test_what_was_read_stopped_or_heard_since_is_seen(make_stand: MakeStand) -> None:
    """The quarter is asked anew when it is told: a clock that stopped meanwhile is not named."""
    until = datetime(2026, 11, 20, 9, 8, tzinfo=UTC)
    stand, said = make_stand("Europe/London", until), Said()
    async with passing(until, LONDON, [job_of(stand, said)]) as time:
        stand.check_in({"tag": "T2", "work": "stopped", "dial": "9:01"}, until)
        await time.until(until + timedelta(minutes=6))
    assert [sentence for sentence in said.sentences if "A2" in sentence] == []


async def test_an_empty_stand_tells_nothing(make_stand: MakeStand) -> None:
    until = datetime(2026, 11, 20, 9, 5, tzinfo=UTC)
    stand, said = make_stand("Europe/London", until), Said()

    async def nothing(_mark: datetime) -> Listening | None:
        return None

    job = ListeningJob(lambda: stand.shop.rounds, hear=nothing, clock=utc_now, tell=said)
    async with passing(until, LONDON, [job]) as time:
        await time.until(until + timedelta(hours=2))
    assert said.told == []
