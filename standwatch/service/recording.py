"""Writing facts: visits, clocks, corrections, what is taken back, settings, ledgers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from standwatch.estimate.history import HUNG, History, Visit, at_owner, doubts_of, rail_of
from standwatch.horology.limits import PossibleAsOf, check_possible
from standwatch.judge.assessment import Assessment
from standwatch.judge.phases import Phase, phase_of
from standwatch.judge.unlogged import Unlogged, newly_betrayed
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.errors import BadValue, Refused
from standwatch.model.facts import CheckIn, Clock, Handover, Waiver
from standwatch.model.records import AnyRecord, Draft, ImportReport, Record, build
from standwatch.model.words import Work
from standwatch.service.assessing import Assessor
from standwatch.service.office.rails import in_case, warning_of
from standwatch.service.phases import check_steps
from standwatch.service.shop import checked
from standwatch.service.views import Receipt, Setting, Undone, Written
from standwatch.service.wording import describe

if TYPE_CHECKING:
    from standwatch.estimate.look_again import FallOff
    from standwatch.service.reference import ReferenceTime

F = TypeVar("F", CheckIn, Clock, Handover, Waiver)

WELL_OUTSIDE = 2.0
"""A reading is a surprise from so many half-widths of the 95 % interval it was expected in."""

_BETRAYS_WITHIN = timedelta(days=60)
"""Work this far from a visit is none that the visit makes known: the next few readings tell it."""


def check_in(
    office: Assessor, cells: Mapping[str, object], now: datetime, reference: ReferenceTime | None = None
) -> Receipt:
    """Record one visit and tell what was expected and what follows."""
    with office.writing():
        clock = office.clock(_tag_in(cells)).body
        row = build(CheckIn, {"at": now, **cells, "tag": clock.tag})
        _refuse_empty(row)
        row, unsure = _against(office, row, reference, now)
        check_possible(row, clock, now=now)
        if row.work is Work.MOVED and row.note:
            _slot(row.note)
        [written] = office.append([Draft(row)], now)
    return replace(_receipt(office, written, row, now), unsure=unsure)


def _against(office: Assessor, row: CheckIn, reference: ReferenceTime | None, now: datetime) -> tuple[CheckIn, str]:
    """The row with the doubt of the clock that it was read against, and what is to be said of it."""
    read = (row.error_s is not None or row.dial is not None) and row.work not in HUNG
    if reference is None or not reference.extra_doubt_s or not read:
        return row, ""
    own = row.error_u_s
    if own is None:
        history = office.history(row.tag, now)
        own = doubts_of(history.traits, history.usual_read_by)[row.read_by or history.traits.usual_read_by]
    doubt = round(reference.doubt_of(own), 2)
    said = f"the computer's clock is {reference.state}: this reading is taken with a doubt of {doubt:.3g} s"
    return row.model_copy(update={"error_u_s": doubt}), f"{said}, not {own:.3g} s"


def move_clock(office: Assessor, tag: str, slot: str, now: datetime, *, at: datetime | None = None) -> Receipt:
    """Record that a clock went to `slot`."""
    _slot(slot)
    return check_in(office, {"tag": tag, "at": at or now, "work": Work.MOVED, "note": slot}, now)


def add_clock(office: Assessor, cells: Mapping[str, object], now: datetime) -> Written:
    """Write a new clock, whose tag no other has."""
    given = {name: value for name, value in cells.items() if value not in (None, "")}
    clock = build(Clock, {**office.settings.kind_columns(given.get("kind")), **given})
    check_possible(clock, None, now=now)
    with office.writing():
        if clock.tag in office.clocks():
            raise BadValue(
                f"a clock called {clock.tag!r} is here already; one tag per job, never used again", column="tag"
            )
        [written] = office.append([Draft(clock)], now)
    return Written(written, clock.tag, describe(clock), _hangs_beside(office, clock, clock.position, now))


def _hangs_beside(office: Assessor, clock: Clock, slot: str | None, now: datetime) -> str:
    """What to mind of the clocks that hang on the rail of `slot`; empty where there is none."""
    if not slot or not rail_of(slot):
        return ""
    rail = {tag: each for tag, each in office.present(now).items() if rail_of(each[1]) == rail_of(slot)}
    here = [
        each
        for tag, each in rail.items()
        if not (at_owner(now, office.facts(tag).steps(now)) or in_case(office.facts(tag), now))
    ]
    return warning_of(clock, slot, here)


def change_clock(office: Assessor, tag: str, cells: Mapping[str, str | None], now: datetime) -> Written:
    """Other columns for a clock."""
    with office.writing():
        return _replace_clock(office, office.clock(tag), cells, now)


def correct(office: Assessor, id_prefix: str, cells: Mapping[str, str | None], now: datetime) -> Written:
    """Replace the one current fact whose id begins with `id_prefix`."""
    with office.writing():
        record = office.book.find(id_prefix)
        body = record.body
        new: CheckIn | Handover
        match body:
            case Clock():
                return _replace_clock(office, office.clock(body.tag), cells, now)
            case CheckIn():
                new = _corrected_visit(office, body, cells, now)
            case Handover() if body.what != "released":
                new = _corrected_step(office, record.id, body, cells, now)
            case _:
                raise Refused(
                    f"a release of {body.tag} stands as it was made; `standwatch reopen {body.tag}` opens it again"
                )
        [written] = office.append([Draft(new, replaces=record.id)], now)
    return Written(written, new.tag, describe(new))


def _corrected_visit(office: Assessor, body: CheckIn, cells: Mapping[str, str | None], now: datetime) -> CheckIn:
    row = _changed(body, cells)
    clock = office.clock(row.tag).body
    row = row.model_copy(update={"tag": clock.tag})
    check_possible(row, clock, now=now)
    _refuse_empty(row)
    return row


def _corrected_step(
    office: Assessor, fact_id: str, body: Handover, cells: Mapping[str, str | None], now: datetime
) -> Handover:
    """A corrected delivery or call must still come where it can in the order of steps."""
    step = _changed(body, cells)
    if (step.tag, step.what, step.record) != (body.tag, body.what, body.record):
        raise Refused("tag, what and record of a step are never corrected; take it back with `standwatch undo`")
    check_possible(step, office.clock(step.tag).body, now=now)
    steps = [(step if r.id == fact_id else r.body) for r in office.facts(step.tag).handovers]
    check_steps(sorted(steps, key=lambda each: each.at))
    return step


def undo(office: Assessor, tag: str | None, now: datetime) -> Undone:
    """Take back the fact (of `tag`) recorded last and not yet taken back."""
    with office.writing():
        exact = None if tag is None else office.exact(tag)
        record = office.book.last(exact)
        if record is None:
            raise BadValue(f"nothing is left to take back{'' if exact is None else f' of {exact}'}")
        _check_undoable(office, record)
        office.append([Draft(None, replaces=record.id)], now)
        restored = office.book.find(record.replaces) if record.replaces else None
    return Undone(record.body.tag, record, restored, describe(record.body))


def import_ledger(
    office: Assessor, paths: Sequence[Path], now: datetime, *, dry_run: bool, progress: Callable[[int], None]
) -> ImportReport:
    """Bring in a ledger; what can't be true of its clock, or lies after `now`, is refused."""
    from standwatch.service.release.releases import check_brought_in  # noqa: PLC0415  # tags are shown without it

    with office.writing():
        unbegun = office.settings.unbegun
        report = office.book.import_ledger(
            paths,
            check=PossibleAsOf(now),
            at=now,
            dry_run=dry_run,
            progress=progress,
            check_setting=checked,
            check_step=partial(check_brought_in, office.book),
        )
        if not dry_run and any(report.added.values()):
            office.settings.begin(now, own=unbegun and "book.csv" not in report.rows)
    return report


