"""A short round in a real terminal: no key is lost, and what was shown as read outlives a kill."""

from __future__ import annotations

import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

from standwatch.bootstrap import open_stand
from standwatch.model.facts import CheckIn
from tests.bench.round_keys import figure_now, make_book, read_round
from tests.bench.terminal import Terminal


def readings(path: Path, since: datetime) -> list[CheckIn]:
    with closing(open_stand(path)) as stand:
        facts = [record.body for clock in stand.clocks() for record in stand.facts(clock.body.tag)]
    return [fact for fact in facts if fact.at >= since and fact.dial is not None]


def test_a_round_through_a_terminal_loses_no_key(tmp_path: Path) -> None:
    keys, kept, _ = read_round(make_book(tmp_path / "book.sqlite", 6), 6)
    assert (keys, kept) == (12, 6)


def test_keys_that_come_faster_than_the_screen_are_all_taken(tmp_path: Path) -> None:
    path = make_book(tmp_path / "book.sqlite", 6)
    begun = datetime.now(UTC) - timedelta(seconds=1)
    with Terminal([sys.executable, "-m", "standwatch", "--book", str(path)]) as terminal:
        terminal.wait_for("read 0 of 6")
        terminal.press("r")
        terminal.wait_for("READ NOW")
        for _ in range(6):
            terminal.press(" " + figure_now())
        terminal.wait_for("the end of the round")
        terminal.press(" ")
        terminal.wait_for("THE ROUND IS DONE")
        terminal.press("\r")
        terminal.wait_for("STAND")
        terminal.press("q")
        terminal.quiet(1.0)
    told = readings(path, begun)
    assert sorted(fact.tag for fact in told) == [f"K{n}" for n in range(6)]


def test_a_kill_in_the_middle_loses_nothing_that_was_kept(tmp_path: Path) -> None:
    path = make_book(tmp_path / "book.sqlite", 4)
    begun = datetime.now(UTC) - timedelta(seconds=1)
    with Terminal([sys.executable, "-m", "standwatch", "--book", str(path)]) as terminal:
        terminal.wait_for("read 0 of 4")
        terminal.press("r")
        terminal.wait_for("READ NOW")
        for n in range(2):
            terminal.press(" " + figure_now())
            terminal.wait_for(f"{n + 1} of 4")
            terminal.wait_for("wind")  # what follows is told once the fact is in the book
        terminal.press(" ")
        terminal.wait_for("0 to 9")
        terminal.kill()
    assert sorted(fact.tag for fact in readings(path, begun)) == ["K0", "K1"]
    with Terminal([sys.executable, "-m", "standwatch", "--book", str(path)]) as terminal:
        terminal.wait_for("read 2 of 4")
        terminal.press("r")
        terminal.wait_for("READ NOW")
        assert "3 of 4" in terminal.text, "it goes on where it was left"
