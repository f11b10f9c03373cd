"""The release record: what a clock stood on when it was let go, what was asked of it, and what was found."""

from __future__ import annotations

from standwatch.judge.asked import compared
from standwatch.model.answers import Quantity
from standwatch.model.release import Judged, ReleaseRecord
from standwatch.model.words import NEVER_WAIVED, REQUIREMENT_NAMES, Outcome, Requirement
from standwatch.papers.blocks import Block, Caution, Heading, Pairs, Sheet, Table, TagMark, Words
from standwatch.papers.record_numbers import numbers
from standwatch.papers.words import OUTCOMES, counted, day, listed, local, number, whose

_AT_MOST = frozenset({Requirement.MEAN_RATE, Requirement.DAY_RANGE, Requirement.BEAT, Requirement.MOON})
"""What is met at or under its limit; everything else at or over it."""
_ONE = {"days": "day", "winds": "wind", "hours": "hour", "mornings": "morning", "passes": "pass", "d": "day"}
_ALWAYS = {
    Requirement.CONTINUOUS_RUNNING: "days",
    Requirement.FULL_DURATION: "hours",
    Requirement.WEIGHT_PASSAGE: "winds",
    Requirement.MEAN_RATE: "s/day",
    Requirement.DAY_RANGE: "s/day",
    Requirement.TWELVE_COUNTS: "hours",
    Requirement.CHIME_STEP: "mornings",
    Requirement.MIS_SET: "passes",
    Requirement.OIL: "days",
    Requirement.OWN_CASE: "days",
}
"""Units that are the same for every clock; swing and beat have their own by what swings."""


def release_record(record: ReleaseRecord) -> Sheet:
    """The record as a sheet, whatever its edition: what an edition did not keep is said, never guessed."""
    blocks: list[Block] = [_who(record), *_let_go(record), Pairs(_about(record), columns=2), *_asked(record)]
    blocks += numbers(record)
    return Sheet(
        name="release-record",
        title="Release record",
        tag=record.tag,
        blocks=tuple(blocks),
        made_at=record.at,
        zone=record.zone,
        foot=_foot(record),
    )


def _who(record: ReleaseRecord) -> TagMark:
    return TagMark(record.tag, (*whose(record.clock), *([record.shop] if record.shop else [])))


def _let_go(record: ReleaseRecord) -> list[Block]:
    told: list[Block] = [Words(f"Let go {local(record.at, record.zone)}, by {record.by}", "large")]
    waived = [judged for judged in record.outcomes if judged.outcome is Outcome.WAIVED]
    if record.first_edition:
        told.append(
            Words(
                "Kept by edition 1 of the rules: what that edition did not keep is not here. Times are UTC, but for "
                "those in what was shown."
            )
        )
    if record.clock.movement_only:
        told.append(
            Words(
                "Not proved in its case: this is the movement alone. Case, weights, pendulum, door and hood were not "
                "on test with it.",
                "strong",
            )
        )
    if waived:
        names = listed([REQUIREMENT_NAMES[judged.name] for judged in waived])
        told.append(Words(f"Let go without {names}: waived, with the reasons below.", "strong"))
    elif not any(judged.outcome not in {Outcome.MET, Outcome.NOT_APPLICABLE} for judged in record.outcomes):
        told.append(Words("Every requirement that applies to it was met; none was waived."))
    if record.clock.hazards:
        told.append(Caution((f"Hazards of this clock: {record.clock.hazards.rstrip('.')}.",)))
    return told


