"""What a command loads, seen in a process of its own; and that every command tells how it is used."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import click
import pytest

from standwatch.cli.commands import Command
from standwatch.cli.main import COMMANDS, root
from standwatch.cli.work_words import WORK_WORDS
from standwatch.model.facts import Clock
from standwatch.model.words import Work
from tests.shop import NOW, regulator_ready, write_ledger

ROOT = Path(__file__).parents[2]
SCREENS = {"textual", "plotext", "apscheduler"}
STATISTICS = {"scipy", "statsmodels", "pandas"}
PRINTING = {"fpdf", "segno", "uharfbuzz", "pymupdf_fonts"}
PRINTERS = {"papers", "label", "round-sheet"}
"""The commands that write papers."""

PROBE = """
import sys
from standwatch.__main__ import main
try:
    main()
except SystemExit as left:
    code = left.code
tops = sorted({name.partition(".")[0] for name, module in sys.modules.items() if module is not None})
print("LOADED", code, *tops, file=sys.stderr)
"""

IN_USE = {
    "status": ["status", "--json"],
    "checkin": ["checkin", "R1", "--error", "5.8"],
    "work": ["work", "R1", "seen-going"],
    "due": ["due"],
    "forecast": ["forecast", "--at", "2026-11-21T08:00"],
    "regulate": ["regulate", "R1"],
    "clock": ["clock", "show", "R1"],
    "undo": ["undo"],
    "correct": ["correct", "zz", "note=x"],
    "stop-times": ["stop-times", "R1", "--dial", "8:50"],
    "release": ["release", "R1", "--by", "K. M."],
    "papers": ["papers", "R1", "--out", "{folder}/papers"],
    "reopen": ["reopen", "R1", "--reason", "x"],
    "deliver": ["deliver", "R1", "--at", "2026-11-20T08:30"],
    "call": ["call", "R1", "--result", "x"],
    "callback": ["callback", "R1", "--code", "user"],
    "callback-rates": ["callback-rates"],
    "label": ["label", "--out", "{folder}/labels"],
    "round-sheet": ["round-sheet", "--out", "{folder}/round"],
    "import": ["import", "{ledger}"],
    "export": ["export", "{folder}/out"],
    "set": ["set"],
    "backup": ["backup", "{folder}/copy.sqlite"],
    "restore": ["restore", "{folder}/nowhere"],
    "selfcheck": ["selfcheck"],
    "pendulum": ["pendulum", "--beats-per-hour", "3600"],
    "site": ["site", "--from", "0,0", "--to", "1,1"],
    "moon": ["moon"],
    "demo": ["demo", "--print"],
    "completion": ["completion", "bash"],
}


def loaded(book: Path, *arguments: str) -> tuple[int, set[str]]:
    """Exit code and the top-level modules that one run of the program had loaded at its end."""
    told = subprocess.run(
        [sys.executable, "-c", PROBE, "--book", str(book), "--now", NOW.isoformat(), *arguments],
        capture_output=True,
        text=True,
        check=False,
        cwd=book.parent,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    last = told.stderr.strip().splitlines()[-1].split()
    assert last[0] == "LOADED", told.stderr
    return int(last[1]), set(last[2:])


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("loading")
    clock, rows = regulator_ready()
    write_ledger(folder / "ledger", [clock], rows)
    path = folder / "book.sqlite"
    assert loaded(path, "import", str(folder / "ledger"))[0] == 0
    return path


def test_every_command_has_its_use_here() -> None:
    assert list(IN_USE) == list(COMMANDS)


def test_help_loads_neither_screens_nor_numbers(book: Path) -> None:
    code, modules = loaded(book, "--help")
    assert code == 0
    assert not modules & (SCREENS | STATISTICS | PRINTING | {"numpy", "pydantic", "sqlite_utils", "sqlite3"})


@pytest.mark.parametrize("name", list(IN_USE))
def test_no_command_loads_screens_or_statistics(book: Path, name: str) -> None:
    words = [word.format(ledger=book.parent / "ledger", folder=book.parent) for word in IN_USE[name]]
    code, modules = loaded(book, *words)
    assert code in {0, 3, 4, 5}
    assert not modules & (SCREENS | STATISTICS | {"tomlkit"})
    assert name in PRINTERS or not modules & PRINTING


def test_a_book_that_has_begun_is_looked_at_without_the_person_s_settings(book: Path) -> None:
    assert "tomllib" not in loaded(book, "status")[1]


def test_the_screens_begin_without_the_writer_of_settings(tmp_path: Path) -> None:
    """It is wanted when a theme is chosen; reading needs the standard library alone."""
    settings = tmp_path / "settings.toml"
    settings.write_text("bell = true\n", "utf-8")
    probe = (
        "import sys; from standwatch.bootstrap import own_settings; import standwatch.tui.app;"
        "print(own_settings().bell, 'tomlkit' in sys.modules)"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "STANDWATCH_SETTINGS": str(settings)}
    told = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True, env=environment)
    assert told.stdout.split() == ["True", "False"]


def test_the_tags_are_there_without_the_estimators(book: Path) -> None:
    """numpy and what computes with it come while the tags are looked at; plotext with the first chart."""
    probe = (
        "import sys; from datetime import UTC, datetime; from pathlib import Path;"
        "from standwatch.bootstrap import need_stand; from standwatch.tui.app import StandwatchApp;"
        "app = StandwatchApp.over(lambda: need_stand(Path(sys.argv[1])), clock=lambda: datetime.now(UTC));"
        "print(*[line.tag for line in app.roster], *({'numpy', 'plotext', 'apscheduler', 'fpdf'} & set(sys.modules)))"
    )
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", probe, str(book)]
    told = subprocess.run(command, capture_output=True, text=True, check=True, env=environment)
    assert told.stdout.split() == ["R1"]


def every_command() -> list[tuple[str, click.Command]]:
    found: list[tuple[str, click.Command]] = []
    context = click.Context(root)
    for name in root.list_commands(context):
        command = root.get_command(context, name)
        assert command is not None, name
        if isinstance(command, click.Group):
            found += [(f"{name} {sub}", each) for sub, each in command.commands.items()]
        else:
            found.append((name, command))
    return found


@pytest.mark.parametrize(("name", "command"), every_command(), ids=lambda each: each if isinstance(each, str) else "")
def test_every_command_s_help_says_what_it_does_with_an_example(name: str, command: click.Command) -> None:
    assert isinstance(command, Command)
    assert command.help
    assert len(command.help.split()) > 4
    assert f"standwatch {name}" in command.example or f"standwatch {name}" in command.example.replace("$(", " ")
    for param in command.params:
        if isinstance(param, click.Option):
            assert param.help, f"{name} {param.opts}"


def test_the_overview_names_each_command_once() -> None:
    text = root.get_help(click.Context(root))
    for name, (_module, _attribute, line) in COMMANDS.items():
        assert len(re.findall(rf"^  {re.escape(name)} ", text, re.MULTILINE)) == 1
        assert line.endswith((".", "?"))


# The interface that scripts rely on: a name here is never changed. What the last line names is ours beside it.
INTERFACE = [
    *("clock add", "clock list", "clock show", "clock change", "clock move", "clock kinds", "checkin", "work"),
    *("undo", "correct", "import", "export", "status", "forecast", "due", "regulate", "site", "pendulum", "moon"),
    *("stop-times", "release", "reopen", "deliver", "call", "callback", "set", "backup", "restore", "selfcheck"),
    *("demo", "papers"),
    *("clock repairs", "callback-rates", "label", "round-sheet", "completion"),
]


def test_the_commands_are_those_of_the_interface() -> None:
    assert sorted(name for name, _ in every_command()) == sorted(INTERFACE)


def test_clock_add_takes_every_column() -> None:
    context = click.Context(root)
    group = root.get_command(context, "clock")
    assert isinstance(group, click.Group)
    options = {param.name for param in group.commands["add"].params}
    assert set(Clock.model_fields) <= options


def test_work_help_lists_every_work() -> None:
    assert list(WORK_WORDS) == list(Work)
