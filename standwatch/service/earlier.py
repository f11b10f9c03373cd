"""The jobs before and after on the same clock, linked by `earlier_tag`: when each went, and what came of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standwatch.model.errors import BadValue
from standwatch.service.assessing import Assessor


@dataclass(frozen=True, slots=True)
class Job:
    """One job as it ended. `waived` are requirements, `called_back` codes, `repaired` the words given at intake.

    `trouble` says why the chain can't be followed here; then nothing else but the tag is known.
    """

    tag: str
    kind: str = ""
    repaired: str = ""
    released_at: datetime | None = None
    released_by: str = ""
    waived: tuple[str, ...] = ()
    delivered_at: datetime | None = None
    called_back: tuple[str, ...] = ()
    trouble: str = ""


def earlier_jobs(office: Assessor, tag: str) -> tuple[Job, ...]:
    """The earlier jobs on the clock of `tag`, the latest first; BadValue where `tag` itself is unknown.

    A tag that the book doesn't have, and one that comes again, end the chain and are told with their trouble.
    """
    clock = office.clock(tag).body
    seen, found = {clock.tag}, list[Job]()
    while clock.earlier_tag is not None:
        try:
            before = office.clock(clock.earlier_tag).body
        except BadValue:
            return *found, Job(clock.earlier_tag, trouble=f"{clock.tag} names it, and the book has no such clock")
        if before.tag in seen:
            return *found, Job(before.tag, trouble=f"{clock.tag} names it as earlier, and so the jobs go in a circle")
        seen.add(before.tag)
        found.append(_job(office, before.tag))
        clock = before
    return tuple(found)


def later_jobs(office: Assessor, tag: str) -> tuple[Job, ...]:
    """The jobs that name `tag` as their earlier one, in order of first writing."""
    exact = office.exact(tag)
    named = [each for each, record in office.clocks().items() if _same(record.body.earlier_tag, exact)]
    return tuple(_job(office, each) for each in named if each != exact)


def _same(named: str | None, tag: str) -> bool:
    return named is not None and named.casefold() == tag.casefold()


def _job(office: Assessor, tag: str) -> Job:
    facts = office.facts(tag)
    clock, steps = facts.clock.body, [record.body for record in facts.handovers]
    last = next((n for n in reversed(range(len(steps))) if steps[n].what == "released"), None)
    released = None if last is None else steps[last]
    taken_back = [step.at for step in steps[:last] if step.what == "reopened"]
    waived = [
        str(record.body.requirement)
        for record in facts.waivers
        if released is not None
        and record.body.at <= released.at
        and (not taken_back or record.body.at > taken_back[-1])
    ]
    return Job(
        tag,
        str(clock.kind),
        clock.repaired or "",
        None if released is None else released.at,
        (released.by or "") if released is not None else "",
        tuple(dict.fromkeys(waived)),
        next((step.at for step in reversed(steps) if step.what == "delivered"), None),
        tuple(step.code for step in steps if step.what == "called-back" and step.code),
    )
