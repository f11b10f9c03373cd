"""The demo stand: an invented shop on a Friday morning."""

from __future__ import annotations

import click

from standwatch.cli import telling
from standwatch.cli.commands import command
from standwatch.cli.session import Session, pass_session


@command("demo", example="standwatch demo --print")
@click.option("--print", "printed", is_flag=True, help="Print the stand as a table at that instant, and end.")
@pass_session
def demo(session: Session, *, printed: bool) -> None:
    """Open a demo stand, freshly made in a temporary folder; nothing is kept.

    Its clock begins on Friday at 08:20, in the middle of a round, and ticks on from there.
    """
    from standwatch.cli.screens import need_terminal, ticking_from  # noqa: PLC0415

    if not printed:
        need_terminal("standwatch demo --print")
    with session.house.demo() as (book, begins):
        if printed:
            _print(session, book_path=str(book), begins=begins.isoformat())
        else:
            banner = "demo: an invented shop; nothing is kept"
            session.house.run_screens(book, ticking_from(begins), banner, book.parent / "papers")


def _print(session: Session, *, book_path: str, begins: str) -> None:
    session.book_option, session.now_option = book_path, begins
    stand = session.looking()
    click.echo(telling.stand(stand.view(session.now)))
    session.close()
