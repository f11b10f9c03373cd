"""The clocks at their owners': calls due, what was last told of them, and what brought anyone back to them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from standwatch.horology.kinds import KINDS
from standwatch.judge.phases import Phase, call_days, calls_left, phase_of
from standwatch.model.answers import Answer
from standwatch.model.facts import Clock, Handover
from standwatch.model.text import natural
from standwatch.service.after.returns import Job, jobs_of, steps_of
from standwatch.service.after.warranty import warranty_ends
from standwatch.service.assessing import Assessor
from standwatch.service.office.shelf import ClockFacts
from standwatch.service.shop import Shop
from standwatch.service.wording import left_parts


@dataclass(frozen=True, slots=True)
class Gone:
    """One clock at its owner's. `due` is the next call still to be made, None when all are.

    `error_s` (+ fast) was told there last, at `told_at`; `said` is what was told last in words; `called_back` the codes
    of every time it came back or somebody had to go. `left` says how it was left there, `went` on what it was let go.
    `warranty` is the last day of it, None without one, and `in_warranty` whether that is still to come.
    """

    tag: str
    kind: str
    owner: str
    since: datetime
    due: datetime | None
    error_s: float | None
    told_at: datetime | None
    said: str
    stopped: bool
    called_back: tuple[str, ...]
    repaired: str
    left: str
    went: str
    warranty: date | None
    in_warranty: bool


@dataclass(frozen=True, slots=True)
class TimeThere:
    """An error told or read at its owner's, in s (+ fast), and what was expected by all that was told before."""

    at: datetime
    error_s: float
    expected: Answer


def times_there(office: Assessor, tag: str, now: datetime) -> tuple[TimeThere, ...]:
    """The errors told of a clock since it went home, oldest first, against the forecast; none where it is not there."""
    home = office.assess(tag, now).estimates.home
    return () if home is None else tuple(TimeThere(*told) for told in home.told)


def gone_home(office: Assessor, now: datetime) -> tuple[Gone, ...]:
    """Every clock that is at its owner's at `now`: calls due first, soonest first, then the latest to go home."""
    shop, clocks = office.shop(), office.clocks()
    by_tag = steps_of(office, now)
    gone = {tag: steps for tag, steps in by_tag.items() if phase_of(steps) is Phase.DELIVERED}
    last = office.book.last_read(now)
    read = office.facts_of(tag for tag, steps in gone.items() if tag in last and last[tag] > _away(steps)[0].at)
    found = (_gone(clocks[tag].body, steps, read.get(tag), shop, now) for tag, steps in gone.items())
    return tuple(sorted(found, key=_order))


def _away(steps: Sequence[Handover]) -> Sequence[Handover]:
    """The steps from the last delivery on."""
    return steps[max(n for n, step in enumerate(steps) if step.what == "delivered") :]


def _gone(clock: Clock, steps: Sequence[Handover], facts: ClockFacts | None, shop: Shop, now: datetime) -> Gone:
    """One clock; `facts` are its facts where something was read since it went home."""
    left = calls_left(steps, call_days(shop.calls, movement_only=bool(clock.movement_only)))
    away = _away(steps)
    rows = [record.body for record in facts.check_ins] if facts is not None else []
    read = [(row.at, row.error_s) for row in rows if away[0].at < row.at <= now]
    told = _told(away, read)
    job = jobs_of(clock, steps, now)[-1]
    ends = warranty_ends(steps, shop)
    return Gone(
        tag=clock.tag,
        kind=KINDS[clock.kind].short,
        owner=clock.owner or "",
        since=away[0].at,
        due=left[0] if left else None,
        error_s=told[1] if told else None,
        told_at=told[0] if told else None,
        said=next((step.reason for step in reversed(away[1:]) if step.reason), ""),
        stopped=bool(away[-1].stopped),
        called_back=tuple(step.code for step in steps if step.what == "called-back" and step.code),
        repaired=clock.repaired or "",
        left="; ".join([*left_parts(away[0]), *([away[0].reason] if away[0].reason else [])]),
        went=_went(job),
        warranty=ends,
        in_warranty=ends is not None and now.astimezone(shop.zone).date() <= ends,
    )


def _went(job: Job) -> str:
    """ "after 28 days, its kind asks 21; waived: oil"."""
    parts = [] if job.days is None else [f"after {job.days:.0f} days, its kind asks {job.least_days:g}"]
    if job.waived is not None:
        parts.append(f"waived: {', '.join(job.waived)}" if job.waived else "nothing waived")
    return "; ".join(parts)


def _told(away: Sequence[Handover], read: list[tuple[datetime, float | None]]) -> tuple[datetime, float] | None:
    """The last error told of it since it went home."""
    told = [(step.at, step.error_s) for step in away] + read
    known = [(at, error) for at, error in told if error is not None]
    return max(known) if known else None


def _order(gone: Gone) -> tuple[bool, float, tuple[tuple[int, int, str], ...]]:
    first = gone.due.timestamp() if gone.due is not None else -gone.since.timestamp()
    return gone.due is None, first, natural(gone.tag)
