"""The book's own settings: `set`."""

from __future__ import annotations

import click

from standwatch.cli.commands import command
from standwatch.cli.session import Session, pass_session
from standwatch.cli.words import table


@command("set", example="standwatch set open_days=Mon-Sat next_round=07:45 holidays=GB-SCT")
@click.argument("pairs", metavar="[NAME=VALUE...]", nargs=-1)
@pass_session
def set_(session: Session, pairs: tuple[str, ...]) -> None:
    """The book's own settings; without arguments, all of them and what they mean."""
    values: dict[str, str] = {}
    for pair in pairs:
        name, equals, value = pair.partition("=")
        if not equals:
            raise click.UsageError(f"{pair!r} is not NAME=VALUE")
        values[name.strip()] = value
    settings = session.writing().set_settings(values, session.now) if values else session.looking().settings()
    rows = [(each.name, each.value, "" if each.given else "default", each.words) for each in settings]
    click.echo(table(("NAME", "VALUE", "", "WHAT IT IS"), rows))
