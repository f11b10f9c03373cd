"""Release and after: release, reopen, deliver, call, callback."""

from __future__ import annotations

from collections.abc import Mapping

import click

from standwatch.cli.arguments import AT, FALLS, NOTE, TAG
from standwatch.cli.commands import command
from standwatch.cli.session import Session, pass_session
from standwatch.service import readings
from standwatch.service.after.warranty import full_day


@command("release", example='standwatch release 2398 --by "K. M." --waive moon="no moon yet this month"')
@TAG
@click.option("--by", metavar="NAME", required=True, help="Who lets it go: name or initials.")
@click.option("--waive", metavar="REQ=REASON", multiple=True, help="Let a requirement go, with the reason.")
@pass_session
def release(session: Session, tag: str, by: str, waive: tuple[str, ...]) -> None:
    """Let a clock go. Refused (3) unless every requirement is met, waived or not applicable.

    Starred requirements are never waived. The record is frozen with the facts it stood on.
    """
    stand = session.needed()
    reasons: dict[str, str] = {}
    for pair in waive:
        name, equals, reason = pair.partition("=")
        if not equals:
            raise click.UsageError(f"{pair!r} is not REQ=REASON")
        if name.strip() in reasons:
            raise click.UsageError(f"{name.strip()} is waived twice; give one reason")
        reasons[name.strip()] = reason
    done = stand.release(tag, by=by, waive=reasons, now=session.now)
    waived = f"; waived: {', '.join(done.waived)}" if done.waived else ""
    click.echo(f"{done.tag} may go{waived}  ({done.id})")
    for name in reasons:
        if name.lower() not in done.waived:
            session.say(f"{name} needed no waiver, so none is recorded")


@command("reopen", example='standwatch reopen 2398 --reason "stopped in the van"')
@TAG
@click.option("--reason", metavar="TEXT", required=True, help="Why it is opened again.")
@pass_session
def reopen(session: Session, tag: str, reason: str) -> None:
    """Take a released clock back to the stand. Its evidence counts on; its waivers don't."""
    written = session.needed().reopen(tag, reason=reason, now=session.now)
    click.echo(f"{written.tag} is on the stand again  ({written.id})")
    if written.warning:
        session.say(written.warning)


@command(
    "deliver",
    example="standwatch deliver 2398 --at 2026-11-24T15:00 --error 2 --amplitude 2.6 --fixed-to-wall --wound-by owner",
)
@TAG
@click.option("--at", metavar="ISO", required=True, help="When. Without offset: the book's zone.")
@click.option("--error", "error_s", metavar="S", help="Its error when left there, + fast.")
@click.option("--amplitude", "amplitude_deg", metavar="DEG", help="Its swing there.")
@click.option("--swing-mm", metavar="MM", help="Swing each side on the clock's scale, instead of --amplitude.")
@click.option("--beat-error", metavar="N", help="Per cent for a pendulum, milliseconds for a balance.")
@FALLS["going"]
@FALLS["strike"]
@FALLS["chime"]
@click.option("--fixed-to-wall/--not-fixed-to-wall", default=None, help="Whether the case is fixed to the wall.")
@click.option("--wound-by", metavar="TEXT", help="Who winds it.")
@NOTE
@pass_session
def deliver(session: Session, /, tag: str, at: str, *, fixed_to_wall: bool | None, **options: str | None) -> None:
    """A released clock goes home: how it was left there. Check-ins after it are readings at home."""
    stand = session.needed()
    clock = stand.clock(tag).body
    cells = _given(options)
    if "amplitude_deg" in cells and "swing_mm" in cells:
        raise click.UsageError("--amplitude and --swing-mm say the same; give one")
    if "swing_mm" in cells:
        cells["amplitude_deg"] = readings.swing_deg(clock, str(cells.pop("swing_mm")))
    if "beat_error" in cells:
        cells[readings.beat_column(clock)] = cells.pop("beat_error")
    if fixed_to_wall is not None:
        cells["fixed_to_wall"] = "yes" if fixed_to_wall else "no"
    written = stand.deliver(tag, {**cells, "at": session.time(at)}, session.now)
    click.echo(f"{written.tag} went home  ({written.id})")
    ends = stand.after.warranty_ends(written.tag, session.now)
    if ends is not None:
        click.echo(f"its warranty ends on {full_day(ends)}")


@command("call", example='standwatch call 2398 --result "goes well, owner winds on Sundays" --error 5')
@TAG
@click.option("--result", metavar="TEXT", required=True, help="What was said.")
@click.option("--error", "error_s", metavar="S", help="Its error there, + fast.")
@click.option("--stopped", is_flag=True, help="It has stopped.")
@click.option("--chime", metavar="STATE", help="in-step, out-of-step, silent or not-running.")
@AT
@pass_session
def call(session: Session, /, tag: str, result: str, *, stopped: bool, at: str | None, **options: str | None) -> None:
    """A call to the owner after delivery."""
    stand = session.needed()
    cells = _given(options) | {"reason": result} | _stopped_at(session, at, stopped=stopped)
    written = stand.call(tag, cells, session.now)
    click.echo(f"{written.tag}: call recorded  ({written.id})")


@command("callback", example='standwatch callback 2398 --code set-up --note "out of beat: the floor gives"')
@TAG
@click.option("--code", metavar="CODE", required=True, help="set-up, mechanical, user or cosmetic.")
@click.option("--stopped", is_flag=True, help="It had stopped.")
@AT
@NOTE
@pass_session
def callback(session: Session, /, tag: str, *, stopped: bool, at: str | None, **options: str | None) -> None:
    """A released clock came back, or someone had to go to it: within its warranty or after it is said."""
    cells = _given(options) | _stopped_at(session, at, stopped=stopped)
    written = session.needed().callback(tag, cells, session.now)
    click.echo(f"{written.tag}: {written.text}  ({written.id})")


def _given(options: Mapping[str, str | None]) -> dict[str, object]:
    """The options that were given, as columns of a step."""
    names = {"note": "reason"}
    return {names.get(name, name): value for name, value in options.items() if value is not None}


def _stopped_at(session: Session, at: str | None, *, stopped: bool) -> dict[str, object]:
    cells: dict[str, object] = {"stopped": "yes"} if stopped else {}
    return cells if at is None else {**cells, "at": session.time(at)}
