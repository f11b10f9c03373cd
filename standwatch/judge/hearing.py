"""When the next thing worth hearing sounds: a quarter, an hour not heard yet, the end of a mis-set's two hours."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from standwatch.judge.case import Case
from standwatch.judge.chiming import (
    last_heard,
    positions_left,
    quarters_to_hear,
    silent_set,
    tries_left,
    try_running,
)
from standwatch.judge.evidence import listed
from standwatch.judge.provoking import ALLOWED, provoked
from standwatch.judge.striking import HOURS, hours_to_hear
from standwatch.model.answers import Quantity
from standwatch.model.words import Chime, Requirement, Train, Work

SHOP_HOURS = timedelta(hours=10)
"""How long after its round a shop hears its clocks (common practice: eight to six)."""
_QUARTER = timedelta(minutes=15)


@dataclass(frozen=True, slots=True)
class Hearing:
    """Something to hear: when it sounds (None where that is not in the shop's hours), a sentence, and two words."""

    at: datetime | None
    text: str
    short: str


def chime_to_hear(case: Case) -> Hearing:
    """The next quarter, for a chime that was out of step."""
    at = next_quarter(case, case.now)
    return Hearing(at, f"listen at {_clock(case, at)}: is the chime in step again", f"listen {_clock(case, at)}")


def to_hear(case: Case, wanted: frozenset[Requirement]) -> Hearing | None:
    """What is worth hearing next for the `wanted` requirements; None where nothing is."""
    running = try_running(case)
    if running is not None and Requirement.MIS_SET in wanted:
        at = running.at + ALLOWED
        return Hearing(at, f"listen by {_clock(case, at)}: in step after the mis-set", f"listen {_clock(case, at)}")
    if _correcting(case):
        at = _next_hour(case, case.now)
        return Hearing(at, f"correcting: listen after {_clock(case, at)}", f"listen {_clock(case, at)}")
    for requirement, hear in (
        (Requirement.TWELVE_COUNTS, _counts),
        (Requirement.CHIME_STEP, _step),
        (Requirement.TUNES, _tunes),
        (Requirement.MIS_SET, _mis_set),
    ):
        if requirement in wanted and (found := hear(case)) is not None:
            return found
    return None


def next_quarter(case: Case, after: datetime) -> datetime:
    """The first quarter of civil time after `after`."""
    local = after.astimezone(case.history.zone)
    past = timedelta(minutes=local.minute % 15, seconds=local.second, microseconds=local.microsecond)
    return (after - past + _QUARTER).astimezone(UTC)


def _next_hour(case: Case, after: datetime) -> datetime:
    at = next_quarter(case, after)
    while at.astimezone(case.history.zone).minute:
        at += _QUARTER
    return at


def next_in_shop(case: Case, after: datetime) -> datetime:
    """`after`, or the next round where the shop is closed by then."""
    begun = case.rounds.before(after)
    return after if after - begun < SHOP_HOURS else case.rounds.next_after(after)


def _counts(case: Case) -> Hearing:
    hours = hours_to_hear(case)
    names = listed([HOURS[h - 1] for h in hours])
    coming = [at for h in hours if (at := _sounds(case, h)) is not None]
    short = f"hear {names}" if len(hours) == 1 else f"hear {len(hours)} hours"
    text = f"hear {names}" if len(hours) <= 4 else f"hear {len(hours)} of the twelve hours"
    if not coming:
        text += ": it sounds when the shop is closed; shift the hours once, or stage it by hand"
    return Hearing(min(coming, default=None), text, short)


def _sounds(case: Case, hour: int) -> datetime | None:
    """When `hour` next sounds within shop hours of the next open days; None where it doesn't, or nobody can tell."""
    error = case.estimates.time.error_at(case.now)
    ahead = timedelta(seconds=error.estimate) if isinstance(error, Quantity) else timedelta()
    day = next_in_shop(case, case.now)
    for begins in (day, case.rounds.next_after(day)):
        at = _next_hour(case, begins - timedelta(seconds=1))
        while at - begins < SHOP_HOURS:
            shown = (at.astimezone(case.history.zone).hour + shifted_hours(case) - 1) % 12 + 1
            if shown == hour and at - ahead > case.now and next_in_shop(case, at) == at:
                return at - ahead
            at += timedelta(hours=1)
    return None


def shifted_hours(case: Case) -> int:
    """Whole hours by which the hands were shifted forward, so that other hours sound by day."""
    return round(sum(v.row.amount or 0.0 for v in case.history.works(Work.HOURS_SHIFTED)))


def _step(case: Case) -> Hearing | None:
    heard = last_heard(case)
    zone = case.history.zone
    today = case.now.astimezone(zone).date()
    quarters = quarters_to_hear(case)
    if heard is not None and heard.at.astimezone(zone).date() == today and not quarters:
        return None
    at = next_quarter(case, next_in_shop(case, case.now))
    what = f"quarter {quarters[0]}" if len(quarters) == 1 else f"quarters {listed([str(q) for q in quarters])}"
    text = f"listen at {_clock(case, at)}: {what if quarters else 'a further morning'} in step"
    return Hearing(at, text, f"listen {_clock(case, at)}")


def _tunes(case: Case) -> Hearing | None:
    left = positions_left(case)
    if not left:
        return None
    what = f"tune {left[0]}" if left[0] else "silent"
    rest = "" if left[0] else ", and the return from it"
    at = next_quarter(case, next_in_shop(case, case.now))
    return Hearing(at, f"hear {what}{', four quarters' if left[0] else rest}", f"hear {what}")


def _mis_set(case: Case) -> Hearing | None:
    left = tries_left(case)
    if not left:
        return None
    text = f"set the chime {left[0]} {'quarter' if left[0] == 1 else 'quarters'} out and listen for two hours"
    return Hearing(next_quarter(case, next_in_shop(case, case.now)), text, f"mis-set {left[0]}")


def _correcting(case: Case) -> bool:
    """Whether the chime was last heard out of step for a reason, and must be heard right again."""
    if Train.CHIME not in case.traits.trains or silent_set(case):
        return False
    heard = last_heard(case)
    return heard is not None and heard.row.chime is Chime.OUT_OF_STEP and provoked(case.history, heard)


def _clock(case: Case, at: datetime) -> str:
    return f"{at.astimezone(case.history.zone):%H:%M}"
