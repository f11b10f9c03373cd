"""What the open stand takes of the processor while nobody touches it: `python -m tests.bench.idle [--seconds 60]`.

The demo's sixteen clocks and a stand of 300, each in a pseudo-terminal, against a bare Textual app that draws the time
once a second in the same run. The goal is 2 % of one core. Linux only: it reads /proc.
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
from pathlib import Path

from tests.bench.first_paint import make_book

GOAL = 0.02
_SETTLES = 20.0
"""Seconds until everything is worked out and painted."""
_BARE = """
from datetime import datetime
from textual.app import App
from textual.widgets import Static

class Bare(App):
    def compose(self):
        yield Static()

    def on_mount(self):
        self.set_interval(1.0, lambda: self.query_one(Static).update(f"{datetime.now():%H:%M:%S}"))

Bare().run()
"""


def share(command: Sequence[str], seconds: float) -> float:
    """The share of one core that `command` takes in its own terminal, once it has settled."""
    child, terminal = pty.fork()
    if child == 0:
        os.environ.update(TERM="xterm-256color", COLORTERM="truecolor")
        os.execv(command[0], list(command))  # noqa: S606  # its own program in its own terminal
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 36, 120, 0, 0))
    try:
        _read_for(terminal, _SETTLES)
        before = _cpu_seconds(child)
        begun = time.perf_counter()
        _read_for(terminal, seconds)
        return (_cpu_seconds(child) - before) / (time.perf_counter() - begun)
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(terminal)


def _read_for(terminal: int, seconds: float) -> None:
    end = time.perf_counter() + seconds
    while (left := end - time.perf_counter()) > 0:
        if select.select([terminal], [], [], min(left, 0.5))[0]:
            os.read(terminal, 65536)


def _cpu_seconds(process: int) -> float:
    fields = Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def main() -> None:
    """Print each share and the goal."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=60.0)
    seconds = parser.parse_args().seconds
    with tempfile.TemporaryDirectory() as folder:
        book = make_book(Path(folder), clocks=300, readings=60)
        program = (sys.executable, "-m", "standwatch")
        commands: dict[str, Sequence[str]] = {
            "bare app with a clock, once a second": (sys.executable, "-c", _BARE),
            "demo, 16 clocks": (*program, "demo"),
            "300 clocks x 60 readings": (*program, "--book", str(book)),
        }
        for name, command in commands.items():
            print(f"{name:40} {100 * share(command, seconds):.2f} % of one core")
    print(f"{'goal':40} {100 * GOAL:.2f} %")


if __name__ == "__main__":
    main()
