"""Looking at the stand: status, due, forecast, regulate, stop-times."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from standwatch.cli import as_json as document
from standwatch.cli import at_home, stopping, telling
from standwatch.cli.arguments import JSON, TAG, TAGS
from standwatch.cli.commands import command
from standwatch.cli.session import Session, number, pass_session
from standwatch.cli.turns import past_turns
from standwatch.horology.kinds import traits_of
from standwatch.model.answers import Quantity
from standwatch.model.words import Train
from standwatch.service.taught import taught

if TYPE_CHECKING:
    from standwatch.service.stand import Stand


@command("status", example="standwatch status --json\nstandwatch status 2417")
@TAGS
@JSON
@pass_session
def status(session: Session, tags: tuple[str, ...], *, as_json: bool) -> None:
    """The stand: standing, rate, wind-down, requirements, next step, who needs you first.

    With TAGs, those clocks in full, wherever they are.
    """
    stand = session.looking()
    now = session.now
    found = stand.chosen(tags, now)
    if as_json:
        document.emit(document.status(now, found, stand.learned(now), stand.common(now)))
    elif tags:
        click.echo("\n\n".join(telling.clock(each) for each in found))
    else:
        view = stand.view(now)
        click.echo(telling.stand(view))
        lines = taught(view.learned)
        if lines:
            click.echo("\n" + "\n".join(lines))


@command("due", example="standwatch due --until 2026-11-23T08:00")
@click.option("--until", metavar="ISO", help="As far ahead as this; else until the end of the next round.")
@JSON
@pass_session
def due(session: Session, until: str | None, *, as_json: bool) -> None:
    """What is due: winding (at the time it runs down), listening, another look, calls."""
    stand = session.looking()
    found = stand.due(None if until is None else session.time(until), session.now)
    if as_json:
        document.emit(document.due(found))
    else:
        click.echo(telling.due(found, stand.shop.zone))


@command(
    "forecast",
    example="standwatch forecast --at 2026-12-04T09:00 2417 --json\nstandwatch forecast --home 14 2398",
)
@click.option("--at", "ats", metavar="ISO", multiple=True, help="When; give it again for more times.")
@click.option("--home", "home_days", metavar="DAYS", help="So many days after it is set right at its owner's.")
@TAGS
@JSON
@pass_session
def forecast(
    session: Session, ats: tuple[str, ...], home_days: str | None, tags: tuple[str, ...], *, as_json: bool
) -> None:
    """The time error expected then, with its 95 % interval for a reading taken the usual way.

    The clock is taken to be wound when due and otherwise left alone. With --home, what a clock that is still here will
    show at its owner's, where the move changes its rate, and the place and the room do as far as they are told.
    """
    if bool(ats) == (home_days is not None):
        raise click.UsageError("give --at ISO, or --home DAYS for a clock that is still here")
    stand = session.looking()
    if home_days is not None:
        days = number(home_days, "--home")
        wanted = list(dict.fromkeys(stand.clock(tag).body.tag for tag in tags))
        there = [(tag, stand.home(tag, session.now, days)) for tag in wanted or _still_here(stand, session.now)]
        if as_json:
            document.emit(at_home.forecasts_json(there))
        else:
            click.echo(at_home.forecasts(there))
        return
    found = stand.forecast([session.time(at) for at in ats], tags, session.now)
    if as_json:
        document.emit(document.forecasts(found))
    else:
        click.echo(telling.forecasts(found, stand.shop.zone))


def _still_here(stand: Stand, now: datetime) -> list[str]:
    """The tags on the stand, who first."""
    return [found.tag for found in stand.view(now).assessments if found.estimates.history.home_since is None]


@command("regulate", example="standwatch regulate 2417 --target 0\nstandwatch regulate 2405 --for-home")
@TAG
@click.option("--target", metavar="S", default="0", show_default=True, help="The rate wanted, s/day, + gaining.")
@click.option(
    "--for-home", "at_owner", is_flag=True, help="Wanted at its owner's: what place and room do is taken off."
)
@JSON
@pass_session
def regulate(session: Session, tag: str, target: str, *, at_owner: bool, as_json: bool) -> None:
    """How far to turn the rating nut, which way, and what rate it would give; or why to leave it.

    Then what earlier turns were to give, and gave. With --for-home, the rate to leave it at here so that it has the one
    wanted where its owner lives, by the columns home_site and home_temperature_c.
    """
    stand = session.looking()
    wanted = number(target, "--target")
    exact = stand.clock(tag).body.tag
    for_home = stand.for_home(exact, session.now, wanted) if at_owner else None
    there = for_home.target if for_home is not None else Quantity.normal(wanted, 0.0)
    known = isinstance(there, Quantity)
    found = stand.regulate(exact, there.estimate, session.now) if isinstance(there, Quantity) else there
    past = stand.past_turns(exact, session.now)
    if as_json:
        more = {} if for_home is None else at_home.leave_at_json(for_home)
        document.emit({**document.advice(exact, found, past), **more})
    else:
        if for_home is not None:
            click.echo(at_home.leave_at(for_home))
        if known:
            click.echo(telling.advice(exact, found))
        if past:
            click.echo(f"\n{past_turns(past, stand.shop.zone)}")


@command("stop-times", example="standwatch stop-times 2417 --dial 3:47 --going-fall 1130")
@TAG
@click.option("--dial", metavar="H:MM", required=True, help="What the dial shows as it hangs.")
@click.option("--going-fall", metavar="MM", help="The going weight as it hangs, mm fallen from fully wound.")
@click.option("--strike-fall", metavar="MM", help="The strike weight likewise.")
@click.option("--chime-fall", metavar="MM", help="The chime weight likewise.")
@click.option("--moon-age", metavar="D", help="What its moon shows, days since new moon.")
@JSON
@pass_session
def stop_times(
    session: Session,
    tag: str,
    *,
    dial: str,
    going_fall: str | None,
    strike_fall: str | None,
    chime_fall: str | None,
    moon_age: str | None,
    as_json: bool,
) -> None:
    """When a clock found hanging now may have stopped, likeliest first.

    A dial tells the half-day only with a weight or a moon beside it; a spring's leaves every one.
    """
    stand = session.looking()
    given = {Train.GOING: going_fall, Train.STRIKE: strike_fall, Train.CHIME: chime_fall}
    falls = {train: number(mm, f"--{train}-fall") for train, mm in given.items() if mm is not None}
    age = None if moon_age is None else number(moon_age, "--moon-age")
    found = stand.stop_times(tag, dial, falls, session.now, moon_age_d=age)
    if as_json:
        document.emit(document.candidates(found))
    else:
        weights = traits_of(stand.clock(tag).body).weights
        click.echo(stopping.candidates(found, stand.shop.zone, weights=weights, read=bool(falls)))
