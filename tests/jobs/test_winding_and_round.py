"""What runs out and that a round is due: said once, in open hours, through clock changes and after a suspend."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from standwatch.jobs.round import RoundJob
from standwatch.jobs.winding import WindingJob
from standwatch.service.reminders import RunsOut, running_out
from standwatch.service.stand import Stand
from tests.jobs.conftest import MakeStand
from tests.jobs.passing import Said, passing, utc_now

LONDON, AUCKLAND = ZoneInfo("Europe/London"), ZoneInfo("Pacific/Auckland")
DAY = timedelta(days=1)


def winding(stand: Stand, said: Said) -> WindingJob:
    async def running() -> tuple[RunsOut, ...]:
        return running_out(stand.view(utc_now(), keep=DAY))

    return WindingJob(lambda: stand.shop.rounds, running=running, clock=utc_now, tell=said)


def round_job(stand: Stand, said: Said) -> RoundJob:
    return RoundJob(
        lambda: stand.shop.rounds,
        clocks=lambda: len(stand.view(utc_now(), keep=DAY).assessments),
        clock=utc_now,
        tell=said,
    )


def daily_clock(stand: Stand, until: datetime, wound: datetime) -> None:
    """A thirty-hour clock, wound daily and last at `wound`, its fall read each time: it runs out thirty hours later.

    It has shown its full run, so that nothing is to be proved by letting it run out.
    """
    stand.add_clock({"tag": "T3", "kind": "longcase-30h", "position": "B1", "going_usable_mm": 1725}, until)
    first = wound - timedelta(days=9, hours=8)
    stand.check_in({"tag": "T3", "at": first, "error_s": 10, "work": "wound"}, until)
    shown = {"error_s": 10, "hour": 12, "blows": 12, "going_mm": 1720}
    stand.check_in({"tag": "T3", "at": first + timedelta(hours=30), "work": "wound", **shown}, until)
    for day in range(7, -1, -1):
        fall = {} if day == 7 else {"going_mm": 1380}
        at = wound - timedelta(days=day)
        stand.check_in({"tag": "T3", "at": at, "error_s": 10, "work": "wound", **fall}, until)


async def test_what_runs_out_by_day_is_said_an_hour_before_and_once(make_stand: MakeStand) -> None:
    """Thirty hours from 06:00 the day before: noon, give or take what its fall may differ."""
    until = datetime(2026, 11, 20, 8, 0, tzinfo=UTC)
    stand, said = make_stand("Europe/London", until), Said()
    daily_clock(stand, until, datetime(2026, 11, 19, 6, tzinfo=UTC))
    [told] = [each for each in running_out(stand.view(until)) if each.tag == "T3"]
    async with passing(until, LONDON, [winding(stand, said)]) as time:
        await time.until(datetime(2026, 11, 20, 16, 0, tzinfo=UTC))
    assert datetime(2026, 11, 20, 10, tzinfo=UTC) < told.low < datetime(2026, 11, 20, 12, tzinfo=UTC)
    assert len(said.told) == 1
    at, sentence = said.told[0]
    assert sentence == f"B1 may run out from {told.low:%H:%M} on; w winds."
    assert timedelta(minutes=45) <= told.low - at <= timedelta(minutes=60), "at the first quarter within the hour"
    assert said.rung == 1


async def test_what_is_overdue_is_said_at_once(make_stand: MakeStand) -> None:
    until = datetime(2026, 11, 20, 8, 0, tzinfo=UTC)
    stand, said = make_stand("Europe/London", until), Said()
    daily_clock(stand, until, datetime(2026, 11, 19, 0, tzinfo=UTC))
    async with passing(until, LONDON, [winding(stand, said)]) as time:
        await time.until(datetime(2026, 11, 20, 12, 0, tzinfo=UTC))
    assert said.told == [(until, "B1 may run out any time now; w winds.")]


async def test_before_one_leaves_what_runs_out_before_the_next_round(make_stand: MakeStand) -> None:
    """A clock wound on Friday morning for thirty hours: an hour before the shop closes, looking through the weekend."""
    until = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)
    stand, said = make_stand("Europe/London", until, open_days="Mon-Fri"), Said()
    daily_clock(stand, until, datetime(2026, 11, 20, 8, tzinfo=UTC))
    async with passing(until, LONDON, [winding(stand, said)]) as time:
        await time.until(datetime(2026, 11, 23, 7, 0, tzinfo=UTC))
    assert [(f"{at:%a %H:%M}", sentence) for at, sentence in said.told] == [
        ("Fri 17:00", "Before you go: B1 runs out before the next round, Mon 08:00; w winds.")
    ]


async def test_a_wind_that_was_done_is_not_asked_for(make_stand: MakeStand) -> None:
    until = datetime(2026, 11, 20, 8, 0, tzinfo=UTC)
    stand, said = make_stand("Europe/London", until), Said()
    daily_clock(stand, until, datetime(2026, 11, 20, 7, tzinfo=UTC))
    async with passing(until, LONDON, [winding(stand, said)]) as time:
        await time.until(datetime(2026, 11, 20, 16, 0, tzinfo=UTC))
    assert said.told == []


@pytest.mark.parametrize(
    ("zone", "change"),
    [
        (LONDON, datetime(2026, 3, 29, 1, tzinfo=UTC)),
        (LONDON, datetime(2026, 10, 25, 1, tzinfo=UTC)),
        (AUCKLAND, datetime(2026, 4, 4, 14, tzinfo=UTC)),
        (AUCKLAND, datetime(2026, 9, 26, 14, tzinfo=UTC)),
    ],
)
async def test_a_round_a_day_at_its_civil_hour(zone: ZoneInfo, change: datetime, make_stand: MakeStand) -> None:
    start = change - timedelta(hours=30)
    stand, said = make_stand(zone.key, start), Said()
    async with passing(start, zone, [round_job(stand, said)]) as time:
        await time.until(start + timedelta(days=3))
    assert [f"{at.astimezone(zone):%H:%M}" for at, _ in said.told] == ["08:00"] * 3
    assert said.sentences[0] == "The round of 08:00 is due: 2 clocks to read; r begins it."
    assert said.rung == 3


async def test_a_round_that_began_while_the_computer_slept_is_due_still(make_stand: MakeStand) -> None:
    friday = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
    stand, said = make_stand("Europe/London", friday, open_days="Mon-Fri"), Said()
    async with passing(friday, LONDON, [round_job(stand, said)]) as time:
        await time.sleep_until(datetime(2026, 11, 23, 8, 40, tzinfo=UTC))
        await time.until(datetime(2026, 11, 23, 12, 0, tzinfo=UTC))
        assert said.sentences == ["The round of 08:00 is due since the computer slept: 2 clocks to read; r begins it."]
        await time.until(datetime(2026, 11, 24, 9, 0, tzinfo=UTC))
    assert len(said.told) == 2


async def test_a_round_slept_through_whole_is_not_made_up(make_stand: MakeStand) -> None:
    thursday = datetime(2026, 11, 19, 18, 0, tzinfo=UTC)
    stand, said = make_stand("Europe/London", thursday), Said()
    async with passing(thursday, LONDON, [round_job(stand, said)]) as time:
        await time.sleep_until(datetime(2026, 11, 20, 19, 0, tzinfo=UTC))
    assert said.told == []


async def test_an_empty_stand_has_no_round(make_stand: MakeStand) -> None:
    start = datetime(2026, 11, 20, 7, 0, tzinfo=UTC)
    stand, said = make_stand("Europe/London", start), Said()
    job = RoundJob(lambda: stand.shop.rounds, clocks=lambda: 0, clock=utc_now, tell=said)
    async with passing(start, LONDON, [job]) as time:
        await time.until(start + timedelta(days=2))
    assert said.told == []
