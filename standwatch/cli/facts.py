"""Taking back and correcting: `undo` and `correct`."""

from __future__ import annotations

import click

from standwatch.cli.arguments import complete_tag
from standwatch.cli.commands import command
from standwatch.cli.session import Session, pass_session
from standwatch.service.wording import describe


@command("undo", example="standwatch undo 2417")
@click.argument("tag", metavar="[TAG]", required=False, shell_complete=complete_tag)
@pass_session
def undo(session: Session, tag: str | None) -> None:
    """Take back the fact (of TAG) recorded last and not yet taken back.

    Of a correction it restores what that replaced. A release is not undone but reopened.
    """
    undone = session.needed().undo(tag, session.now)
    click.echo(f"{undone.tag}: taken back: {undone.text}  ({undone.record.id})")
    if undone.restored is not None:
        click.echo(f"counts again: {describe(undone.restored.body)}  ({undone.restored.id})")


@command("correct", example="standwatch correct 7f3a error_s=14 read_by=minute-hand")
@click.argument("fact_id", metavar="ID")
@click.argument("cells", metavar="COLUMN=VALUE...", nargs=-1, required=True)
@pass_session
def correct(session: Session, fact_id: str, cells: tuple[str, ...]) -> None:
    """Replace a fact (any beginning of its ID that leaves one) by one with other values.

    An empty value is "not given". `standwatch clock show TAG` lists the facts of a clock with their ids.
    """
    stand = session.needed()
    written = stand.correct(fact_id, session.cells(cells), session.now)
    click.echo(f"{written.tag}: now: {written.text}  ({written.id})")
