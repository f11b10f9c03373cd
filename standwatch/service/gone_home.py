"""The clocks at their owners': calls due, what was last told of them, and what brought anyone back to them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standwatch.horology.kinds import KINDS
from standwatch.judge.phases import Phase, call_days, calls_left, phase_of
from standwatch.model.facts import Handover
from standwatch.model.text import natural
from standwatch.service.assessing import Assessor


@dataclass(frozen=True, slots=True)
class Gone:
    """One clock at its owner's. `due` is the next call still to be made, None when all are.

    `error_s` (+ fast) was told there last, at `told_at`; `said` is what was told last in words; `called_back` the codes
    of every time it came back or somebody had to go.
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


def gone_home(office: Assessor, now: datetime) -> tuple[Gone, ...]:
    """Every clock that is at its owner's at `now`: calls due first, soonest first, then the latest to go home."""
    days = office.shop().calls
    found = []
    for tag in office.clocks():
        facts = office.facts(tag)
        steps = facts.steps(now)
        if phase_of(steps) is not Phase.DELIVERED:
            continue
        clock = facts.clock.body
        left = calls_left(steps, call_days(days, movement_only=bool(clock.movement_only)))
        away = steps[max(n for n, step in enumerate(steps) if step.what == "delivered") :]
        told = _told(away, [(r.body.at, r.body.error_s) for r in facts.check_ins if away[0].at < r.body.at <= now])
        found.append(
            Gone(
                tag,
                KINDS[clock.kind].short,
                clock.owner or "",
                away[0].at,
                left[0] if left else None,
                told[1] if told else None,
                told[0] if told else None,
                next((step.reason for step in reversed(away) if step.reason), ""),
                bool(away[-1].stopped),
                tuple(step.code for step in steps if step.what == "called-back" and step.code),
                clock.repaired or "",
            )
        )
    return tuple(sorted(found, key=_order))


def _told(away: tuple[Handover, ...], read: list[tuple[datetime, float | None]]) -> tuple[datetime, float] | None:
    """The last error told of it since it went home."""
    told = [(step.at, step.error_s) for step in away] + read
    known = [(at, error) for at, error in told if error is not None]
    return max(known) if known else None


def _order(gone: Gone) -> tuple[bool, float, tuple[tuple[int, int, str], ...]]:
    first = gone.due.timestamp() if gone.due is not None else -gone.since.timestamp()
    return gone.due is None, first, natural(gone.tag)