def set_settings(office: Assessor, values: Mapping[str, str], now: datetime) -> tuple[Setting, ...]:
    """Keep new values of settings, all or none."""
    kept = {name: checked(name, value) for name, value in values.items()}
    with office.writing():
        office.book.set(kept, at=now)
    return office.settings.listed()


def _tag_in(cells: Mapping[str, object]) -> str:
    tag = cells.get("tag")
    if not isinstance(tag, str) or not tag.strip():
        raise BadValue("tag is not given; give a clock's tag", column="tag")
    return tag


def _slot(text: str) -> None:
    build(Clock, {"tag": "T", "kind": "longcase", "position": text})


def _refuse_empty(row: CheckIn) -> None:
    if not row.model_dump(exclude={"at", "tag"}, exclude_none=True):
        raise BadValue(f"nothing is told of {row.tag}; give a reading, a work or a note (`seen-going` if it just goes)")


def _changed(body: F, cells: Mapping[str, str | None]) -> F:
    """`body` with other cells; empty or None is "not given"."""
    if not cells:
        raise BadValue("nothing to change is given; give COLUMN=VALUE")
    merged: dict[str, object] = {name: value for name, value in body.model_dump().items() if value is not None}
    for name, value in cells.items():
        if name not in type(body).model_fields:
            raise BadValue(f"{name} is no column here; there are {', '.join(type(body).model_fields)}", column=name)
        merged.pop(name, None)
        if value is not None and value.strip():
            merged[name] = value
    return build(type(body), merged)


