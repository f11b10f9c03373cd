"""What the shop is told without asking: what to hear soon, what runs out, that a round is due, what was missed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.horology.rounds import Rounds
from standwatch.judge.evidence import WORKING_DAY, listed
from standwatch.model.answers import Moment
from standwatch.model.units import clock_words
from standwatch.service.bench.winding import WIND, winding_of
from standwatch.service.hearing.quarter import Listening, Row, open_at
from standwatch.service.hearing.voices import QUARTER, REACH, mark_of
from standwatch.service.views import StandView

NOTICE = timedelta(minutes=2)
"""So long before the first voice one is told to listen."""
CLOSING = timedelta(hours=1)
"""So long before the end of a working day one is told what to wind before leaving."""
_NAMED = 6
"""Clocks that one notice names."""


def to_come(heard: Listening, now: datetime) -> tuple[Row, ...]:
    """Of those worth hearing, the ones that have not sounded yet and of which nothing was told."""
    return tuple(row for row in heard.hear if row.voice.at > now and row.answered is None)


def listen_words(heard: Listening, now: datetime) -> str:
    """Whom to hear, in order; not when each sounds, which would tell its error before it is read."""
    names = [row.voice.name for row in to_come(heard, now)]
    if not names:
        return ""
    left = clock_words((to_come(heard, now)[0].voice.at - now).total_seconds())
    then = f", then {listed(names[1:])}" if names[1:] else ""
    return f"{heard.words[0].upper()}{heard.words[1:]}: listen to {names[0]} in {left}{then}; l shows what for."


def slept_words(rounds: Rounds, since: datetime, until: datetime, told: datetime | None = None) -> str:
    """The quarters of open hours of which nobody was told, the computer having slept; empty where there were none.

    `told` is the last quarter of which somebody was.
    """
    first = mark_of(since + REACH)
    quarters = [first + n * QUARTER for n in range(max((until - first) // QUARTER + 1, 0))]
    missed = [at for at in quarters if since < at <= until and at != told and open_at(rounds, at)]
    if not missed:
        return ""
    far = since.astimezone(rounds.zone).date() != until.astimezone(rounds.zone).date()
    begun, ended, *times = (_time(at, rounds, day=far) for at in (since, until, *missed))
    named = f"at {listed(times)}" if len(times) <= _NAMED else f"at {len(times)} quarters, {times[0]} to {times[-1]}"
    return f"The computer slept from {begun} to {ended}: nobody was told to listen {named}."


def _time(at: datetime, rounds: Rounds, *, day: bool) -> str:
    local = at.astimezone(rounds.zone)
    return f"{local:%a %H:%M}" if day else f"{local:%H:%M}"


@dataclass(frozen=True, slots=True)
class RunsOut:
    """A clock that wants winding before the next round: its name, and from when on it may run out."""

    tag: str
    name: str
    low: datetime


def running_out(view: StandView) -> tuple[RunsOut, ...]:
    """The clocks to wind before the next round, each by its soonest train; not those that are let run out."""
    soonest: dict[str, RunsOut] = {}
    for line in winding_of(view).running_out:
        if line.do == WIND and isinstance(line.runs_out, Moment):
            told = RunsOut(line.tag, line.slot or line.tag, line.runs_out.low)
            if line.tag not in soonest or told.low < soonest[line.tag].low:
                soonest[line.tag] = told
    return tuple(sorted(soonest.values(), key=lambda told: told.low))


def soon_words(running: Sequence[RunsOut], rounds: Rounds, now: datetime) -> str:
    """What may run out while the shop is open; the soonest first."""
    low = running[0].low
    when = "any time now" if low <= now else f"from {low.astimezone(rounds.zone):%H:%M} on"
    return f"{_names(running)} may run out {when}; w winds."


def closing_words(running: Sequence[RunsOut], rounds: Rounds, now: datetime) -> str:
    """What to wind before one leaves."""
    following = rounds.next_after(now).astimezone(rounds.zone)
    verb = "runs" if len(running) == 1 else "run"
    return f"Before you go: {_names(running)} {verb} out before the next round, {following:%a %H:%M}; w winds."


def closes_at(rounds: Rounds, now: datetime) -> datetime:
    """When the working day of the last round ends."""
    return rounds.before(now) + WORKING_DAY


def round_words(begins: datetime, rounds: Rounds, clocks: int, *, slept: bool = False) -> str:
    """That a round is due."""
    at = f"{begins.astimezone(rounds.zone):%H:%M}"
    many = f"{clocks} {'clock' if clocks == 1 else 'clocks'}"
    if slept:
        return f"The round of {at} is due since the computer slept: {many} to read; r begins it."
    return f"The round of {at} is due: {many} to read; r begins it."


def _names(running: Iterable[RunsOut]) -> str:
    names = [told.name for told in running]
    more = len(names) - _NAMED
    return listed([*names[:_NAMED], f"{more} more"]) if more > 0 else listed(names)
