"""One visit: `checkin` and `work`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from standwatch.cli.arguments import AT, FALLS, NOTE, TAG
from standwatch.cli.commands import command
from standwatch.cli.session import Session, pass_session
from standwatch.cli.work_words import WORK_HELP
from standwatch.horology.cautions import caution
from standwatch.model.errors import BadValue
from standwatch.model.words import Work
from standwatch.service import readings

if TYPE_CHECKING:
    from standwatch.service.reference import ReferenceTime

Cells = dict[str, object]


@command("checkin", example="standwatch checkin 2417 --error 14 --going-fall 990 --chime in-step --quarter 2")
@TAG
@click.option("--error", "error_s", metavar="S", help="Clock less reference in seconds, + fast.")
@click.option("--dial", metavar="H:MM[:SS]", help="What the clock showed, instead of --error.")
@click.option("--read-by", metavar="HOW", help="seconds-hand, minute-hand, estimate or first-blow.")
@click.option("--doubt", "error_u_s", metavar="S", help="The reading's standard doubt, instead of what --read-by says.")
@click.option("--amplitude", "amplitude_deg", metavar="DEG", help="Half-swing; of a balance its amplitude.")
@click.option("--swing-mm", metavar="MM", help="Swing each side on the clock's scale, instead of --amplitude.")
@click.option("--beat-error", metavar="N", help="Per cent for a pendulum, milliseconds for a balance.")
@click.option("--overswing", metavar="LEFT,RIGHT", help="Degrees past the unlocking, of a torsion pendulum.")
@FALLS["going"]
@FALLS["strike"]
@FALLS["chime"]
@click.option("--chime", metavar="STATE", help="in-step, out-of-step, silent (selector) or not-running.")
@click.option("--quarter", metavar="N", help="The quarter listened to, 1 to 4.")
@click.option("--hour", metavar="H", help="The hour the dial showed, 1 to 12.")
@click.option("--blows", metavar="N", help="The blows counted.")
@click.option("--staged", is_flag=True, help="The hands were brought there for the count.")
@click.option("--seconds", "strike_s", metavar="S", help="From the first blow to the last.")
@click.option("--moon-age", "moon_age_d", metavar="D", help="What the moon dial shows, days since new moon.")
@click.option("--explained", is_flag=True, help="A `not-running` whose cause is found.")
@click.option("--temperature", "temperature_c", metavar="C", help="Of the room, degrees C.")
@AT
@NOTE
@pass_session
def checkin(session: Session, /, tag: str, **options: str | bool | None) -> None:
    """One visit: what was read, heard and seen. Prints what was expected and what follows.

    After `deliver` it is a reading at home.
    """
    stand = session.writing()
    cells: Cells = {name: value for name, value in options.items() if value is not None and value is not False}
    _one_of(cells, "error_s", "dial", "--error and --dial say the same; give one")
    _one_of(cells, "amplitude_deg", "swing_mm", "--amplitude and --swing-mm say the same; give one")
    clock = stand.clock(tag).body
    for flag in ("staged", "explained"):
        if flag in cells:
            cells[flag] = "yes"
    if "swing_mm" in cells:
        cells["amplitude_deg"] = readings.swing_deg(clock, str(cells.pop("swing_mm")))
    if "beat_error" in cells:
        cells[readings.beat_column(clock)] = cells.pop("beat_error")
    if "overswing" in cells:
        cells |= _overswing(str(cells.pop("overswing")))
    reference = None
    if "dial" in cells and "at" not in cells and session.now_option is None:
        from standwatch.service.reference import reference_time  # noqa: PLC0415  # asked where it was read against

        reference = reference_time()
    _record(session, clock.tag, cells, reference)


@command(
    "work",
    example="standwatch work 2417 wound --train going\nstandwatch work 2417 nut --amount -0.5",
    epilog=WORK_HELP,
)
@TAG
@click.argument("what", metavar="WHAT")
@click.option("--amount", metavar="N", help="The work's amount, in its own unit (below).")
@click.option("--train", metavar="T", help="going, strike or chime; all if not given.")
@click.option("--explained", is_flag=True, help="The cause of a `stopped` is found.")
@click.option("--dial", metavar="H:MM", help="With stopped or ran-out: what the dial shows as it hangs.")
@FALLS["going"]
@FALLS["strike"]
@FALLS["chime"]
@AT
@NOTE
@pass_session
def work(session: Session, /, tag: str, what: str, **options: str | bool | None) -> None:
    """One piece of work on a clock, or what it was found in.

    A dial and falls given with `stopped` or `ran-out` are as it hung; with any other work they are as found before it.
    """
    stand = session.writing()
    cells: Cells = {name: value for name, value in options.items() if value is not None and value is not False}
    cells["work"] = what
    if "explained" in cells:
        cells["explained"] = "yes"
    _record(session, stand.clock(tag).body.tag, cells)


def _record(session: Session, tag: str, cells: Cells, reference: ReferenceTime | None = None) -> None:
    stand = session.writing()
    if "at" in cells:
        cells["at"] = session.time(str(cells["at"]))
    receipt = stand.check_in({"tag": tag, **cells}, session.now, reference=reference)
    from standwatch.cli import telling  # noqa: PLC0415  # numpy: help wants none of it, and the fact is on the disk by now

    click.echo(telling.receipt(receipt, stand.shop.zone))
    if "work" in cells and (minded := caution(stand.clock(tag).body, Work(str(cells["work"])))):
        click.echo(minded, err=True)


def _one_of(cells: Cells, one: str, other: str, said: str) -> None:
    if one in cells and other in cells:
        raise click.UsageError(said)


def _overswing(text: str) -> Cells:
    sides = [part.strip() for part in text.split(",")]
    if len(sides) != 2 or not any(sides):
        raise BadValue(f"overswing {text!r} is not two sides; give degrees left,right such as 24,22")
    columns = ("overswing_left_deg", "overswing_right_deg")
    return {column: side for column, side in zip(columns, sides, strict=True) if side}
