"""Everything that a release's record tells of its clock, as it was known when it was let go.

It is gathered from the assessment that the release stood on and from the facts themselves; nothing is judged here.
Readings, works, rates and strikes are those since the movement was last opened, since nothing older counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from statistics import fmean

from standwatch import __version__
from standwatch.estimate.answers import TracePoint
from standwatch.estimate.history import Visit
from standwatch.estimate.shares import rule_of_three
from standwatch.judge.assessment import Assessment, Verdict
from standwatch.judge.case import Case
from standwatch.judge.phases import call_days
from standwatch.judge.striking import strikes_heard
from standwatch.model.answers import Moment, NotYetKnown
from standwatch.model.facts import Waiver
from standwatch.model.records import AnyRecord
from standwatch.model.release import (
    DailyRates,
    Done,
    Hanging,
    Home,
    Judged,
    Point,
    RateOfDay,
    Reading,
    ReleaseRecord,
    Strikes,
    Warmth,
)
from standwatch.model.words import Outcome, Requirement, Train, Work
from standwatch.service.shop import Shop
from standwatch.service.steadiness import stability
from standwatch.service.work_words import work_words

RULES = "2"
"""Edition of the rules of evidence that the outcomes follow, and of what a record keeps."""
POINTS = 200
"""So many points of the error's line a record keeps: as many as a chart on paper can show."""
READINGS = 400
"""So many readings a record shows at most, evenly chosen; the facts themselves all stay in the book."""
_NOTE_SAID = frozenset({Work.OIL_CHECKED, Work.SAFETY_CHECKED})
"""Works whose words end in their note, the initials of who looked."""


def as_it_was(
    found: Assessment,
    stood_on: Iterable[AnyRecord],
    waivers: Sequence[Waiver],
    *,
    by: str,
    shop: Shop,
    home: Home | None = None,
) -> ReleaseRecord:
    """The record of letting `found` go at its `now` with `waivers`, on the facts `stood_on`; without its digest."""
    estimates, history = found.estimates, found.estimates.history
    time, clock = estimates.time, history.clock
    reasons = {waiver.requirement: waiver.reason for waiver in waivers}
    beat = found.verdict(Requirement.BEAT)
    return ReleaseRecord(
        tag=found.tag,
        at=history.now,
        by=by,
        program=__version__,
        rules=RULES,
        clock=clock,
        outcomes=tuple(_judged(verdict, reasons.get(verdict.requirement)) for verdict in found.verdicts),
        error_s=found.error_s,
        rate_s_per_day=time.rate,
        drift_s_per_day2=time.drift,
        amplitude_deg=estimates.swing.amplitude,
        days=found.going.days,
        facts=tuple(record.id for record in stood_on),
        digest="",
        zone=shop.zone.key,
        shop=shop.name,
        position=history.position,
        days_needed=found.days_needed,
        opened_at=history.opened_at,
        rate_named=time.rate_named,
        spare_pct=estimates.swing.spare_pct,
        beat=beat.observed if isinstance(beat.observed, float) else None,
        beat_unit=beat.unit if isinstance(beat.observed, float) else "",
        daily=_daily(found),
        rates=_rates(found),
        readings=_readings(found),
        trace=_trace(found),
        works=_works(found),
        warmth=_warmth(found),
        home=home,
        strikes=_strikes(found, shop),
        trains=_trains(found),
        first_call_days=call_days(shop.calls, movement_only=bool(clock.movement_only)),
        warranty_months=shop.warranty_months,
        paper=shop.paper,
        leads=tuple(f"{lead.text} ({lead.odds * 100:.0f} % likely)" for lead in estimates.leads),
    )


def _judged(verdict: Verdict, waived: str | None) -> Judged:
    return Judged(
        name=verdict.requirement,
        outcome=verdict.outcome if waived is None else Outcome.WAIVED,
        observed=verdict.observed,
        limit=verdict.limit,
        unit=verdict.unit,
        usual=verdict.usual,
        because=verdict.because,
        waived=waived,
        found=None if waived is None else verdict.outcome,
    )


