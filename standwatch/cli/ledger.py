"""The ledger: `import` and `export`."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import click

from standwatch.cli.commands import command
from standwatch.cli.session import Session, pass_session, to_terminal


@command("import", example="standwatch import ledger/ --check")
@click.argument("paths", metavar="FOLDER-or-FILE...", nargs=-1, required=True)
@click.option("--check", is_flag=True, help="Only report what it would do.")
@pass_session
def import_(session: Session, paths: tuple[str, ...], *, check: bool) -> None:
    """Bring in a ledger of CSV files, all or nothing; rows that are here already add nothing.

    A lone file is told by its header. What is wrong is named with file:line:column.
    """
    stand = session.looking() if check else session.writing()
    report = stand.import_ledger(
        [Path(path) for path in paths], session.now, dry_run=check, progress=_progress() if to_terminal() else _silent
    )
    if to_terminal():
        click.echo("\r\033[K", err=True, nl=False)
    verb = "would add" if check else "added"
    for name, rows in report.rows.items():
        click.echo(f"{name}: {rows} rows, {verb} {report.added.get(name, 0)}")
    for note in report.notes:
        session.say(note)


@command("export", example="standwatch export ledger/")
@click.argument("folder", metavar="FOLDER")
@pass_session
def export(session: Session, folder: str) -> None:
    """Write the whole book as a ledger of CSV files, from which `import` makes the same book."""
    for name, rows in session.needed().export_ledger(Path(folder)).items():
        click.echo(f"{name}: {rows} rows")


def _silent(_rows: int) -> None:
    """Nobody watches."""


def _progress() -> Callable[[int], None]:
    def tell(rows: int) -> None:
        click.echo(f"\r{rows:,} rows", err=True, nl=False)

    return tell
