"""The first tag on the screen of a real terminal: `python -m tests.bench.first_paint [--runs 5]`.

The stand of 300 clocks with 60 check-ins each, against a bare Textual app with a DataTable of 300 rows that reads
nothing. Both are started as programs in a pseudo-terminal of 120x36 cells, in turn; the clock stops when a terminal
(pyte) shows the first tag. The goal is a ratio of 1.5.
"""

from __future__ import annotations

import argparse
import fcntl
import os
import pty
import select
import signal
import struct
import sys
import tempfile
import termios
import time
from collections.abc import Sequence
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from statistics import median

import pyte

from standwatch.horology.limits import PossibleAsOf
from standwatch.store import open_book
from tests.bench.import_rows import write_ledger

GOAL = 1.5
_BARE = """
from textual.app import App
from textual.widgets import DataTable

class Bare(App):
    def compose(self):
        yield DataTable()

    def on_mount(self):
        table = self.query_one(DataTable)
        table.add_columns(*"SLOT TAG KIND NEXT ERROR RATE SWING LEFT CHIME STANDING".split())
        for n in range(300):
            table.add_row(f"A{n}", f"C{n}", "longcase", "read", "0:14 fast", "+6.2", "31%", "1d20h", "in", "on test")

Bare().run()
"""


def make_book(folder: Path, *, clocks: int, readings: int) -> Path:
    """A book of longcases read once a day."""
    write_ledger(folder, clocks=clocks, readings=readings)
    now = datetime.now(UTC)
    with closing(open_book(folder / "book.sqlite")) as book:
        book.import_ledger([folder], check=PossibleAsOf(now), at=now, dry_run=False, progress=lambda _rows: None)
    return folder / "book.sqlite"


def seconds_to(text: str, command: Sequence[str], *, most: float = 60.0) -> float:
    """Seconds from starting `command` in a terminal until its screen shows `text`; the program is then ended."""
    screen = pyte.Screen(120, 36)
    stream = pyte.ByteStream(screen)
    begun = time.perf_counter()
    child, terminal = pty.fork()
    if child == 0:
        os.environ.update(TERM="xterm-256color", COLORTERM="truecolor")
        os.execv(command[0], list(command))  # noqa: S606  # its own program in its own terminal
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 36, 120, 0, 0))
    try:
        while time.perf_counter() - begun < most:
            if select.select([terminal], [], [], 0.2)[0]:
                stream.feed(os.read(terminal, 65536))
                if any(text in row for row in screen.display):
                    return time.perf_counter() - begun
        raise TimeoutError(f"{command[-1]} did not show {text!r} in {most:.0f} s")
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(terminal)


def main() -> None:
    """Print both times, their ratio and the goal."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--clocks", type=int, default=300)
    parser.add_argument("--readings", type=int, default=60)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        book = make_book(Path(name), clocks=asked.clocks, readings=asked.readings)
        bare = Path(name) / "bare.py"
        bare.write_text(_BARE)
        ours: list[float] = []
        theirs: list[float] = []
        for _ in range(asked.runs):
            theirs.append(seconds_to("C1 ", [sys.executable, str(bare)]))
            ours.append(seconds_to("C1 ", [sys.executable, "-m", "standwatch", "--book", str(book)]))
    ratio = median(ours) / median(theirs)
    print(f"stand of {asked.clocks} clocks x {asked.readings} check-ins: first tag after {median(ours):.3f} s")
    print(f"bare table of 300 rows:                first cell after {median(theirs):.3f} s")
    print(f"ratio {ratio:.2f}, goal {GOAL} or less ({asked.runs} runs each, medians)")


if __name__ == "__main__":
    main()
