"""When a clock is settling: after the nut, the beat, a level, a move, its case, an opening or a restart."""

from __future__ import annotations

from datetime import datetime

from standwatch.judge.case import Case
from standwatch.judge.evidence import DAY, SLACK
from standwatch.model.words import Work


def settlings(case: Case) -> tuple[tuple[datetime, datetime], ...]:
    """From when until when the clock settled, each time. A restart after a run-out in time needs no settling."""
    works = [(b.at, b.settled_at) for b in case.history.breaks if b.settled_at > b.at]
    in_time = {stop.restarted_at for stop in case.going.stops if stop.in_time}
    settle = 2 * DAY if case.traits.oscillator == "torsion" else DAY
    restarts = [(v.at, v.at + settle) for v in case.history.works(Work.RESTARTED) if v.at not in in_time]
    return tuple(sorted(works + restarts))


def settling_until(case: Case) -> datetime | None:
    """When the clock has settled; None where it has, or never had to."""
    until = max((end for _, end in settlings(case)), default=None)
    return until if until is not None and until > case.now else None


def settled_at(case: Case, at: datetime) -> bool:
    """Whether a reading at `at` is one of a settled clock; an hour short of a day will do."""
    return not any(start <= at < (end - SLACK if end - start >= DAY else end) for start, end in settlings(case))
