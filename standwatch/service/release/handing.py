"""Release, and what comes after: reopened, delivered, called, called back."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from standwatch.horology.limits import check_possible
from standwatch.judge.assessment import DONE, Assessment, Verdict
from standwatch.judge.phases import Phase, phase_of
from standwatch.model.errors import BadValue, Refused
from standwatch.model.facts import Handover, Waiver
from standwatch.model.records import AnyRecord, Draft, build
from standwatch.model.words import NEVER_WAIVED, Outcome, Requirement
from standwatch.service.after.warranty import warranty_ends, warranty_words
from standwatch.service.assessing import Assessor
from standwatch.service.phases import check_steps
from standwatch.service.release.shown_by import shown_by
from standwatch.service.views import Released, Written
from standwatch.service.wording import describe

_TRAVELLED = "it travelled: enter `moved` once it hangs here, and its rate, swing and beat are shown anew"


def release(office: Assessor, tag: str, *, by: str, waive: Mapping[str, str], now: datetime) -> Released:
    """Let a clock go, with the record it goes on. Of two terminals that try, the second is refused."""
    from standwatch.service.home_forecast import home_of  # noqa: PLC0415  # the same
    from standwatch.service.release.freezing import freeze  # noqa: PLC0415  # tags are shown without it

    reasons, now = _reasons(waive), now.astimezone(UTC)  # a record's times are UTC, as its step's is
    with office.writing():
        exact = office.exact(tag)
        step = build(Handover, {"at": now, "tag": exact, "what": "released", "by": by})
        if step.by is None:
            raise BadValue("by is empty; give the name or initials of who lets it go", column="by")
        _check_step(office, step)
        found = office.assess(exact, now)
        shop = office.shop()
        needed = _gate(found, reasons, shop.zone)
        waivers = [
            build(Waiver, {"at": now, "tag": exact, "requirement": name, "reason": reasons[name], "by": by})
            for name in needed
        ]
        home = home_of(office, exact, now)
        text = freeze(found, _stood_on(office, exact, now), waivers, by=step.by, shop=shop, home=home)
        body = step.model_copy(update={"record": text})
        *_, written = office.append([*(Draft(waiver) for waiver in waivers), Draft(body)], now)
    return Released(written, exact, json.loads(text), tuple(str(name) for name in needed))


def _stood_on(office: Assessor, tag: str, now: datetime) -> list[AnyRecord]:
    """The current facts of a clock up to `now`, whole: itself, its check-ins, its steps with their records."""
    facts = office.facts(tag)
    steps = [record.id for record in facts.handovers if record.body.at <= now]
    whole = office.book.ever(steps)
    return [facts.clock, *(r for r in facts.check_ins if r.body.at <= now), *(whole[step] for step in steps)]


def reopen(office: Assessor, tag: str, *, reason: str, now: datetime) -> Written:
    """Take a released clock back; one that was at its owner's has travelled, which only `moved` tells."""
    if not reason.strip():
        raise BadValue("reason is empty; give why it is opened again", column="reason")
    written = _step(office, tag, {"what": "reopened", "reason": reason}, now)
    *before, _ = [record.body for record in office.facts(written.tag).handovers]
    if phase_of(before) is not Phase.DELIVERED:
        return written
    return replace(written, text=f"{written.text}; {_TRAVELLED}", warning=_TRAVELLED)


def deliver(office: Assessor, tag: str, cells: Mapping[str, object], now: datetime) -> Written:
    """A released clock goes home."""
    return _step(office, tag, {**cells, "what": "delivered"}, now)


def call(office: Assessor, tag: str, cells: Mapping[str, object], now: datetime) -> Written:
    """A call after delivery."""
    return _step(office, tag, {**cells, "what": "called"}, now)


def callback(office: Assessor, tag: str, cells: Mapping[str, object], now: datetime) -> Written:
    """A clock came back or someone had to go; the text says whether that was within its warranty."""
    written = _step(office, tag, {**cells, "what": "called-back"}, now)
    shop = office.shop()
    steps = [record.body for record in office.facts(written.tag).handovers]
    back = next(step for step in reversed(steps) if step.what == "called-back")
    said = warranty_words(warranty_ends(steps, shop), back.at, shop.zone)
    return replace(written, text=f"{written.text}; {said}") if said else written


def _step(office: Assessor, tag: str, cells: Mapping[str, object], now: datetime) -> Written:
    with office.writing():
        clock = office.clock(tag).body
        step = build(Handover, {"at": now, **cells, "tag": clock.tag})
        check_possible(step, clock, now=now)
        _check_step(office, step)
        [written] = office.append([Draft(step)], now)
    return Written(written, clock.tag, describe(step))