def _replace_clock(office: Assessor, record: Record[Clock], cells: Mapping[str, str | None], now: datetime) -> Written:
    clock = _changed(record.body, cells)
    if clock.tag != record.body.tag:
        raise BadValue(
            f"a tag is never changed; if {record.body.tag!r} was mistyped, undo it and add the clock anew", column="tag"
        )
    check_possible(clock, None, now=now)
    facts = office.facts(clock.tag)
    rows: list[Record[CheckIn] | Record[Handover]] = [*facts.check_ins, *facts.handovers]
    for row in rows:
        try:
            check_possible(row.body, clock, now=max(now, row.body.at))
        except BadValue as error:
            raise BadValue(
                f"then {row.id} of {row.body.at.isoformat()} could not be: {error}; correct that first"
            ) from None
    [written] = office.append([Draft(clock, replaces=record.id)], now)
    placed = clock.position if clock.position != record.body.position else None
    return Written(written, clock.tag, describe(clock), _hangs_beside(office, clock, placed, now))


def _check_undoable(office: Assessor, record: AnyRecord) -> None:
    body = record.body
    if isinstance(body, Waiver) or (isinstance(body, Handover) and body.what == "released"):
        raise Refused(f"a release is not undone; `standwatch reopen {body.tag} --reason TEXT` takes {body.tag} back")
    if isinstance(body, Clock) and record.replaces is None:
        facts = office.facts(body.tag)
        left = len(facts.check_ins) + len(facts.handovers) + len(facts.waivers)
        if left:
            raise Refused(
                f"{body.tag} has {left} other facts; a clock is taken back only when nothing else of it is left"
            )


def _receipt(office: Assessor, fact_id: str, row: CheckIn, now: datetime) -> Receipt:
    before = office.history(row.tag, row.at, without=fact_id)
    expected = _expected(office, before, row, now)
    after = office.assess(row.tag, max(now, row.at))  # a time may lie a minute ahead, and counts from then
    found = _found(after, fact_id)
    return Receipt(
        id=fact_id,
        tag=row.tag,
        at=row.at,
        expected=expected,
        found_s=found,
        surprise=_surprise(expected, found, after, fact_id),
        assessment=after,
        warning=_hangs_beside(office, office.clock(row.tag).body, row.note, now) if row.work is Work.MOVED else "",
        betrayed=_betrayed(office, fact_id, row, after),
        falls_off=_falls_off(before, row),
    )


def _betrayed(office: Assessor, fact_id: str, row: CheckIn, after: Assessment) -> tuple[Unlogged, ...]:
    """The work nobody logged that this fact makes known: told from it, and from nothing without it."""
    if all(abs(work.at - row.at) > _BETRAYS_WITHIN for work in after.estimates.time.suspected_work):
        return ()
    now = after.estimates.history.now
    before = office.history(after.tag, now, without=fact_id)
    return newly_betrayed(office.time(before, now).suspected_work, after.estimates)


def _falls_off(before: History, row: CheckIn) -> tuple[FallOff, ...]:
    if phase_of(before.handovers) is Phase.DELIVERED:
        return ()
    from standwatch.estimate.look_again import falls_off  # noqa: PLC0415  # loaded when a weight was read

    return falls_off(before, row)


def _expected(office: Assessor, before: History, row: CheckIn, now: datetime) -> Answer:
    if phase_of(before.handovers) is Phase.DELIVERED:
        return office.at_home(before, office.time(before, max(now, row.at)), max(now, row.at)).reading_at(row.at)
    from standwatch.estimate.going import going_of  # noqa: PLC0415  # tags are shown before the estimators are loaded

    if going_of(before).hangs is not None:
        return NotYetKnown("it was standing still")
    return office.time(before, max(now, row.at)).reading_at(row.at, row.read_by)


def _found(after: Assessment, fact_id: str) -> float | None:
    history = after.estimates.history
    visit: Visit | None = next((v for v in (*history.visits, *history.at_home) if v.id == fact_id), None)
    return None if visit is None else visit.error_s


def _surprise(expected: Answer, found: float | None, after: Assessment, fact_id: str) -> bool:
    if found is None:
        return False
    if any(suspect.id == fact_id for suspect in after.estimates.time.suspects):
        return True
    return isinstance(expected, Quantity) and abs(found - expected.estimate) > WELL_OUTSIDE * expected.doubt
