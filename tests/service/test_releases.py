"""A release stands as it was made, whatever comes later; and of two that make one, one does."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from datetime import timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standwatch.model.errors import Refused, StandwatchError
from standwatch.model.words import Outcome, Requirement
from standwatch.service.stand import Stand
from tests.service.conftest import OpenStand
from tests.service.let_go import HOUR, book, copy_of, import_ready, let_go, let_go_once, open_at, texts
from tests.shop import NOW

__all__ = ["book", "let_go_once"]  # fixtures

EDITION_ONE = Path(__file__).parent / "edition_one"
"""A ledger exported by the program as it was before it had papers: R1 let go, reopened, let go again."""

# later facts, corrections, defaults, versions

LATER: list[Callable[[Stand, int], object]] = [
    lambda s, n: s.check_in({"tag": "R1", "error_s": n - 5.0}, NOW + n * HOUR),
    lambda s, n: s.check_in({"tag": "R1", "work": "nut", "amount": n, "at": NOW - n * HOUR}, NOW + HOUR),
    lambda s, n: s.correct(s.facts("R1")[n].id, {"error_s": str(n * 7)}, NOW + n * HOUR),
    lambda s, n: s.correct(s.facts("R1")[n].id, {"note": f"said {n}"}, NOW),
    lambda s, n: s.undo("R1", NOW + n * HOUR),
    lambda s, n: s.change_clock("R1", {"least_days": str(20 + n), "owner": f"owner {n}"}, NOW + n * HOUR),
    lambda s, n: s.set_settings({"regulator.mean_rate_limit": str(n + 1), "calls": "5;20", "shop": "Other"}, NOW),
    lambda s, n: s.reopen("R1", reason="hands rub", now=NOW + n * HOUR),
    lambda s, n: s.deliver("R1", {"at": NOW + n * HOUR, "error_s": n}, NOW + n * HOUR),
    lambda s, n: s.call("R1", {"reason": "well", "error_s": n}, NOW + n * HOUR),
    lambda s, n: let_go(s, by=f"second {n}", after=n * HOUR),
]


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(later=st.lists(st.tuples(st.sampled_from(LATER), st.integers(1, 9)), min_size=1, max_size=4))
def test_whatever_is_recorded_later_a_record_stays(
    let_go_once: Path, tmp_path: Path, later: list[tuple[Callable[[Stand, int], object], int]]
) -> None:
    path = copy_of(let_go_once, tmp_path)
    with closing(open_at(path)) as stand:
        [before] = texts(stand)
        for act, n in later:
            try:
                act(stand, n)
            except StandwatchError:
                continue  # what can't be, isn't: that is another test's
        assert texts(stand)[0] == before
        assert stand.selfcheck().problems == ()
        stand.since_release("R1", NOW + 30 * HOUR)
    for name in tmp_path.glob("copy.sqlite*"):
        name.unlink()


def test_each_thing_that_may_come_later_was_taken_once(book: Path) -> None:
    """The acts of the test above are no empty ones: each is taken by some book."""
    taken = 0
    for act in LATER:
        (book.parent / "one").mkdir(exist_ok=True)
        path = copy_of(book, book.parent / "one")
        with closing(open_at(path)) as stand:
            if act is LATER[9]:
                stand.deliver("R1", {"at": NOW}, NOW)
            if act is LATER[4]:
                stand.check_in({"tag": "R1", "error_s": 1}, NOW)
            if act is LATER[10]:
                stand.reopen("R1", reason="x", now=NOW)
            act(stand, 2)
            taken += 1
        for name in path.parent.glob("copy.sqlite*"):
            name.unlink()
    assert taken == len(LATER)


def test_a_record_of_the_first_edition_is_read_and_still_true(stand: Stand) -> None:
    stand.import_ledger([EDITION_ONE], NOW + 4 * HOUR)
    told = stand.selfcheck()
    assert (told.releases, told.problems) == (2, ())
    first, second = stand.releases("R1")
    assert (first.by, second.by, first.rules) == ("K. M.", "A. B.", "1")
    assert first.clock.owner == "Mrs Öberg"
    assert {each.name for each in first.outcomes} == set(Requirement)
    assert (first.home, first.readings, first.warranty_months) == (None, (), None)  # what it did not keep
    assert stand.released("R1", NOW + 4 * HOUR) == second
    assert stand.released("R1", NOW + HOUR) == first
    assert "judged by rules 1, now 2" in stand.since_release("R1", NOW + 4 * HOUR)


# what is other since


def test_what_changed_since_the_release_is_named(book: Path) -> None:
    with closing(open_at(book)) as stand:
        assert stand.since_release("R1", NOW) == ()
        stand.set_settings({"regulator.mean_rate_limit": "0.7", "warranty_months": "24", "calls": "10"}, NOW + HOUR)
        stand.change_clock("R1", {"owner": "E. Vane"}, NOW + HOUR)
        stand.check_in({"tag": "R1", "error_s": 6}, NOW + HOUR)
        stand.check_in({"tag": "R1", "work": "seen-going", "at": NOW - HOUR / 2}, NOW + HOUR)
        stand.correct(next(r for r in stand.facts("R1") if r.body.error_s == 0.2).id, {"error_s": "0.3"}, NOW + HOUR)
        told = stand.since_release("R1", NOW + 2 * HOUR)
        assert "mean-rate limit was 1, is 0.7 now (s/day)" in told
        assert "warranty was 12 months, is 24 now" in told
        assert "calls were on days 2 and 14, are on days 2 and 10 now" in told
        assert "of its columns owner has changed" in told
        assert (
            "3 facts since, one of them corrects a reading it stood on, one of them tells of the time before it" in told
        )
        assert len(told) == 5
        assert stand.since_release("R1", NOW) != told  # none of the later facts counts then


def test_a_fact_that_is_told_of_another_clock_now_is_named(book: Path) -> None:
    with closing(open_at(book)) as stand:
        safety = next(r for r in stand.facts("R1") if r.body.work == "safety-checked")
        stand.correct(safety.id, {"note": "J. Q."}, NOW)
        assert stand.since_release("R1", NOW) == ("1 fact since, which corrects a fact it stood on",)
        stand.correct(stand.facts("R1")[3].id, {"tag": "R2"}, NOW)
        assert "1 fact that it stood on is no longer told of it" in stand.since_release("R1", NOW)
        assert stand.selfcheck().problems == ()


def test_what_would_be_found_otherwise_now_is_named(book: Path) -> None:
    with closing(open_at(book)) as stand:
        stand.change_clock("R1", {"moon": "yes"}, NOW + HOUR)
        stand.check_in({"tag": "R1", "beat_error_pct": 9}, NOW + HOUR)
        applies, beat, columns, facts = sorted(stand.since_release("R1", NOW + HOUR), key=_subject)
        assert applies == "moon did not apply, and does now"
        assert beat.startswith("beat was met, and is missed by what is told now: 9.0 % on Fri 20 Nov")
        assert columns == "of its columns moon has changed"
        assert facts == "1 fact since"
        stand.set_settings({"regulator.mean_rate_limit": "0.6"}, NOW + HOUR)
        stand.change_clock("R1", {"mean_rate_limit": "2"}, NOW + HOUR)  # the clock's own is asked, not the shop's
        assert "mean-rate limit was 1, is 2 now (s/day)" in stand.since_release("R1", NOW + HOUR)


def _subject(told: str) -> int:
    return [told.startswith(first) for first in ("moon", "beat", "of its", "1 fact")].index(True)


def test_what_was_told_from_its_owner_is_a_fact_since(book: Path) -> None:
    with closing(open_at(book)) as stand:
        stand.deliver("R1", {"at": NOW}, NOW)
        later = NOW + 14 * 24 * HOUR
        stand.call("R1", {"reason": "goes well", "error_s": 4}, later)
        stand.check_in({"tag": "R1", "error_s": 5}, later)
        assert stand.since_release("R1", later) == ("3 facts since",)
        assert stand.released("R1", later).by == "K. M."


def test_another_version_says_so(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with closing(open_at(book)) as stand:
        before = texts(stand)
        monkeypatch.setattr("standwatch.service.release.since_release.RULES", "3")
        monkeypatch.setattr("standwatch.service.release.since_release.__version__", "9.9")
        told = stand.since_release("R1", NOW)
        assert told == ("judged by rules 2, now 3", f"released by version {stand.releases('R1')[0].program}, now 9.9")
        assert texts(stand) == before
        assert stand.selfcheck().problems == ()


def test_a_release_by_another_zones_clock_is_the_same(stand: Stand, tmp_path: Path) -> None:
    """The record's time is that of its step, whatever offset the time came with."""
    import_ready(stand, tmp_path)
    stand.release("R1", by="K. M.", waive={"oil": "x"}, now=NOW.astimezone(timezone(5 * HOUR)))
    assert [record.at.utcoffset() for record in stand.releases("R1")] == [timedelta()]
    assert stand.releases("R1")[0].at == NOW
    assert stand.selfcheck().problems == ()