def _check_step(office: Assessor, step: Handover) -> None:
    """Refuse what can't follow the steps so far; a step's time lies after theirs."""
    before = [record.body for record in office.facts(step.tag).handovers]
    _refuse_second(before, step, office.shop().zone)
    check_steps([*before, step])
    if before and step.at < before[-1].at:
        zone, last = office.shop().zone, before[-1]
        at, then = (f"{day.astimezone(zone):%a %d %b %Y %H:%M}" for day in (step.at, last.at))
        raise BadValue(f"{at} is before {step.tag} was {last.what}, {then}; give a later time", column="at")


def _refuse_second(before: Sequence[Handover], step: Handover, zone: ZoneInfo) -> None:
    """Tell whoever comes second to a release who let the clock go, and when."""
    phase = phase_of(before)
    if step.what != "released" or phase is Phase.ON_STAND:
        return
    last = next(each for each in reversed(before) if each.what == "released")
    when = f"{last.at.astimezone(zone):%a %d %b %Y %H:%M}"
    raise Refused(
        f"{step.tag} is {phase} already: {last.by or 'somebody'} let it go on {when}; "
        f"`standwatch reopen {step.tag} --reason TEXT` takes it back"
    )


def _reasons(waive: Mapping[str, str]) -> dict[Requirement, str]:
    reasons: dict[Requirement, str] = {}
    for text, reason in waive.items():
        try:
            name = Requirement(text.strip().lower())
        except ValueError:
            raise BadValue(
                f"no requirement is called {text!r}; there are {', '.join(Requirement)}", column="waive"
            ) from None
        if name in NEVER_WAIVED:
            raise Refused(f"{name} is never waived; it is shown or the clock stays")
        if not reason.strip():
            raise BadValue(f"{name} is waived without a reason; give {name}=REASON", column="waive")
        reasons[name] = reason
    return reasons


def _gate(found: Assessment, reasons: Mapping[Requirement, str], zone: ZoneInfo) -> list[Requirement]:
    """The requirements whose waiver is needed; Refused where something else is in the way."""
    stands = _standing_still(found, zone)
    missing = [v for v in found.verdicts if v.outcome not in DONE and v.requirement not in reasons]
    if stands or missing:
        lines = [*stands, *(_missing(verdict, found, zone) for verdict in missing)]
        raise Refused(
            "\n  ".join([f"{found.tag} may not go yet{_not_before(found, missing, zone)}; in the way:", *lines])
        )
    return [v.requirement for v in found.verdicts if v.outcome not in DONE]


def _standing_still(found: Assessment, zone: ZoneInfo) -> list[str]:
    lines = []
    if found.going.hangs is not None:
        lines.append(f"it stands still: restart it, and see it going (`work {found.tag} restarted`)")
    for stop in found.going.stops:
        if not stop.explained and not stop.in_time:
            command = f"correct {stop.id} explained=yes note=..."
            lines.append(f"a stop, found {_when(stop.found_at, zone)}, is not explained (once it is, `{command}`)")
    return lines


def _not_before(found: Assessment, missing: Sequence[Verdict], zone: ZoneInfo) -> str:
    """When all that is missing could be there, where each has a day to come."""
    dates = [verdict.earliest for verdict in missing if verdict.earliest is not None]
    now = found.estimates.history.now
    if not missing or len(dates) < len(missing) or _standing_still(found, zone) or max(dates) <= now:
        return ""
    return f", and not before {_when(max(dates), zone)}"


def _missing(verdict: Verdict, found: Assessment, zone: ZoneInfo) -> str:
    """What is missing, from when it could be shown, and what records it."""
    star = "*" if verdict.requirement in NEVER_WAIVED else ""
    history = found.estimates.history
    command = shown_by(verdict, history)
    first = verdict.earliest
    when = "" if first is None else "now" if first <= history.now else f"earliest {_when(first, zone)}"
    parts = [part for part in (when, f"`{command}`" if command else "") if part]
    outcome = "missed" if verdict.outcome is Outcome.MISSED else "not yet known"
    how = f" ({', '.join(parts)})" if parts else ""
    return f"{verdict.requirement}{star} {outcome}: {verdict.told}{how}"


def _when(at: datetime, zone: ZoneInfo) -> str:
    return f"{at.astimezone(zone):%a %d %b %H:%M}"
