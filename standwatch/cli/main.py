"""The root of the command line: which commands there are, and how errors become exit codes."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Sequence

import click

from standwatch import __version__
from standwatch.cli.commands import LazyGroup
from standwatch.cli.house import House
from standwatch.cli.session import Session
from standwatch.model.errors import StandwatchError

INTERRUPTED = 130
CANNOT_WRITE = 4

COMMANDS = {
    "status": ("stand", "status", "The stand: standing, rate, wind-down, requirements, next step."),
    "checkin": ("visits", "checkin", "One visit: what was read, heard and seen."),
    "work": ("visits", "work", "One piece of work: wound, nut, hands-set, stopped ..."),
    "due": ("stand", "due", "What is due until the end of the next round."),
    "forecast": ("stand", "forecast", "The time error expected at a time to come."),
    "regulate": ("stand", "regulate", "How far to turn the nut, or to leave it."),
    "clock": ("clocks", "clock", "The clocks: add, list, show, change, move; kinds."),
    "undo": ("facts", "undo", "Take back the fact recorded last."),
    "correct": ("facts", "correct", "Replace a fact by one with other values."),
    "stop-times": ("stand", "stop_times", "When a clock found hanging may have stopped."),
    "release": ("handing", "release", "Let a clock go, on evidence."),
    "papers": ("papers", "papers", "The papers of a release: record, fitter's sheet, owner's card, labels."),
    "reopen": ("handing", "reopen", "Take a released clock back to the stand."),
    "deliver": ("handing", "deliver", "A released clock goes home."),
    "call": ("handing", "call", "A call to the owner after delivery."),
    "callback": ("handing", "callback", "A delivered clock came back."),
    "callback-rates": ("after", "callback_rates", "How many came back, by what was repaired, waived, tested."),
    "label": ("papers", "label", "Labels for the rail and the weights, to cut out."),
    "round-sheet": ("papers", "round_sheet", "The round on paper, for a power cut."),
    "import": ("ledger", "import_", "Bring in a ledger of CSV files."),
    "export": ("ledger", "export", "Write the book as a ledger of CSV files."),
    "set": ("settings", "set_", "The book's own settings."),
    "backup": ("safety", "backup", "Copy the book, whole, while it is in use."),
    "restore": ("safety", "restore", "Put a backup in the book's place."),
    "selfcheck": ("safety", "selfcheck", "Is the book whole, and the computer's clock right?"),
    "pendulum": ("physics", "pendulum", "Length, beats, circular error of a pendulum."),
    "site": ("physics", "site", "What a move does to a pendulum's rate."),
    "moon": ("physics", "moon", "The moon's age, for setting a dial."),
    "demo": ("demo", "demo", "Open a demo stand; nothing is kept."),
    "completion": ("completion", "completion", "Shell completion for bash, zsh or fish."),
}
"""Name: (module, attribute, one line of help), in the order of help."""


@click.command(
    "standwatch",
    cls=LazyGroup,
    lazy={name: (f"standwatch.cli.{module}", attr, text) for name, (module, attr, text) in COMMANDS.items()},
    invoke_without_command=True,
    epilog="Exit codes: 0 done; 2 the command line's syntax; 3 refused by a rule of the trade; 4 bad values, "
    "unknown tag, bad input data; 5 the book cannot be used.",
)
@click.version_option(__version__, message="%(prog)s %(version)s")
@click.pass_context
def root(ctx: click.Context) -> None:
    """Watch the test stand of a clock restorer's workshop.

    Without a command it opens the stand on the screen.
    """
    if ctx.invoked_subcommand is None:
        _open_screens(ctx.ensure_object(Session))


def _open_screens(session: Session) -> None:
    from standwatch.cli.screens import open_screens  # noqa: PLC0415  # `--help` needs none of it

    open_screens(session)


def run(house: House, arguments: Sequence[str]) -> int:
    """Run one command line and tell its exit code."""
    session = Session(house)
    if "_STANDWATCH_COMPLETE" in os.environ:
        root.main(list(arguments), "standwatch", complete_var="_STANDWATCH_COMPLETE", obj=session)
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:  # a tag in a script that this terminal can't show is no reason to fail
            reconfigure(errors="replace")
    try:
        return _invoke(session, list(arguments))
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception:
        click.echo("standwatch: a mistake of the program's own; the book is as it was. Please report this:", err=True)
        raise
    finally:
        session.close()


def _invoke(session: Session, arguments: list[str]) -> int:
    try:
        with root.make_context("standwatch", arguments, obj=session) as ctx:
            root.invoke(ctx)
        sys.stdout.flush()
    except click.exceptions.Exit as leave:
        return leave.exit_code
    except click.Abort:
        return INTERRUPTED
    except click.ClickException as wrong:
        wrong.show()
        return wrong.exit_code
    except StandwatchError as error:
        click.echo(f"standwatch: {error}", err=True)
        return error.exit_code
    except BrokenPipeError:
        _let_go_of_stdout()
    except OSError as error:
        if error.errno not in {errno.ENOSPC, errno.EIO, errno.EDQUOT, errno.EFBIG} or error.filename:
            raise
        _let_go_of_stdout()
        click.echo(f"standwatch: the output can't be written: {error.strerror}; look at where it goes", err=True)
        return CANNOT_WRITE
    return 0


def _let_go_of_stdout() -> None:
    """Nobody reads on, or nothing more fits: let the interpreter's last flush go nowhere."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
