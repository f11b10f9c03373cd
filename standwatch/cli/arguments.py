"""Arguments that many commands take, and the tags that complete them."""

from __future__ import annotations

import click
from click.shell_completion import CompletionItem

from standwatch.cli.session import Session
from standwatch.model.errors import StandwatchError


def complete_tag(ctx: click.Context, _param: click.Parameter, incomplete: str) -> list[CompletionItem]:
    """The book's tags that begin so; none where the book can't be read."""
    session = ctx.find_object(Session)
    if session is None:
        return []
    try:
        tags = [record.body.tag for record in session.looking().clocks()]
    except StandwatchError:
        return []
    return [CompletionItem(tag) for tag in tags if tag.casefold().startswith(incomplete.casefold())]


TAG = click.argument("tag", metavar="TAG", shell_complete=complete_tag)
TAGS = click.argument("tags", metavar="[TAG...]", nargs=-1, shell_complete=complete_tag)
JSON = click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout.")
AT = click.option("--at", metavar="ISO", help="When; now if not given. Without offset: the book's zone.")
NOTE = click.option("--note", metavar="TEXT", help="Words to keep with it.")
FALLS = {
    train: click.option(
        f"--{train}-fall", f"{train}_mm", metavar="MM", help=f"The {train} weight, mm fallen from fully wound."
    )
    for train in ("going", "strike", "chime")
}
