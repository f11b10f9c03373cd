"""A clock's story as the judge sees it: real estimates, real running, a shop open Monday to Friday from eight."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, time
from typing import Any

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.history import History, history_of, rail_of
from standwatch.horology.rounds import Rounds
from standwatch.judge.assess import assess
from standwatch.judge.assessment import Assessment, Verdict
from standwatch.judge.case import Case
from standwatch.judge.requirements import verdicts_of
from standwatch.model.facts import Clock, Handover, Waiver
from standwatch.model.records import Record, build
from standwatch.model.words import Outcome, Requirement, Work
from tests.stories import ZONE, at, rows

MON_FRI = frozenset(range(5))


def rounds(*, days: frozenset[int] = MON_FRI, holidays: Iterable[date] = ()) -> Rounds:
    """One round at eight on each open day."""
    return Rounds(ZONE, time(8), days, frozenset(holidays))


def history(
    kind: str,
    ledger: str | Iterable[str],
    *,
    now: str,
    tag: str = "T1",
    handed: Iterable[str] = (),
    waived: Iterable[str] = (),
    asked: Mapping[str, float] | None = None,
    **columns: Any,
) -> History:
    """The History of a story; `handed` are lines "11-20 09:00 released", `waived` "11-20 09:00 amount reason".

    `asked` is what the shop asks of clocks of this kind.
    """
    clock = build(Clock, {"tag": tag, "kind": kind, **columns})
    records = rows(ledger, tag=tag)
    steps, waivers = [], []
    for number, line in enumerate(handed):
        day, hour, what = line.split()
        handover = build(Handover, {"at": at(f"{day} {hour}"), "tag": tag, "what": what})
        steps.append(Record(f"h{number}", handover, number, number, None, handover.at))
    for number, line in enumerate(waived):
        day, hour, name, reason = line.split(maxsplit=3)
        waiver = build(
            Waiver, {"at": at(f"{day} {hour}"), "tag": tag, "requirement": name, "reason": reason, "by": "RQ"}
        )
        waivers.append(Record(f"w{number}", waiver, number, number, None, waiver.at))
    bumps = [(rail_of(clock.position or ""), r.body.at) for r in records if r.body.work is Work.BUMPED]
    return history_of(
        clock,
        records,
        now=at(now),
        zone=ZONE,
        rail_bumps=bumps,
        handovers=steps,
        waivers=waivers,
        limits={clock.kind: asked or {}},
    )


def case(kind: str, ledger: str | Iterable[str], *, now: str, shop: Rounds | None = None, **more: Any) -> Case:
    """The case that a story makes."""
    told = history(kind, ledger, now=now, **more)
    [estimates] = estimates_of([told])
    return Case(estimates, estimates.going, shop or rounds())


def verdict(name: str, kind: str, ledger: str | Iterable[str], *, now: str, **more: Any) -> Verdict:
    """The verdict on one requirement."""
    found = verdicts_of(case(kind, ledger, now=now, **more))
    return next(v for v in found if v.requirement is Requirement(name))


def outcome(name: str, kind: str, ledger: str | Iterable[str], *, now: str, **more: Any) -> Outcome:
    """The outcome of one requirement."""
    return verdict(name, kind, ledger, now=now, **more).outcome


def assessed(kind: str, ledger: str | Iterable[str], *, now: str, **more: Any) -> Assessment:
    """The assessment of one clock."""
    told = case(kind, ledger, now=now, **more)
    return assess(told.estimates, told.going, told.rounds)


def when(text: str) -> datetime:
    """A time of 2026, in the shop's zone."""
    return at(text)
