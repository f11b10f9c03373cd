"""Safety: backup, restore, selfcheck."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import click

from standwatch.cli.commands import command
from standwatch.cli.session import Session, pass_session
from standwatch.model.errors import BookUnusable


@command("backup", example="standwatch backup /media/stick/book-2026-11-20.sqlite")
@click.argument("file", metavar="[FILE]", required=False)
@pass_session
def backup(session: Session, file: str | None) -> None:
    """Copy the book, whole and consistent, while others may go on writing.

    Without FILE: into the folder `backups` beside the book, named by the time.
    """
    stand = session.needed()
    if file is None:
        folder = session.book.parent / "backups"
        with suppress(OSError):  # what can't be made can't be written either, and that is said below
            folder.mkdir(exist_ok=True)
        to = folder / f"{session.book.stem}-{session.now:%Y%m%dT%H%M%SZ}.sqlite"
    else:
        to = Path(file)
    stand.backup(to)
    click.echo(to)


@command("restore", example="standwatch restore /media/stick/book-2026-11-20.sqlite")
@click.argument("file", metavar="FILE")
@pass_session
def restore(session: Session, file: str) -> None:
    """Put a backup in the book's place. What was there is kept beside it, and named."""
    kept = session.house.restore(Path(file), session.book, session.now)
    click.echo(f"{session.book} is now what {file} was")
    if kept is not None:
        click.echo(f"what was there before is kept as {kept}")


@command("selfcheck", example="standwatch selfcheck")
@pass_session
def selfcheck(session: Session) -> None:
    """Look the book over: its file, the digests of its releases, and whether the computer's clock is synchronised.

    Lines of your own settings that can't be are named too.
    """
    found = session.looking().selfcheck()
    click.echo(f"book: {session.book}")
    click.echo(f"releases: {found.releases}")
    click.echo(f"computer's clock: {found.computer_clock}")
    own = session.house.own_settings()
    for wrong in own.wrong:
        click.echo(f"settings: {own.told(wrong)}")
    if found.problems:
        raise BookUnusable("\n".join(["the book is not whole:", *(f"  {problem}" for problem in found.problems)]))
    click.echo("the book is whole")
