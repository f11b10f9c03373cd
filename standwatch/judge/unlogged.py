"""Work that the readings betray and nobody logged, or logged the other way round, in words, and how to mend it now."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.estimate.answers import Estimates, SuspectedWork
from standwatch.estimate.history import Visit
from standwatch.horology.civil import civil_changes
from standwatch.judge.wrong_way import WrongWay, wrong_way
from standwatch.model.units import HOUR_S, clock_words
from standwatch.model.words import Drive, Work

CIVIL_SLACK_S = 10.0
"""A step of the error is taken for a whole hour within so much, or four times a reading's doubt."""
SET_WITHIN = timedelta(days=14)
"""So long after a civil change a stand's clocks are still being set (common practice)."""
SAID_FOR = timedelta(days=7)
"""How long a clock's next step may be about it; after that it is told on the clock's page alone."""
_SAME = timedelta(days=4)
_SURE = 0.95
_IN_SECONDS = 120.0
_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Unlogged:
    """One piece of work that nobody logged, done after the sound reading at `after`, before that at `before`.

    `short` is for a column ("nut turned?"), `mark` for a chart ("nut?"); `what`, `amount` and `when` make a sentence.
    `command` logs it: at `after`, since work is done once the clock is read. Where the time of day is known better,
    or how far, the person says so.
    """

    work: Work
    after: datetime | None
    before: datetime
    short: str
    mark: str
    what: str
    amount: str
    when: str
    command: str
    asks: str = "not logged?"
    mends: str = "log it"

    @property
    def brief(self) -> str:
        """ "nut turned, not logged? about 12 s/day faster"."""
        return f"{self.what}, {self.asks} {self.amount}"

    @property
    def text(self) -> str:
        """ "nut turned, not logged? about 12 s/day faster, between Tue 9 and Wed 10 Nov"."""
        return f"{self.brief}, {self.when}"

    @property
    def mend(self) -> str:
        """How to log it, or to put right what was logged."""
        return f"{self.mends}: {self.command}"


def unlogged_of(estimates: Estimates) -> tuple[Unlogged, ...]:
    """What the readings betray, oldest first."""
    other_way = wrong_way(estimates)
    told = [_told(estimates, found) for found in estimates.suspected_work if not _is(other_way, found)]
    if other_way is not None:
        told.append(_other_way(estimates, other_way))
    return tuple(sorted(told, key=lambda each: each.before))


def newly_betrayed(known: Sequence[SuspectedWork], estimates: Estimates) -> tuple[Unlogged, ...]:
    """What is not among the work `known` of before, though it may have been placed some readings off."""
    new = [
        found
        for found in estimates.time.suspected_work
        if not any(k.what is found.what and abs(k.at - found.at) <= _SAME for k in known)
    ]
    other_way = wrong_way(estimates) if new else None
    return tuple(
        _other_way(estimates, other_way) if other_way is not None and _is(other_way, found) else _told(estimates, found)
        for found in new
    )


def _is(other_way: WrongWay | None, found: SuspectedWork) -> bool:
    """Whether the turn that seems not to be logged is one that was, the other way round."""
    return other_way is not None and found.what is Work.NUT and other_way.at < found.at <= other_way.seen


def _other_way(estimates: Estimates, turned: WrongWay) -> Unlogged:
    """ "nut turned, wrong way? told as lowering the bob 0.5 turns, and it goes 12 s/day faster, since Wed 14 Oct"."""
    history = estimates.history
    bob = history.traits.oscillator == "pendulum"
    turns = f"{abs(turned.turns):g} turn{'' if abs(turned.turns) == 1 else 's'}"
    if bob:
        did = f"{'raising' if turned.turns > 0 else 'lowering'} the bob {turns}"
    else:
        did = f"{turns} towards {'faster' if turned.turns > 0 else 'slower'}"
    side = "faster" if turned.change > 0 else "slower"
    local = turned.at.astimezone(history.zone)
    return Unlogged(
        work=Work.NUT,
        after=turned.at,
        before=turned.seen,
        short="nut's way?" if bob else "index's way?",
        mark="way?",
        what="nut turned" if bob else "index moved",
        amount=f"told as {did}, and it goes {_figure(turned.change)} s/day {side}",
        when=f"since {local:%a} {local.day} {local:%b}",
        command=f"standwatch correct {turned.id} amount={-turned.turns:g}",
        asks="wrong way?",
        mends="if it was the other way",
    )


