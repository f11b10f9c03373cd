"""When a clock is settling: after the nut, the beat, a level, a move, its case, an opening or a restart."""

from __future__ import annotations

from datetime import datetime, timedelta

from standwatch.judge.case import Case
from standwatch.judge.evidence import reading_from
from standwatch.model.units import reached
from standwatch.model.words import Work


def settling_until(case: Case) -> datetime | None:
    """When the clock will have settled; None where it has."""
    until = max((end for _, end in _settlings(case)), default=case.now)
    return until if until > case.now else None


def settled_round(case: Case) -> datetime | None:
    """The first reading to come that shows the clock settled; None where it has."""
    until = settling_until(case)
    return None if until is None else reading_from(case, until)


def settled_at(case: Case, at: datetime) -> bool:
    """Whether a reading at `at` is one of a settled clock; an hour short of a day will do."""
    return not any(start <= at and not reached(at - start, end - start) for start, end in _settlings(case))


def _settlings(case: Case) -> list[tuple[datetime, datetime]]:
    """From when until when the clock settled, each time. The restart after a run-out in time disturbs nothing."""
    in_time = {stop.restarted_at for stop in case.going.stops if stop.in_time}
    settle = timedelta(days=2 if case.traits.oscillator == "torsion" else 1)
    restarts = [(v.at, v.at + settle) for v in case.history.works(Work.RESTARTED) if v.at not in in_time]
    return [(b.at, b.settled_at) for b in case.history.breaks if b.opens_rate] + restarts
