"""The program as a process: pipes, interrupts, terminals, completion, the demo."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.conftest import Program
from tests.shop import NOW, morning, write_ledger

BASE = [sys.executable, "-m", "standwatch"]


def many(program: Program, clocks: int = 60, days: int = 3) -> Path:
    folder = program.book.parent / "ledger"
    tags = [f"T{n}" for n in range(clocks)]
    rows = [{"at": morning(d), "tag": tag, "error_s": d} for tag in tags for d in range(days)]
    return write_ledger(folder, [{"tag": tag, "kind": "mantel"} for tag in tags], rows)


def test_a_closed_pipe_is_no_error(program: Program) -> None:
    program("import", many(program))
    started = subprocess.Popen(
        [*BASE, "--book", str(program.book), "--now", NOW.isoformat(), "status", "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert started.stdout is not None
    assert started.stderr is not None
    started.stdout.close()
    said = started.stderr.read()
    started.stderr.close()
    assert started.wait(timeout=60) == 0
    assert said == b""


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_disk_is_said(program: Program) -> None:
    program("import", many(program, clocks=3))
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        told = subprocess.run(
            [*BASE, "--book", str(program.book), "--now", NOW.isoformat(), "status"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert told.returncode == 4
    assert "can't be written" in told.stderr
    assert "Traceback" not in told.stderr


def test_ctrl_c_leaves_the_book_whole(program: Program) -> None:
    program("clock", "add", "T0", "--kind", "mantel")
    before = program("status", "--json").out
    folder = many(program, clocks=200, days=100)
    started = subprocess.Popen(
        [*BASE, "--book", str(program.book), "--now", NOW.isoformat(), "import", str(folder)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    time.sleep(1.2)
    started.send_signal(signal.SIGINT)
    _, err = started.communicate(timeout=60)
    assert started.returncode in {0, 4, 130}, err
    assert "Traceback" not in err
    if started.returncode != 0:
        assert program("status", "--json").out == before
    assert "the book is whole" in program("selfcheck").out


def test_progress_is_for_a_terminal_only(program: Program) -> None:
    assert program("import", many(program)).err == ""


def test_the_screens_need_a_terminal(program: Program) -> None:
    for words, instead in (([], "standwatch status"), (["demo"], "standwatch demo --print")):
        told = subprocess.run(
            [*BASE, "--book", str(program.book), *words],
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            check=False,
        )
        assert told.returncode == 2
        assert instead in told.stderr
    assert not program.book.exists()


def test_completion_scripts_and_tags(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    for shell in ("bash", "zsh", "fish"):
        assert "_STANDWATCH_COMPLETE" in program("completion", shell).out
    told = subprocess.run(
        BASE,
        capture_output=True,
        text=True,
        check=False,
        env={
            **os.environ,
            "_STANDWATCH_COMPLETE": "bash_complete",
            "COMP_WORDS": "standwatch checkin ",
            "COMP_CWORD": "2",
            "STANDWATCH_BOOK": str(program.book),
        },
    )
    assert "plain,T1" in told.stdout


def test_the_demo_prints_the_stand(program: Program) -> None:
    told = program("demo", "--print", now=None)
    lines = told.out.splitlines()
    assert "Fri 20 Nov 2026 08:20" in lines[0]
    rows = lines[lines.index(next(line for line in lines if line.startswith("SLOT"))) + 1 :]
    assert len(rows) == 16
    for word in ("attention", "ready", "on-test", "ran out", "stopped"):
        assert word in told.out
    assert program("demo", "--print", now=None).out == told.out
    assert not program.book.exists()


def test_the_stand_opens_in_a_terminal_and_leaves_on_q(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    pid, terminal = pty.fork()
    if pid == 0:  # pragma: no cover  # the child becomes the program
        os.environ.update(TERM="xterm-256color", COLUMNS="80", LINES="24")
        os.execv(sys.executable, [*BASE, "--book", str(program.book)])  # noqa: S606  # no shell is meant
    shown = b""
    until = time.monotonic() + 20
    os.set_blocking(terminal, False)
    sent = False
    while time.monotonic() < until:
        try:
            shown += os.read(terminal, 65536)
        except BlockingIOError:
            time.sleep(0.05)
        except OSError:
            break
        if b"T1" in shown and not sent:
            os.write(terminal, b"q")
            sent = True
    _, status = os.waitpid(pid, 0)
    assert sent, shown[-500:]
    assert os.waitstatus_to_exitcode(status) == 0
