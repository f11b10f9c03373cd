"""Several programs on one book, and programs that end in the middle: nothing acknowledged is lost, nothing is half."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest

from standwatch.model.errors import BookUnusable
from standwatch.model.records import Draft
from standwatch.store import SqliteBook, open_book
from tests.store.shelf import NOW, bring, clock, ledger, reading

ROOT = Path(__file__).parents[2]

APPEND = """
import sys
from pathlib import Path
from standwatch.model.records import Draft
from standwatch.store import open_book
from tests.store.shelf import NOW, reading
book = open_book(Path(sys.argv[1]))
print("ready", flush=True)
for number in range(int(sys.argv[3])):
    book.append([Draft(reading(2, error_s=number), id=f"{sys.argv[2]}{number}")], at=NOW)
    print(number, flush=True)
"""

IMPORT = """
import signal
import sys
import time
from pathlib import Path
from standwatch.store import open_book
from tests.store.shelf import NOW, check
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background job would ignore it
book = open_book(Path(sys.argv[1]))
def tell(rows):
    if rows >= 1500:
        print("under way", flush=True)
        time.sleep(60)  # in the midst of it, until it is broken off
book.import_ledger([Path(sys.argv[2])], check=check, at=NOW, dry_run=False, progress=tell)
print("done", flush=True)
"""


def start(program: str, *arguments: object) -> subprocess.Popen[str]:
    """A Python process that runs `program`."""
    return subprocess.Popen(
        [sys.executable, "-c", program, *map(str, arguments)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def heard(process: subprocess.Popen[str]) -> str:
    """The next line that it prints."""
    assert process.stdout is not None
    return process.stdout.readline().strip()


def many_rows(folder: Path) -> Path:
    rows = "".join(
        f"2026-10-{day:02}T{hour:02}:{minute:02}:00+00:00,L1,1\n"
        for day in range(1, 16)
        for hour in range(24)
        for minute in range(60)
    )
    return ledger(folder, checkins=f"at,tag,error_s\n{rows}")


def test_two_programs_that_write_at_once_lose_nothing(book: SqliteBook) -> None:
    book.append([clock()], at=NOW)
    seen = book.version()
    writers = [start(APPEND, book.path, name, 40) for name in "ab"]
    for writer in writers:
        _, said = writer.communicate(timeout=60)
        assert writer.returncode == 0, said
    assert {record.id for record in book.check_ins("L1")} == {f"{name}{n}" for name in "ab" for n in range(40)}
    assert book.version() == seen + 80
    assert book.touched(seen) == frozenset({"L1"})
    assert book.selfcheck() == []


def test_what_another_program_writes_is_seen(book: SqliteBook) -> None:
    book.append([clock()], at=NOW)
    seen = book.version()
    writer = start(APPEND, book.path, "a", 1)
    _, said = writer.communicate(timeout=60)
    assert writer.returncode == 0, said
    assert book.version() > seen
    assert [record.id for record in book.check_ins("L1")] == ["a0"]


def test_killed_after_many_acknowledged_writes(book: SqliteBook) -> None:
    book.append([clock()], at=NOW)
    writer = start(APPEND, book.path, "a", 100_000)
    assert heard(writer) == "ready"
    last = -1
    while last < 60:
        last = int(heard(writer))
    with writer:
        writer.kill()  # as kill -9 does
        assert writer.stdout is not None
        rest = writer.stdout.read()  # what was read ahead of the last line included, which communicate() would lose
    last = max([last, *(int(line) for line in rest.splitlines(keepends=True) if line.endswith("\n"))])
    kept = [record.id for record in book.check_ins("L1")]
    assert kept[: last + 1] == [f"a{n}" for n in range(last + 1)]
    assert len(kept) <= last + 2  # one may have been written and not yet told
    assert book.selfcheck() == []


@pytest.mark.parametrize("ending", [signal.SIGINT, signal.SIGKILL])
def test_an_import_that_is_broken_off_leaves_the_book_as_it_was(
    book: SqliteBook, tmp_path: Path, ending: signal.Signals
) -> None:
    book.append([clock("Z1"), Draft(reading(2, "Z1", error_s=1))], at=NOW)
    seen = book.version()
    folder = many_rows(tmp_path / "in")
    process = start(IMPORT, book.path, folder)
    assert heard(process) == "under way"
    process.send_signal(ending)
    told, said = process.communicate(timeout=60)
    assert "done" not in told
    assert process.returncode != 0
    assert ("KeyboardInterrupt" in said) == (ending is signal.SIGINT)
    assert book.version() == seen
    assert book.selfcheck() == []
    assert bring(book, ledger(tmp_path / "small", checkins="at,tag\n2026-11-02T08:00:00+00:00,L1\n")).added == {
        "clocks.csv": 4,
        "checkins.csv": 1,
    }


def test_a_book_locked_longer_than_we_wait(book: SqliteBook) -> None:
    impatient = open_book(book.path, busy_s=0.2)
    with closing(sqlite3.connect(book.path, isolation_level=None)) as holder:
        holder.execute("BEGIN EXCLUSIVE")
        began = time.monotonic()
        with pytest.raises(BookUnusable, match=r"locked by another program for over 0\.2 s"):
            impatient.append([clock()], at=NOW)
        assert 0.15 < time.monotonic() - began < 3
        assert impatient.clocks() == []  # reading goes on
        holder.execute("ROLLBACK")
    impatient.append([clock()], at=NOW)
    assert len(book.clocks()) == 1
    impatient.close()


def test_a_lock_that_goes_in_time_is_waited_for(book: SqliteBook) -> None:
    book.append([clock()], at=NOW)
    with book.writing():
        writer = start(APPEND, book.path, "a", 1)
        assert heard(writer) == "ready"
        time.sleep(0.3)
        book.append([Draft(reading(2, error_s=7))], at=NOW)
    _, said = writer.communicate(timeout=60)
    assert writer.returncode == 0, said
    assert [record.body.error_s for record in book.check_ins("L1")] == [7, 0]


def test_nobody_comes_between_reading_and_writing(book: SqliteBook) -> None:
    other = open_book(book.path, busy_s=0.1)
    with book.writing():
        assert book.clocks() == []
        with pytest.raises(BookUnusable):
            other.append([clock()], at=NOW)
        book.append([clock()], at=NOW)
        assert other.clocks() == []
    assert len(other.clocks()) == 1
    other.close()


def test_two_programs_that_make_the_same_book_at_once(tmp_path: Path) -> None:
    path = tmp_path / "new.db"
    open_both = (
        "import sys; from pathlib import Path; from standwatch.store import open_book; open_book(Path(sys.argv[1]))"
    )
    makers = [start(open_both, path) for _ in range(3)]
    for maker in makers:
        _, said = maker.communicate(timeout=60)
        assert maker.returncode == 0, said
    with closing(open_book(path)) as made:
        assert made.selfcheck() == []