def _told(estimates: Estimates, found: SuspectedWork) -> Unlogged:
    history = estimates.history
    last = _sound_before(estimates, found.at)
    after = None if last is None else last.at
    summer = found.what is Work.HANDS_SET and _summer_time(estimates, found, after)
    if found.what is Work.NUT:
        bob = history.traits.oscillator == "pendulum"
        short, mark = ("nut turned?", "nut?") if bob else ("index moved?", "index?")
        side = "faster" if found.amount > 0 else "slower"
        amount = f"about {_figure(found.amount)} s/day {side}"
    elif found.what is Work.WOUND:
        short, mark = "wound?", "wound?"
        unit = "mm" if history.traits.drive is Drive.WEIGHT else "turns"
        amount = f"about {abs(found.amount):.0f} {unit}"
    else:
        short, mark = ("summer time?", "summer time?") if summer else ("hands set?", "set?")
        amount = f"{_span(found.amount, hour=summer)} {'forward' if found.amount > 0 else 'back'}"
    likely = ", likely though not sure" if found.odds < _SURE else ""
    return Unlogged(
        work=found.what,
        after=after,
        before=found.at,
        short=short,
        mark=mark,
        what=short.rstrip("?"),
        amount=amount,
        when=f"{_when(estimates, after, found.at)}{likely}",
        command=_command(estimates, found, last, by_civil_time=summer),
    )


def _sound_before(estimates: Estimates, at: datetime) -> Visit | None:
    doubted = {suspect.id for suspect in estimates.time.suspects}
    return next((v for v in reversed(estimates.history.readings) if v.at < at and v.id not in doubted), None)


def _summer_time(estimates: Estimates, found: SuspectedWork, after: datetime | None) -> bool:
    """Whether the step is that of civil time, which moved then or within two weeks before."""
    if abs(abs(found.amount) - HOUR_S) > max(CIVIL_SLACK_S, 4 * estimates.history.usual_doubt_s):
        return False
    start = (found.at if after is None else after) - SET_WITHIN
    return any(abs(moved) == HOUR_S for _, moved in civil_changes(estimates.history.zone, start, found.at))


def _command(estimates: Estimates, found: SuspectedWork, last: Visit | None, *, by_civil_time: bool) -> str:
    """The command that logs it, as if done once the clock was read for the last time before.

    Summer time mends what was read by the dial; an error told in seconds is against the old civil time in any case
    (its step is the hands').
    """
    zone = estimates.history.zone
    by_dial = any(v.at == found.at and v.row.dial is not None for v in estimates.history.readings)
    what = Work.SUMMER_TIME if by_civil_time and by_dial else found.what
    done = found.at - _MINUTE if last is None else last.at
    whole = done.replace(second=0, microsecond=0)
    whole = min(whole + _MINUTE if whole < done else whole, found.at)
    local = whole.astimezone(zone)
    return f"standwatch work {shlex.quote(estimates.history.clock.tag)} {what} --at {local:%Y-%m-%dT%H:%M}"


def _figure(value: float) -> str:
    return f"{abs(value):.0f}" if abs(value) >= 9.5 else f"{abs(value):.1f}"


def _span(seconds: float, *, hour: bool) -> str:
    if hour:
        return "an hour"
    return f"{abs(seconds):.0f} s" if abs(seconds) < _IN_SECONDS else clock_words(seconds)


def _when(estimates: Estimates, after: datetime | None, before: datetime) -> str:
    """ "between Tue 9 and Wed 10 Nov", in the shop's time; with the hours where both are of one day."""
    zone = estimates.history.zone
    end = before.astimezone(zone)
    last = f"{end:%a} {end.day} {end:%b}"
    if after is None:
        return f"before {last}"
    start = after.astimezone(zone)
    if start.date() == end.date():
        return f"on {last} between {start:%H:%M} and {end:%H:%M}"
    month = "" if (start.year, start.month) == (end.year, end.month) else f" {start:%b}"
    return f"between {start:%a} {start.day}{month} and {last}"