def _about(record: ReleaseRecord) -> tuple[tuple[str, str], ...]:
    clock = record.clock
    wanted = "" if record.days_needed is None else f" ({record.days_needed:g} asked)"
    pairs = [
        ("repaired", clock.repaired or "not told"),
        ("on test", f"{record.days:.1f} days without a stop{wanted}"),
        ("stood at", record.position or "no slot kept"),
        ("opened last", day(record.opened_at, record.zone) if record.opened_at else "not since it came to the stand"),
    ]
    if record.clock.movement_only:
        pairs.append(("let go as", "movement only"))
    if record.first_edition:  # which kept neither
        pairs = [pair for pair in pairs if pair[0] not in {"stood at", "opened last"}]
    if clock.earlier_tag:
        pairs.append(("earlier job", clock.earlier_tag))
    if clock.promised_on:
        pairs.append(("promised for", f"{clock.promised_on:%a} {clock.promised_on.day} {clock.promised_on:%b %Y}"))
    if record.warranty_months is not None:
        pairs.append(("warranty", counted(record.warranty_months, "month") + " from delivery"))
    if record.first_call_days:
        pairs.append(("calls", f"{listed([str(d) for d in record.first_call_days])} days after delivery"))
    pairs.append(("facts, digest", f"{len(record.facts)}, {record.digest[:12]} (in full at the foot)"))
    return tuple(pairs)


def _asked(record: ReleaseRecord) -> list[Block]:
    """What applied, in the record's order; what didn't, with why; the waivers, with reason and initials."""
    applies = [judged for judged in record.outcomes if judged.outcome is not Outcome.NOT_APPLICABLE]
    rows = tuple((_name(j), OUTCOMES[j.outcome], _shown(j), _limit(j, record.usual(j))) for j in applies)
    strong = frozenset(n for n, judged in enumerate(applies) if judged.outcome is not Outcome.MET)
    told: list[Block] = [
        Heading("What was asked, and what was shown"),
        Table(("requirement", "outcome", "what was shown", "asked"), rows, (2.7, 1.2, 4.2, 2.0), strong=strong),
    ]
    stars = "* never waived: shown, or the clock stays."
    absent = [j for j in record.outcomes if j.outcome is Outcome.NOT_APPLICABLE]
    if absent:
        names = "; ".join(
            f"{REQUIREMENT_NAMES[j.name]} ({j.because})" if j.because else REQUIREMENT_NAMES[j.name] for j in absent
        )
        stars += f" Not applicable: {names}."
    told.append(Words(stars, "small"))
    waived = [judged for judged in record.outcomes if judged.outcome is Outcome.WAIVED]
    if waived:
        found = tuple(
            (
                REQUIREMENT_NAMES[j.name],
                OUTCOMES[j.found].lower() if j.found else "not told",
                j.waived or "not told",
                record.by,
            )
            for j in waived
        )
        told += [
            Heading("Waived"),
            Table(("requirement", "found", "let go without it because", "by"), found, (2.5, 1.5, 4.5, 1.5)),
        ]
    return told


def _name(judged: Judged) -> str:
    return REQUIREMENT_NAMES[judged.name] + ("\u00a0*" if judged.name in NEVER_WAIVED else "")


def _shown(judged: Judged) -> str:
    """The evidence in a restorer's words, else the number alone."""
    if judged.because:
        return judged.because
    seen = judged.observed
    if isinstance(seen, Quantity):
        return number(seen, _unit(judged))
    if isinstance(seen, float):
        return f"{seen:.4g} {_unit(judged)}".rstrip()
    return seen or "nothing seen"


def _unit(judged: Judged) -> str:
    """Its unit; edition 1 kept none, and where only one is possible it is that."""
    return judged.unit or _ALWAYS.get(judged.name, "")


def _limit(judged: Judged, usual: float | None) -> str:
    """The limit with its unit, and whether the shop asks more or less than is `usual`."""
    if judged.limit is None:
        return ""
    if judged.name is Requirement.TUNES:
        return f"all {judged.limit:g} positions"
    most = judged.name in _AT_MOST
    unit = _unit(judged) if judged.limit != 1 else _ONE.get(_unit(judged), _unit(judged))
    joint = "" if unit in {"°", ""} else " "
    told = f"{'at most' if most else 'at least'} {judged.limit:g}{joint}{unit}"
    how = compared(judged.name, judged.limit, usual)
    return f"{told}: {how.upper()} than usual ({'none' if usual is None else f'{usual:g}'})" if how else told


def _foot(record: ReleaseRecord) -> str:
    return (
        f"standwatch {record.program}, rules edition {record.rules}. Digest of this record and of the "
        f"{len(record.facts)} facts it stands on (SHA-256): {record.digest}"
    )
