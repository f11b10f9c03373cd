"""Those who went home since January, as the demo shows them: let go by the program, called about, come back."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from standwatch.bootstrap import DEMO_BEGINS, demo, need_stand
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.words import Outcome, Requirement
from standwatch.service.stand import Stand
from tests.demo.make import SEED, archive, jobs


@pytest.fixture(scope="module")
def stand() -> Iterator[Stand]:
    """The demo's own stand."""
    with demo() as (book, _):
        opened = need_stand(book)
        yield opened
        opened.close()


def test_the_sixteen_are_on_the_stand_and_nobody_else(stand: Stand) -> None:
    on_stand = {job.tag for job in jobs(SEED)}
    assert {found.tag for found in stand.view(DEMO_BEGINS).assessments} == on_stand
    assert {record.body.tag for record in stand.clocks()} == on_stand | {job.tag for job in archive(SEED)}


def test_each_release_is_whole_and_nothing_was_let_go_unproved(stand: Stand) -> None:
    told = stand.selfcheck()
    assert (told.releases, told.problems) == (10, ())
    waived = {}
    for job in archive(SEED):
        [record] = stand.releases(job.tag)
        assert (record.rules, record.shop, record.clock.owner) == ("2", "Larkspur Yard Clocks", job.columns["owner"])
        assert {each.outcome for each in record.outcomes} <= {Outcome.MET, Outcome.NOT_APPLICABLE, Outcome.WAIVED}
        waived[job.tag] = [each.name for each in record.outcomes if each.outcome is Outcome.WAIVED]
    oil, spread = [Requirement.OIL], [Requirement.DAY_RANGE]
    assert {tag: names for tag, names in waived.items() if names} == {"2317": oil, "2346": oil, "2359": spread}


def test_delivered_shows_who_went_what_was_said_and_who_came_back(stand: Stand) -> None:
    gone = {each.tag: each for each in stand.after.gone_home(DEMO_BEGINS)}
    assert list(gone) == [job.tag for job in reversed(archive(SEED))]  # the latest first: every call is made
    assert {tag: each.called_back for tag, each in gone.items() if each.called_back} == {
        "2311": ("user",),
        "2333": ("set-up",),
        "2346": ("mechanical",),
    }
    assert all(each.in_warranty for each in gone.values())
    assert all(each.error_s is not None or each.stopped for each in gone.values())
    assert all(each.said and each.left for each in gone.values())
    assert gone["2359"].error_s == stand.after.times_there("2359", DEMO_BEGINS)[-1].error_s  # read at home in September


def test_what_was_told_there_was_foreseen(stand: Stand) -> None:
    """The clocks are simulated, their moves too: of 95 % intervals one or two may miss."""
    told = [each for job in archive(SEED) for each in stand.after.times_there(job.tag, DEMO_BEGINS)]
    known = [(each.error_s, each.expected) for each in told if isinstance(each.expected, Quantity)]
    assert len(known) >= 9
    assert sum(not each.low <= error <= each.high for error, each in known) <= 2


def test_call_back_rates_of_so_few_say_how_little_they_tell(stand: Stand) -> None:
    jobs_done = stand.after.callback_rates(DEMO_BEGINS).jobs
    assert len(jobs_done) == 10
    assert sum(bool(job.codes) for job in jobs_done) == 3
    assert sum(job.first_fault is not None for job in jobs_done) == 2  # the user's own isn't the repair's


def test_one_on_the_stand_was_here_before(stand: Stand) -> None:
    assert [job.tag for job in stand.earlier_jobs("2411")] == ["2346"]
    assert [job.tag for job in stand.later_jobs("2346")] == ["2411"]


def test_the_ready_longcase_goes_to_a_lower_house(stand: Stand) -> None:
    """96 m lower in one latitude: +1.36 s/day for each 100 m of free air (common practice, from memory)."""
    home = stand.home("2398", DEMO_BEGINS)
    assert isinstance(home.site_s_per_day, Quantity)
    assert home.site_s_per_day.estimate == pytest.approx(0.96 * 1.36, abs=0.02)
    assert isinstance(home.error_s, Quantity)
    assert home.follow_ups >= 7
    assert isinstance(home.room_s_per_day, NotYetKnown)


def test_so_few_of_a_kind_teach_nothing_but_their_moves(stand: Stand) -> None:
    learned = stand.learned(DEMO_BEGINS)
    assert not learned.noise
    assert not learned.springs
    assert learned.winding is None
