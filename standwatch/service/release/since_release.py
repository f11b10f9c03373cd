"""What is other now than when a clock was let go: limits, facts, columns, rules. A record itself changes in nothing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from standwatch import __version__
from standwatch.judge.assessment import Assessment
from standwatch.judge.evidence import counted, listed
from standwatch.judge.phases import call_days
from standwatch.model.facts import CheckIn, Clock, Handover
from standwatch.model.records import AnyRecord, Record
from standwatch.model.release import Judged, ReleaseRecord
from standwatch.model.words import Outcome
from standwatch.service.assessing import Assessor
from standwatch.service.office.shelf import ClockFacts
from standwatch.service.release.as_it_was import RULES
from standwatch.service.release.freezing import fault_of, thaw
from standwatch.service.release.releases import release_steps
from standwatch.service.shop import Shop

_LIMITS = frozenset({"mean_rate_limit", "day_range_limit", "least_days", "swing_limit", "beat_limit"})
"""Columns that are told by what they do to the limits."""


def since_release(office: Assessor, tag: str, now: datetime) -> tuple[str, ...]:
    """A sentence for each thing that is other at `now` than at the last release by then; empty where there is none."""
    steps = [step for step in release_steps(office, tag) if step.body.at <= now]
    if not steps:
        return ()
    last = steps[-1]
    fault, day = fault_of(office.book, last.body), last.body.at.astimezone(office.shop().zone)
    told = [f"its release of {day:%d %b %Y} {fault.words}"] if fault else []
    record = thaw(last.body)
    if record is None:
        return tuple(told)
    found, facts, shop = office.assess(tag, now), office.facts(tag), office.shop()
    told += [said for before in record.outcomes if (said := _asked(before, found))]
    told += _shop(record, facts.clock.body, shop)
    told += _columns(record.clock, facts.clock.body)
    told += _facts(office.book.ever(record.facts).values(), facts, last, now)
    told += [f"judged by rules {record.rules}, now {RULES}"] if record.rules != RULES else []
    told += [f"released by version {record.program}, now {__version__}"] if record.program != __version__ else []
    return tuple(told)


def _asked(before: Judged, found: Assessment) -> str:
    """What of one requirement is other now."""
    now = next((v for v in found.verdicts if v.requirement is before.name), None)
    if now is None:
        return ""
    applied = (before.found or before.outcome) is not Outcome.NOT_APPLICABLE
    applies = now.outcome is not Outcome.NOT_APPLICABLE
    if applied != applies:
        return f"{before.name} {'applied, and does not now' if applied else 'did not apply, and does now'}"
    if not applies:
        return ""
    if before.limit != now.limit:
        return _limit_words(before, now.limit, now.unit)
    if now.outcome is Outcome.MISSED and before.outcome is Outcome.MET:
        return f"{before.name} was met, and is missed by what is told now: {now.because}"
    return ""


def _limit_words(before: Judged, limit: float | None, unit: str) -> str:
    if before.limit is None:
        return f"{before.name} had no limit, is {limit:g} {unit} now".replace("  ", " ")
    if limit is None:
        return f"{before.name} limit was {before.limit:g} {before.unit or unit}, is none now"
    return f"{before.name} limit was {before.limit:g}, is {limit:g} now" + (f" ({unit})" if unit else "")


def _shop(record: ReleaseRecord, clock: Clock, shop: Shop) -> list[str]:
    """The shop's calls and warranty, which a record of the first edition did not keep."""
    told = []
    days = call_days(shop.calls, movement_only=bool(clock.movement_only))
    if record.first_call_days and record.first_call_days != days:
        told.append(f"calls were on {_days(record.first_call_days)}, are on {_days(days)} now")
    if record.warranty_months is not None and record.warranty_months != shop.warranty_months:
        told.append(f"warranty was {counted(record.warranty_months, 'month')}, is {shop.warranty_months} now")
    return told


def _days(days: Sequence[int]) -> str:
    return f"{'day' if len(days) == 1 else 'days'} {listed([str(day) for day in days])}"


def _columns(before: Clock, now: Clock) -> list[str]:
    names = [name for name, value in now if value != getattr(before, name) and name not in _LIMITS]
    return [f"of its columns {listed(names)} {'has' if len(names) == 1 else 'have'} changed"] if names else []


def _facts(stood_on: Iterable[AnyRecord], facts: ClockFacts, released: Record[Handover], now: datetime) -> list[str]:
    """Visits and steps since, those that correct what it stood on, and what of that is told of it no more."""
    known = {record.place: record for record in stood_on if not isinstance(record.body, Clock)}
    current: list[Record[CheckIn] | Record[Handover]] = [*facts.check_ins, *facts.handovers]
    here = [record for record in current if record.body.at <= now and record.id != released.id]
    since = [record for record in here if record.place not in known or record.id != known[record.place].id]
    corrected = [known[record.place] for record in since if record.place in known]
    earlier = [r for r in since if r.place not in known and r.body.at < released.body.at]
    gone = len(known.keys() - {record.place for record in current})
    told = []
    if since:
        parts = [counted(len(since), "fact") + " since"]
        if corrected:
            what = "a reading" if all(_is_reading(record) for record in corrected) else "a fact"
            parts.append(f"{_of(len(corrected), len(since), 'corrects', 'correct')} {what} it stood on")
        if earlier:
            parts.append(f"{_of(len(earlier), len(since), 'tells', 'tell')} of the time before it")
        told.append(", ".join(parts))
    if gone:
        told.append(f"{counted(gone, 'fact')} that it stood on {'is' if gone == 1 else 'are'} no longer told of it")
    return told


def _of(some: int, of: int, verb: str, verbs: str) -> str:
    if some == of:
        return f"which {verb if some == 1 else verbs}" if of == 1 else f"all of which {verbs}"
    return f"one of them {verb}" if some == 1 else f"{some} of them {verbs}"


def _is_reading(record: AnyRecord) -> bool:
    row = record.body
    return isinstance(row, CheckIn) and (row.error_s is not None or row.dial is not None)
