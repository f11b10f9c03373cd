"""Physics at the bench: pendulum, site, moon. No book is needed."""

from __future__ import annotations

from datetime import timedelta

import click

from standwatch.cli import as_json as document
from standwatch.cli import words
from standwatch.cli.arguments import JSON
from standwatch.cli.commands import command
from standwatch.cli.session import Session, number, pass_session
from standwatch.horology import pendulum as physics
from standwatch.horology.gravity import parse_site, site_change
from standwatch.horology.moon import age_days, half_moons
from standwatch.model.errors import BadValue


@command("pendulum", example="standwatch pendulum --beats-per-hour 3600 --half-swing 2")
@click.option("--beats-per-hour", metavar="N", help="From the train; or give --length.")
@click.option("--length", metavar="MM", help="Of the simple pendulum, not what is stamped on it.")
@click.option("--half-swing", metavar="DEG", help="For the circular error.")
@JSON
@pass_session
def pendulum(
    session: Session, beats_per_hour: str | None, length: str | None, half_swing: str | None, *, as_json: bool
) -> None:
    """Length and beats of a pendulum at standard gravity, its circular error, and what a mm of length does."""

    del session
    if (beats_per_hour is None) == (length is None):
        raise click.UsageError("give either --beats-per-hour or --length")
    if beats_per_hour is not None:
        beats = _within(number(beats_per_hour, "--beats-per-hour"), "--beats-per-hour", 60, 40000)
        mm = physics.length_mm(beats)
    else:
        mm = _within(number(length or "", "--length"), "--length", 1, 100000)
        beats = physics.beats_per_hour(mm)
    circular = None
    if half_swing is not None:
        circular = physics.circular_error_s_per_day(_within(number(half_swing, "--half-swing"), "--half-swing", 0, 90))
    per_mm = physics.s_per_day_per_mm(mm)
    if as_json:
        document.emit(
            {
                "beats_per_hour": beats,
                "length_mm": mm,
                "circular_error_s_per_day": circular,
                "s_per_day_per_mm": per_mm,
            }
        )
        return
    click.echo(f"{beats:.2f} beats an hour, {mm:.2f} mm to the centre of its swing (what is stamped on it is longer)")
    fine, coarse = (per_mm * physics.NUT_SHARE * pitch for pitch in physics.USUAL_PITCHES_MM)
    click.echo(
        f"one mm shorter gains {per_mm:.2f} s/day; a turn of the usual nut (0.5 to 0.8 mm) {fine:.0f} to {coarse:.0f}"
    )
    click.echo(f"a small hand on an escape wheel of 30 teeth goes round in {physics.seconds_hand_turn_s(beats):.1f} s")
    if half_swing is not None and circular is not None:
        click.echo(_swing_words(number(half_swing, "--half-swing"), circular))


@command("site", example="standwatch site --from 51.5,20 --to 57.1,40")
@click.option("--from", "start", metavar="LAT,METRES", required=True, help="Latitude (north +), metres above the sea.")
@click.option("--to", "end", metavar="LAT,METRES", required=True, help="Likewise.")
@JSON
@pass_session
def site(session: Session, start: str, end: str, *, as_json: bool) -> None:
    """What moving a pendulum to another latitude or height does to its rate.

    Normal gravity only; the doubt is that of a local anomaly of 100 mGal.
    """

    del session
    change, doubt = site_change(parse_site(start), parse_site(end))
    if as_json:
        document.emit({"rate_change_s_per_day": change, "doubt_s_per_day": doubt})
        return
    if abs(change) < 0.05:  # less is told as nought
        click.echo(f"a pendulum moved there keeps its rate, ±{doubt:.1f} s/day for the ground it stands on")
        return
    there, here = ("gain", "losing") if change > 0 else ("lose", "gaining")
    click.echo(
        f"a pendulum moved there will {there} {abs(change):.2f} s/day more, ±{doubt:.1f} for the ground it stands on"
    )
    click.echo(f"to keep time there, leave it {here} {abs(change):.1f} s/day here")


@command("moon", example="standwatch moon --at 2026-11-20T08:00")
@click.option("--at", metavar="ISO", help="When; now if not given.")
@JSON
@pass_session
def moon(session: Session, at: str | None, *, as_json: bool) -> None:
    """The moon's age in days since new moon, for setting a dial."""

    moment = session.now if at is None else session.time(at)
    age = age_days(moment)
    if as_json:
        document.emit({"at": document.iso(moment), "age_days": age})
    else:
        zone = session.looking().shop.zone
        new = words.when(moment - timedelta(days=age) + timedelta(seconds=30), zone)  # to the nearest minute
        click.echo(f"{words.when(moment, zone)}: the moon is {age:.1f} days old, new {new}")
        growing, waning = (words.when(half, zone) for half in half_moons(moment))
        click.echo(f"half lit {growing}, growing, and {waning}, waning")
        click.echo("a dial of 59 teeth keeps the mean moon: it may stand up to 0.8 days off this and be right")


def _swing_words(degrees: float, circular: float) -> str:
    """What the swing costs, and what a little more of it would."""
    more = physics.circular_error_s_per_day(degrees + 0.1) - circular
    return (
        f"swinging {degrees:g}° each side it loses {circular:.2f} s/day against a vanishing swing; "
        f"a tenth of a degree more loses {more:.2f} s/day more"
    )


def _within(value: float, name: str, low: float, high: float) -> float:
    if not low <= value <= high:
        raise BadValue(f"{name} {value:g} is out of range; give {low:g} to {high:g}")
    return value
