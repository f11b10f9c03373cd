"""Each example that a command's help ends with is typed, word for word, on the demo shop's book."""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from standwatch.bootstrap import demo
from standwatch.cli.main import root
from tests.cli.conftest import Program

FRIDAY = "2026-11-20T08:20+00:00"
LATER = "2026-12-08T10:00+00:00"
LET_GO = 'release 2398 --by "K. M."'
SENT_HOME = "deliver 2398 --at 2026-11-24T15:00"
BEFORE = {
    "reopen": (LET_GO,),
    "deliver": (LET_GO,),
    "call": (LET_GO, SENT_HOME),
    "callback": (LET_GO, SENT_HOME),
    "callback-rates": (LET_GO, SENT_HOME),
    "papers": (LET_GO,),
    "import": ("export ledger/",),
    "restore": ("backup /media/stick/book-2026-11-20.sqlite",),
}
"""What must have been done before an example."""
REFUSED = {"correct": (4, "no fact's id begins with '7f3a'")}
"""An id is the book's own, so that no example can have a real one."""


def examples() -> Iterator[tuple[str, str]]:
    """The name of each command and each line of its example."""
    context = click.Context(root)
    for name in root.list_commands(context):
        command = root.get_command(context, name)
        several = command.commands.items() if isinstance(command, click.Group) else [("", command)]
        for sub, each in several:
            for line in getattr(each, "example", "").splitlines():
                yield f"{name} {sub}".strip(), line


@pytest.fixture(scope="module")
def demo_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo shop's book."""
    kept = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    with demo() as (book, _begins):
        shutil.copy(book, kept)
    return kept


@pytest.mark.parametrize("example", list(examples()), ids=lambda example: example[1])
def test_an_example_does_what_it_says(
    example: tuple[str, str], demo_book: Path, program: Program, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    name, line = example
    monkeypatch.chdir(tmp_path)
    shutil.copy(demo_book, program.book)
    (tmp_path / "stick").mkdir()

    def words(text: str) -> list[str]:
        return shlex.split(text.replace("/media/stick", str(tmp_path / "stick")))

    for before in BEFORE.get(name, ()):
        program(*words(before), now=FRIDAY if before.startswith("release") else LATER)
    inner = re.fullmatch(r'eval "\$\((.*)\)"', line)
    said = words(inner[1] if inner else line)
    assert said[0] == "standwatch"
    code, because = REFUSED.get(name, (0, ""))
    gone = name == "deliver" or SENT_HOME in BEFORE.get(name, ())
    told = program(*said[1:], now=LATER if gone else FRIDAY, code=code)
    assert because in told.err
    assert told.out or code
