"""The clocks: `clock add`, `list`, `show`, `change`, `move`, `kinds`."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import click

from standwatch.cli import after, telling, words
from standwatch.cli.arguments import AT, TAG
from standwatch.cli.column_words import column_help
from standwatch.cli.commands import Command, Group
from standwatch.cli.session import Session, pass_session
from standwatch.horology.kinds import KINDS
from standwatch.horology.repairs import REPAIRS
from standwatch.model.facts import Clock
from standwatch.service.wording import describe


@click.group("clock", cls=Group)
def clock() -> None:
    """The clocks: one tag per job, never used again."""


def _column_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """An option for every column of clocks.csv but the tag, with the column's own description."""
    for name in reversed(Clock.model_fields):
        if name != "tag":
            option = click.option(
                f"--{name.replace('_', '-')}",
                name,
                metavar="VALUE",
                required=name == "kind",
                help=column_help(name),
            )
            function = option(function)
    return function


@clock.command(
    "add",
    cls=Command,
    example="standwatch clock add 2431 --kind floor-chiming --position C5\n"
    "standwatch clock add 2432 --kind regulator --unlock-deg 1.1 --rod steel",
)
@TAG
@_column_options
@pass_session
def add(session: Session, /, tag: str, **columns: str | None) -> None:
    """Put a new clock on the stand. Its tag and kind are enough; the rest follows from the kind."""
    stand = session.writing()
    cells: dict[str, object] = {name: value for name, value in columns.items() if value is not None}
    if "on_stand_at" in cells:
        cells["on_stand_at"] = session.time(str(cells["on_stand_at"]))
    written = stand.add_clock({**cells, "tag": tag}, session.now)
    click.echo(f"{written.text} is on the stand  ({written.id})")
    _warn(session, written.warning)


@clock.command("list", cls=Command, example="standwatch clock list")
@pass_session
def list_(session: Session) -> None:
    """Every clock of the book, delivered ones too."""
    bodies = [record.body for record in session.looking().clocks()]
    rows = [(b.tag, str(b.kind), b.position or "", b.description or "", b.owner or "") for b in bodies]
    click.echo(words.table(("TAG", "KIND", "SLOT", "DESCRIPTION", "OWNER"), rows))


@clock.command("show", cls=Command, example="standwatch clock show 2417")
@TAG
@pass_session
def show(session: Session, tag: str) -> None:
    """A clock's columns, its facts with their ids, and how steadily it goes."""
    stand = session.looking()
    record = stand.clock(tag)
    zone = stand.shop.zone
    columns = [(name, _plain(value)) for name, value in record.body if value is not None]
    click.echo(words.table(("COLUMN", "VALUE"), columns))
    told = [(r.body.at, describe(r.body), r.id) for r in stand.facts(record.body.tag)]
    told += [(r.body.at, describe(r.body), r.id) for r in stand.steps(record.body.tag)]
    facts = [(words.when(at, zone), said, named) for at, said, named in sorted(told, key=lambda fact: fact[0])]
    click.echo()
    click.echo(words.table(("AT", "FACT", "ID"), [("", describe(record.body), record.id), *facts]))
    jobs = telling.jobs(stand.earlier_jobs(record.body.tag), stand.later_jobs(record.body.tag), zone)
    if jobs:
        click.echo(f"\n{jobs}")
    released = [each for each in stand.releases(record.body.tag) if each.at <= session.now]
    let_go = telling.releases(released, stand.since_release(record.body.tag, session.now), zone)
    if let_go:
        click.echo(f"\n{let_go}")
    found = stand.assess(record.body.tag, session.now)
    asked = [(str(v.requirement), v.asked) for v in found.verdicts if v.asked]
    if asked:
        click.echo("\n" + words.table(("REQUIREMENT", "WHAT THE SHOP ASKS"), asked))
    level = telling.level(found)
    if level:
        click.echo("\nBob: " + "; ".join(level))
    steadiness = telling.steadiness(found)
    if steadiness:
        click.echo(f"\n{steadiness}")
    for line in after.about(stand, record.body.tag, session.now):
        click.echo(f"\n{line}")


@clock.command("change", cls=Command, example="standwatch clock change 2417 unlock_deg=2.1 rod=steel")
@TAG
@click.argument("cells", metavar="COLUMN=VALUE...", nargs=-1, required=True)
@pass_session
def change(session: Session, tag: str, cells: tuple[str, ...]) -> None:
    """Other values for a clock's columns, as if they had been right from the start; an empty value is "not given"."""
    stand = session.needed()
    written = stand.change_clock(tag, session.cells(cells), session.now)
    click.echo(f"{written.text}: changed  ({written.id})")
    _warn(session, written.warning)


@clock.command("move", cls=Command, example="standwatch clock move 2417 B4")
@TAG
@click.argument("slot", metavar="SLOT")
@AT
@pass_session
def move(session: Session, tag: str, slot: str, at: str | None) -> None:
    """Record that a clock went to another slot. Rate, swing and beat start anew there."""
    stand = session.needed()
    moment = None if at is None else session.time(at)
    done = stand.move_clock(tag, slot, session.now, at=moment)
    click.echo(telling.receipt(done, stand.shop.zone))
    _warn(session, done.warning)


@clock.command("kinds", cls=Command, example="standwatch clock kinds")
def kinds() -> None:
    """The kinds of clock and what follows from them, until the shop's own limits or the clock's columns say otherwise.

    `standwatch set KIND.COLUMN=VALUE` sets a limit for every clock of a kind.
    """
    heads = ("KIND", "TRAINS", "DRIVE", "HOURS", "BEATS/H", "MM/DAY", "RATE LIMIT", "DAY RANGE", "DAYS")
    rows = [
        (
            str(kind.name),
            kind.trains,
            str(kind.drive) if kind.mean_rate_limit else "",
            f"{kind.duration_h:g}" if kind.mean_rate_limit else "",
            f"{kind.beats_per_hour:g}",
            f"{kind.fall_mm_per_day:g}" if kind.fall_mm_per_day else "",
            "none" if kind.mean_rate_limit is None else f"{kind.mean_rate_limit:g}",
            "none" if kind.day_range_limit is None else f"{kind.day_range_limit:g}",
            f"{kind.least_days:g}",
        )
        for kind in KINDS.values()
    ]
    click.echo(words.table(heads, rows, right=heads[3:]))
    click.echo("Falls in mm/day, limits in s/day.")


@clock.command("repairs", cls=Command, example="standwatch clock repairs")
def repairs() -> None:
    """The short list of what is repaired: free words of the column `repaired` are counted under it."""
    rows = [(repair.name, ", ".join(repair.words)) for repair in REPAIRS]
    click.echo(words.table(("REPAIR", "BY THESE WORDS"), rows))


def _warn(session: Session, warning: str) -> None:
    if warning:
        session.say(f"mind: {warning}")


def _plain(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.isoformat()
    return f"{value:g}" if isinstance(value, float) else str(value)
