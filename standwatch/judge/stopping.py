"""A stop in words: when it was, as far as dial, weights and moon tell, and how to say that it is explained."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.estimate.going import Going, Stop
from standwatch.estimate.history import History, Visit
from standwatch.estimate.spells import turns_short
from standwatch.estimate.stops import CREDIBLE, concerns
from standwatch.model.words import Train, Work

SURE = 0.9
"""Odds from which the first candidate is told alone."""
PLAINLY_MM = 30.0
"""Two readings of one weight differ by less (common practice: each is read to 2 to 5 mm, at a slant more)."""
_HIGHER = "; its weight hangs higher than when it was last read: wound since, and not told?"
_NAMED = 3
"""Of more candidates only the first and the last are named."""


@dataclass(frozen=True, slots=True)
class StopTold:
    """One stop: `text` says when it was found, how it hung and when it was; `mend` how to explain it, or nothing."""

    text: str
    mend: str


def stops_told(history: History, going: Going) -> tuple[StopTold, ...]:
    """The stops that want something: those nobody has explained, and what hangs now; latest first."""
    wanted = {stop.id: stop for stop in going.unexplained}
    if going.hangs is not None:
        wanted[going.hangs.id] = going.hangs
    told = sorted(wanted.values(), key=lambda stop: stop.found_at, reverse=True)
    return tuple(StopTold(_text(history, stop), _mend(stop)) for stop in told)


def stopped_when(history: History, stop: Stop) -> str:
    """ "Thu 19 Nov 15:46 or Fri 20 Nov 03:46 by its dial"; empty where nobody noted how it hung."""
    likely = sorted(at for at, odds in stop.candidates if odds >= CREDIBLE)
    if not likely:
        return ""
    first = stop.candidates[0]
    if first[1] >= SURE:
        return f"{_time(history, first[0])} by {_by(history, stop)}"
    if len(likely) > _NAMED:
        return f"one of {len(likely)} half-days from {_time(history, likely[0])} on, by {_by(history, stop)}"
    names = [_time(history, at) for at in likely]
    return f"{', '.join(names[:-1])} or {names[-1]} by {_by(history, stop)}"


def ended_words(history: History, stop: Stop) -> str:
    """ "ran out", "ran out early", "stopped", or "stopped with power left": how the key of a spring tells it."""
    if ran_down(history, stop):
        return "ran out" if stop.in_time else "ran out early"
    return "stopped with power left" if stop.ran_out else "stopped"


def ran_down(history: History, stop: Stop) -> bool:
    """Whether it was found run out, and no key has told since that there was power left."""
    return stop.ran_out and power_left(history, stop) is None


def power_left(history: History, stop: Stop) -> tuple[float, float] | None:
    """Of a spring called run out: the few turns that its key took since, and those to full; None else, or untold."""
    index = next(index for index, visit in enumerate(history.visits) if visit.id == stop.id)
    return turns_short(history, index, stop.train or Train.GOING) if stop.ran_out else None


def _text(history: History, stop: Stop) -> str:
    visit = next(visit for visit in history.visits if visit.id == stop.id)
    dial = visit.row.dial
    left = power_left(history, stop)
    power = f"; the key took {left[0]:g} of {left[1]:g} turns" if left else ""
    what = "" if stop.train is Train.GOING else f"{stop.train} "
    how = "stopped with power left" if left else "run out" if stop.ran_out else "hanging"
    found = f"{what}found {how} {_time(history, stop.found_at)}"
    if stop.train is not Train.GOING:
        return found + power
    if dial is None:
        seen = "" if stop.shown_until is None else f"; last seen going {_time(history, stop.shown_until)}"
        return f"{found}, its dial not noted{seen}{power}"
    if not stop.candidates:
        return f"{found} at {dial}: no time since it was last seen going fits, were its hands moved?{power}"
    odds = [(at, share) for at, share in stop.candidates if share >= CREDIBLE]
    higher = _HIGHER if _hangs_higher(history, visit) else ""
    if len(odds) > _NAMED:
        return f"{found} at {dial}: {stopped_when(history, stop)}{higher}{power}"
    said = [f"{_time(history, at)} ({odds_words(share)})" for at, share in odds]
    ended = "ran out" if stop.ran_out and not left else "stopped"
    return f"{found} at {dial}: it {ended} {' or '.join(said)}{higher}{power}"


def _hangs_higher(history: History, found: Visit) -> bool:
    """Whether the going weight hangs plainly higher than when it was last read, and no wind is told in between."""
    hangs = found.row.fall_mm(Train.GOING)
    before = [visit for visit in history.visits if (visit.at, visit.order) < (found.at, found.order)]
    for visit in reversed(before):
        if visit.work is Work.WOUND and concerns(history, visit, Train.GOING):
            return False
        read = visit.row.fall_mm(Train.GOING)
        if read is not None:
            return hangs is not None and hangs < read - PLAINLY_MM
    return False


def _mend(stop: Stop) -> str:
    if stop.explained or stop.in_time:
        return ""
    return f"once its cause is known: standwatch correct {stop.id} explained=yes note='what it was'"


def _by(history: History, stop: Stop) -> str:
    """What told it, beside the dial."""
    visit = next(visit for visit in history.visits if visit.id == stop.id)
    falls = [train for train in history.traits.usable_mm if visit.row.fall_mm(train) is not None]
    told = ["its dial"]
    told += ["weights" if len(falls) > 1 else "weight"] if falls else []
    told += ["moon"] if visit.row.moon_age_d is not None else []
    return " and ".join([", ".join(told[:-1]), told[-1]]) if len(told) > 1 else told[0]


def nearest_minute(at: datetime) -> datetime:
    """As a dial is told."""
    return (at + timedelta(seconds=30)).replace(second=0, microsecond=0)


def odds_words(share: float) -> str:
    """ "67 %"; what is nearly sure is never told as sure."""
    return "over 99 %" if share > 0.99 else f"{share * 100:.0f} %"


def _time(history: History, at: datetime) -> str:
    local = nearest_minute(at).astimezone(history.zone)
    return f"{local:%a} {local.day} {local:%b} {local:%H:%M}"
