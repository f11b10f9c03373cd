"""Level with the bob, in words: which weights, from when to when, on the stand or in their own case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from standwatch.estimate.answers import Estimates
from standwatch.estimate.bob import TrainPassage, passages_of
from standwatch.horology.hanging import one_weight
from standwatch.model.answers import Moment, NotYetKnown

_BY_THE_HOUR = timedelta(hours=12)
"""A passage shorter than this is told in hours, a longer one in days."""


@dataclass(frozen=True, slots=True)
class Level:
    """One time at which weights hang level with the bob; `who` names them, `in_case` says where.

    The times carry their 95 % interval. `measured`: the bob's place was told, not taken from its beats.
    """

    who: str
    enters: Moment
    leaves: Moment
    in_case: bool
    measured: bool

    @property
    def by_day(self) -> bool:
        """Long enough to be told in days."""
        return self.leaves.at - self.enters.at > _BY_THE_HOUR

    def open_at(self, at: datetime) -> bool:
        """Whether they hang there at `at`, as far as one can tell."""
        return self.enters.at <= at < self.leaves.at


def levels_of(estimates: Estimates) -> tuple[Level, ...] | NotYetKnown:
    """The times on this wind, past and to come, at which weights are level with the bob; those that overlap are one."""
    found = passages_of(estimates.history, estimates.power)
    if isinstance(found, NotYetKnown):
        return found
    groups: list[list[TrainPassage]] = []
    for each in sorted(found, key=lambda one: one.passage.enters.at):
        if groups and each.passage.enters.at <= max(one.passage.leaves.at for one in groups[-1]):
            groups[-1].append(each)
        else:
            groups.append([each])
    weights = 1 if one_weight(estimates.history.traits) else len(estimates.power.trains)
    return tuple(_level(group, weights) for group in groups)


def _level(group: Sequence[TrainPassage], weights: int) -> Level:
    first = min((one.passage.enters for one in group), key=lambda moment: moment.at)
    last = max((one.passage.leaves for one in group), key=lambda moment: moment.at)
    names = [str(one.run.train) for one in group]
    if len(group) == weights:
        who = "weights" if weights > 1 else "weight"
    else:
        who = " and ".join(names) + (" weights" if len(names) > 1 else " weight")
    return Level(who, first, last, group[0].passage.in_case, group[0].passage.measured)


def level_words(level: Level, now: datetime, zone: ZoneInfo) -> str:
    """ "weights level with the bob Tue 4 to Thu 6 Nov", as it was, is or will be, with its doubt where that is days."""
    times = span_words(level.enters.at, level.leaves.at, zone, by_day=level.by_day)
    verb = " were" if level.leaves.at <= now else " are now" if level.open_at(now) else ""
    if verb and level.who.endswith("weight"):
        verb = verb.replace("were", "was").replace("are", "is")
    said = f"{level.who}{verb} level with the bob {times}{' in its own case' if level.in_case else ''}"
    widest = span_words(level.enters.low, level.leaves.high, zone, by_day=level.by_day)
    doubt = f"95 %: {widest}" if widest != times else ""
    guess = "" if level.measured else "the bob's height by its beats, not measured"
    more = "; ".join(part for part in (doubt, guess) if part)
    return f"{said} ({more})" if more else said


def span_words(start: datetime, end: datetime, zone: ZoneInfo, *, by_day: bool = True) -> str:
    """ "Tue 4 to Thu 6 Nov", "Fri 30 Oct to Sun 1 Nov"; by the hour "Tue 4 Nov 14:00 to 17:00"."""
    first, last = start.astimezone(zone), end.astimezone(zone)
    month = "" if (first.year, first.month) == (last.year, last.month) else f" {first:%b}"
    if not by_day:
        until = f"{last:%H:%M}" if first.date() == last.date() else f"{last:%a} {last.day} {last:%b %H:%M}"
        return f"{first:%a} {first.day} {first:%b %H:%M} to {until}"
    if first.date() == last.date():
        return f"{first:%a} {first.day} {first:%b}"
    return f"{first:%a} {first.day}{month} to {last:%a} {last.day} {last:%b}"


def next_level(levels: Sequence[Level], now: datetime) -> Level | None:
    """The one that is now or comes next; the last one where all are past."""
    ahead = [level for level in levels if level.leaves.at > now]
    return ahead[0] if ahead else (levels[-1] if levels else None)