def _daily(found: Assessment) -> DailyRates | None:
    """By ISO 3159's definitions, from the errors as read since the rate was last opened."""
    daily = stability(found).daily
    if isinstance(daily, NotYetKnown):
        return None
    return DailyRates(
        days=daily.count,
        mean=daily.mean,
        mean_variation=daily.mean_variation,
        greatest_variation=daily.greatest_variation,
        greatest_difference=daily.greatest_difference,
    )


def _rates(found: Assessment) -> tuple[RateOfDay, ...]:
    opened = found.estimates.history.opened_at
    rates = found.estimates.time.daily_rates()
    return tuple(RateOfDay(at=at, rate_s_per_day=rate) for at, rate in rates if opened is None or at > opened)


def _read(found: Assessment) -> list[Visit]:
    """The visits with an error since the movement was last opened."""
    return [visit for visit in found.estimates.history.since_opened if visit.error_s is not None]


def _readings(found: Assessment) -> tuple[Reading, ...]:
    """Every reading, or of very many an even choice: the first, the last, and all that the others contradict."""
    doubted = {suspect.id for suspect in found.estimates.time.suspects}
    read = _read(found)
    step = max((len(read) - 1) / (READINGS - 1), 1.0)
    kept = {round(n * step) for n in range(min(len(read), READINGS))}
    return tuple(
        Reading(at=visit.at, error_s=visit.error_s, sound=visit.id not in doubted)
        for n, visit in enumerate(read)
        if visit.error_s is not None and (n in kept or visit.id in doubted)
    )


def _trace(found: Assessment) -> tuple[Point, ...]:
    read = _read(found)
    if not read:
        return ()
    line = found.estimates.time.trace(read[0].at, found.estimates.history.now, POINTS)
    return tuple(_point(point) for point in line)


def _point(point: TracePoint) -> Point:
    """To the second and the millisecond, which no chart shows."""
    return Point(
        at=point.at.replace(microsecond=0),
        error_s=round(point.error_s, 3),
        low=round(point.low, 3),
        high=round(point.high, 3),
        starts=point.starts,
    )


def _works(found: Assessment) -> tuple[Done, ...]:
    done = [(v, v.row) for v in found.estimates.history.since_opened if v.work is not None]
    told = []
    for visit, row in done:
        if visit.work is Work.SEEN_GOING:
            continue
        words = work_words(row, found.estimates.history)
        if row.note is not None and visit.work is Work.MOVED:
            words += f" to {row.note}"
        elif row.note is not None and visit.work not in _NOTE_SAID:
            words += f": {row.note}"
        told.append(Done(at=visit.at, words=words))
    return tuple(told)


def _warmth(found: Assessment) -> Warmth | None:
    """What the stand's thermometer showed since the rate was last opened."""
    history, since = found.estimates.history, found.estimates.time.rate_since
    shown = [c for at, c in history.temperatures if since is not None and at >= since]
    return Warmth(mean_c=fmean(shown), low_c=min(shown), high_c=max(shown), readings=len(shown)) if shown else None


def _strikes(found: Assessment, shop: Shop) -> Strikes | None:
    if Train.STRIKE not in found.estimates.history.traits.trains:
        return None
    heard, wrong = strikes_heard(Case(found.estimates, found.going, shop.rounds))
    return Strikes(heard=heard, wrong=wrong, allow=rule_of_three(heard) if heard and not wrong else None)


def _trains(found: Assessment) -> tuple[Hanging, ...]:
    clock = found.estimates.history.clock
    return tuple(
        Hanging(
            train=run.train,
            wound_at=run.wound_at,
            fall_mm=run.fall_mm,
            runs_out=run.runs_out.at if isinstance(run.runs_out, Moment) else None,
            kg=getattr(clock, f"{run.train}_kg"),
            turns=getattr(clock, f"{run.train}_turns"),
        )
        for run in found.estimates.power.trains
    )