def test_nothing_is_other_of_a_clock_that_was_never_let_go(stand: Stand, tmp_path: Path) -> None:
    import_ready(stand, tmp_path)
    assert stand.since_release("R1", NOW) == ()
    assert stand.releases("R1") == ()
    with pytest.raises(Refused, match="standwatch release R1"):
        stand.released("R1", NOW)


# reopened, and let go again


def test_reopening_keeps_the_old_release_and_its_evidence_but_not_its_waivers(book: Path) -> None:
    with closing(open_at(book)) as stand:
        [first] = texts(stand)
        held = stand.assess("R1", NOW).days_held
        stand.reopen("R1", reason="hands rub", now=NOW + HOUR)
        assert stand.assess("R1", NOW + HOUR).days_held == held
        with pytest.raises(Refused, match="oil not yet known"):
            stand.release("R1", by="A. B.", waive={}, now=NOW + 2 * HOUR)
        let_go(stand, by="A. B.", after=2 * HOUR)
        assert texts(stand)[0] == first
        old, new = stand.releases("R1")
        assert (old.by, new.by) == ("K. M.", "A. B.")
        assert len(new.facts) == len(old.facts) + 2  # the first release and its reopening
        oil = next(each for each in new.outcomes if each.name is Requirement.OIL)
        assert (oil.outcome, oil.found) == (Outcome.WAIVED, Outcome.NOT_YET_KNOWN)
        assert stand.selfcheck().problems == ()


