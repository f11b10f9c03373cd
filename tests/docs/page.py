"""A page as a reader follows it: its commands in order, what it shows of each, on the book that it names.

A page that tells commands says once, in a comment, on which book they are typed and when:

    <!-- book: demo, 2026-11-20T08:20 -->         the demo shop on its Friday morning
    <!-- book: empty, 2026-11-23T08:00 -->        none yet
    <!-- from here: 2026-12-04T09:00 -->          time has gone on

In a fenced block each line is a command. Where lines begin with `$ `, those are the commands, and what stands below one
is all that it prints; `…` in a line stands for anything, and as a line of its own for any lines. A command that is
refused shows its refusal, or says `# refused` at its end. `ID` stands for the id printed last. `ls FOLDER` lists a
folder's files.
"""

from __future__ import annotations

import io
import re
import shlex
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

from standwatch.bootstrap import house
from standwatch.cli.main import run

ROOT = Path(__file__).parents[2]
PAGES = sorted(path for path in [ROOT / "README.md", *(ROOT / "docs").glob("*.md")])
_BOOK = re.compile(r"<!-- book: (demo|empty), (\S+) -->")
_MARK = re.compile(r"<!-- (?:book: \w+,|from here:) (\S+) -->|^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
REFUSED = {3, 4, 5}


@dataclass(frozen=True)
class Typed:
    """One command of a page: its line, when it is typed, what is shown of it (None: nothing), whether it is refused."""

    line: str
    now: str
    shown: str | None
    refused: bool

    @property
    def words(self) -> list[str]:
        """The command's words, as a shell has them."""
        return shlex.split(self.line, comments=True)


def book_of(text: str) -> tuple[str, str] | None:
    """Which book the page's commands are typed on, and when; None where it tells none."""
    found = _BOOK.search(text)
    return None if found is None else (found[1], found[2])


def typed(text: str) -> Iterator[Typed]:
    """The commands of ours that a page tells, in order."""
    now = ""
    for mark in _MARK.finditer(text):
        if mark[1]:
            now = mark[1]
        elif not mark[2]:
            yield from _in_block(mark[3], now)


def _in_block(block: str, now: str) -> Iterator[Typed]:
    if block.startswith("$ "):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            line, _, shown = part.partition("\n")
            yield Typed(line, now, shown, "standwatch: " in shown)
        return
    for line in block.splitlines():
        if line.startswith("standwatch "):
            yield Typed(line, now, None, "# refused" in line)


def said(command: Typed, book: Path, last_id: str = "") -> tuple[int, str]:
    """The exit code of `command` on `book`, and all that it prints; `last_id` stands in for its `ID`."""
    out = io.StringIO()
    program, *words = (last_id if word == "ID" else word for word in command.words)
    if program == "ls":
        return 0, "".join(f"{path.name}\n" for path in sorted(Path(words[0]).iterdir()))
    assert program == "standwatch", command.line
    with redirect_stdout(out), redirect_stderr(out):
        code = run(house(), ["--book", str(book), "--now", command.now, *words])
    return code, "".join(f"{line.rstrip()}\n" for line in out.getvalue().splitlines())


def last_id_in(printed: str, before: str) -> str:
    """The id that `printed` tells last; `before` where it tells none."""
    found = re.findall(r"(?:recorded |  \()([2-9a-z]{12})\b", printed)
    return found[-1] if found else before


def as_shown(shown: str, printed: str) -> bool:
    """Whether `printed` is what the page shows, `…` standing for anything."""
    lines = []
    for line in shown.rstrip().splitlines():
        rest = ".*".join(re.escape(part) for part in line.rstrip().split("…"))
        lines.append(r"(?:.*\n)*?" if line.strip() == "…" else rf"{rest}\n")
    return re.fullmatch("".join(lines), printed) is not None