# two terminals, and one that dies

_RELEASES = """
import os, signal, sys
from datetime import datetime
from pathlib import Path
from standwatch.service.stand import Stand
from standwatch.store import open_book

path, now, die_at = Path(sys.argv[1]), datetime.fromisoformat(sys.argv[2]), sys.argv[3]
book = open_book(path)
stand = Stand(book, computer_zone=lambda: "Europe/London")

def watch(statement):
    if statement.startswith(die_at):
        os.kill(os.getpid(), signal.SIGKILL)

book._db.conn.set_trace_callback(watch)
stand.release("R1", by="K. M.", waive={"oil": "looked at in March"}, now=now)
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="nothing kills so here")
@pytest.mark.parametrize("statement", ["INSERT INTO waivers", "INSERT INTO handovers", "COMMIT"])
def test_a_release_that_dies_leaves_nothing_and_can_be_made_again(
    open_stand: OpenStand, tmp_path: Path, statement: str
) -> None:
    stand = open_stand()
    import_ready(stand, tmp_path)
    words = [sys.executable, "-c", _RELEASES, str(stand.book_path), NOW.isoformat(), statement]
    died = subprocess.run(words, capture_output=True, text=True, timeout=60, check=False, env=dict(os.environ))
    assert died.returncode == -signal.SIGKILL, died.stderr
    again = open_stand()
    assert again.steps("R1") == ()
    assert again.assess("R1", NOW).verdict(Requirement.OIL).outcome is Outcome.NOT_YET_KNOWN
    assert again.selfcheck().problems == ()
    let_go(again)
    assert len(stand.releases("R1")) == 1


def test_who_comes_second_is_told_who_let_it_go_and_when(open_stand: OpenStand, tmp_path: Path) -> None:
    one, two = open_stand(), open_stand()
    import_ready(one, tmp_path)
    two.assess("R1", NOW)  # both have it on their screens
    let_go(one)
    with pytest.raises(Refused, match=r"R1 is released already: K\. M\. let it go on Fri 20 Nov 2026 09:00"):
        let_go(two, by="A. B.", after=HOUR)
    one.deliver("R1", {"at": NOW}, NOW)
    with pytest.raises(Refused, match=r"R1 is delivered already: K\. M\. let it go"):
        let_go(two, by="A. B.", after=HOUR)
