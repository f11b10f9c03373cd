"""The fitter's sheet: all that whoever carries a clock home and sets it up there needs, from its release alone."""

from __future__ import annotations

from math import radians, tan

from standwatch.horology.cautions import fitters_cautions, own_hazards
from standwatch.horology.hanging import stands
from standwatch.horology.kinds import Traits, traits_of
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.facts import Clock
from standwatch.model.release import Judged, ReleaseRecord
from standwatch.model.units import round_to_doubt
from standwatch.model.words import Requirement, Train
from standwatch.papers import fitting
from standwatch.papers.blocks import (
    Blanks,
    Block,
    Caution,
    Heading,
    PageBreak,
    Pairs,
    Sheet,
    Table,
    TagMark,
    Ticks,
    Words,
)
from standwatch.papers.words import at_which, between, degrees, error, listed, local, number, rate, unknown, whose

_NOT_FIXED = " Not fixed to the wall: --not-fixed-to-wall."
_THERE = "There: the place and the case"


def fitters_sheet(record: ReleaseRecord) -> Sheet:
    """The sheet as it follows from the release; what its edition did not keep is left out."""
    clock, traits = record.clock, traits_of(record.clock)
    steps = {
        "Before it leaves the shop": fitting.before_leaving(clock, traits),
        _THERE: fitting.at_the_case(clock, traits),
        "There: hung and started": fitting.hung_and_started(clock, traits, _beat(record), _swing(record, traits)),
        "There: hands and bells" if len(traits.trains) > 1 else "There: hands": fitting.hands_and_bells(clock, traits),
        "Before you go": fitting.before_going(traits),
    }
    told: list[Block] = [_who(record), *_not_proved(record), Caution(fitters_cautions(clock)), *_known(record, traits)]
    for name, items in steps.items():
        told += _turned(clock) if name == _THERE else []
        told += [Heading(name), Ticks(items)]
    told += _leaving(clock, traits)
    return Sheet(
        name="fitters-sheet",
        title="Fitter's sheet",
        tag=record.tag,
        blocks=tuple(told),
        made_at=record.at,
        zone=record.zone,
        letters=1.3,
        foot=f"Released {local(record.at, record.zone)} by {record.by}; standwatch {record.program}.",
    )


def _turned(clock: Clock) -> list[Block]:
    """What is done there, and written there, is a page of its own, on which its hazards are named again."""
    again = " ".join(own_hazards(clock))
    return [PageBreak(), *([Words(f"Caution, as overleaf. {again}", "strong")] if again else [])]


def _who(record: ReleaseRecord) -> TagMark:
    clock = record.clock
    lines, where = whose(clock), []
    if clock.home_site:
        where.append(f"owner's place (latitude, metres): {clock.home_site}")
    if clock.promised_on:
        where.append(f"promised for {clock.promised_on:%a} {clock.promised_on.day} {clock.promised_on:%b %Y}")
    lines += [", ".join(where)] if where else []
    lines += [record.shop] if record.shop else []
    return TagMark(record.tag, tuple(lines))


def _not_proved(record: ReleaseRecord) -> list[Block]:
    if not record.clock.movement_only:
        return []
    days = f" Calls: {_days(record.first_call_days)} after delivery." if record.first_call_days else ""
    return [
        Words("NOT PROVED IN ITS CASE", "large"),
        Words(
            "Only the movement was on test. Case, weights, pendulum, door and hood are tried for the first time where "
            f"it goes: beat, level and room to fall are yours to prove. The second-day call asks for them.{days}",
            "strong",
        ),
    ]


def _days(days: tuple[int, ...]) -> str:
    return f"day{'s' if len(days) > 1 else ''} {listed([str(day) for day in days])}"


def _known(record: ReleaseRecord, traits: Traits) -> list[Block]:
    """How it was when it was let go, and what it should do there."""
    pairs = [
        ("on the stand", rate(record.rate_s_per_day) + at_which(record.rate_s_per_day, record.rate_named)),
        ("there", _rate_there(record)),
        *_changes(record),
        ("error when let go", error(record.error_s)),
        ("swing", _swing(record, traits) or "not told"),
        ("beat", _beat(record) or "not told"),
    ]
    home = record.home
    if home is not None and isinstance(home.error_s, Quantity):
        pairs.append((f"after {home.days:g} days", f"{between(home.error_s)} (95 %), set right and left alone"))
    told: list[Block] = [Heading("What it does, and should do there"), Pairs(tuple(pairs))]
    if traits.weights:
        told += [Heading("Its weights, as you face it"), _weights(record, traits)]
        if note := fitting.order_note(record.clock, traits):
            told.append(Words(f"The {note}.", "small"))
    elif traits.turns:
        one = len(traits.turns) == 1
        turns = ", ".join(f"{count:g}" if one else f"{train} {count:g}" for train, count in traits.turns.items())
        told.append(Words(f"Turns of the key from run down to full: {turns}."))
    return told


def _rate_there(record: ReleaseRecord) -> str:
    """Its mean rate by the forecast, which knows the move's doubt, and how roughly that itself is known; 95 %."""
    home = record.home
    if home is None:
        return "as on the stand; what the move does to it is not kept"
    ahead = home.error_s
    if isinstance(ahead, NotYetKnown):
        return unknown(ahead)
    mean = Quantity(ahead.estimate / home.days, ahead.low / home.days, ahead.high / home.days)
    return f"{rate(mean)}; most of the doubt is the move"


def _changes(record: ReleaseRecord) -> list[tuple[str, str]]:
    """What the owner's place and room do to it, each against the stand; what nobody told is said."""
    home = record.home
    if home is None:
        return []
    parts = {"by its place": home.site_s_per_day, "by its room": home.room_s_per_day}
    return [(name, _change(value)) for name, value in parts.items() if value is not None]


def _change(value: Quantity | NotYetKnown) -> str:
    if isinstance(value, NotYetKnown):
        return unknown(value)
    told, doubt = round_to_doubt(abs(value.estimate), value.doubt, most_decimals=1)
    if not float(told):
        return f"nothing, ±{doubt} s a day"
    return f"it should {'gain' if value.estimate > 0 else 'lose'} {told} ±{doubt} s a day more than on the stand"


def _judged(record: ReleaseRecord, name: Requirement) -> Judged | None:
    return next((judged for judged in record.outcomes if judged.name is name), None)


def _swing(record: ReleaseRecord, traits: Traits) -> str:
    """ "2.5° each side on the stand (±0.15); under 2.0° is too little"."""
    if isinstance(record.amplitude_deg, NotYetKnown):
        return ""
    each = {"pendulum": "each side ", "balance": "", "torsion": "in all "}[traits.oscillator]
    told = f"On the stand {degrees(record.amplitude_deg)} {each}".rstrip()
    scale = record.clock.swing_scale_mm
    if scale and traits.oscillator == "pendulum":
        told += f" ({scale * tan(radians(record.amplitude_deg.estimate)):.0f} mm at {scale:g} mm below the suspension)"
    judged = _judged(record, Requirement.AMPLITUDE)
    needed = None
    if judged is not None and judged.limit is not None:
        if traits.oscillator == "balance":
            needed = judged.limit
        elif traits.oscillator == "pendulum" and record.clock.unlock_deg:
            needed = record.clock.unlock_deg * (1 + judged.limit / 100)
    if needed is not None:
        told += f"; under {needed:.{0 if needed >= 100 else 1}f}° is too little"
    return f"{told}."


def _beat(record: ReleaseRecord) -> str:
    """ "0.9 % on the stand, at most 4 %"."""
    joint = "" if record.beat_unit == "°" else " "
    judged = _judged(record, Requirement.BEAT)
    told = "" if record.beat is None else f"On the stand {record.beat:g}{joint}{record.beat_unit}"
    if told and judged is not None and judged.limit is not None:
        told += f", at most {judged.limit:g}{joint}{record.beat_unit}"
    return f"{told}." if told else ""


def _weights(record: ReleaseRecord, traits: Traits) -> Table:
    fallen = {hung.train: hung.fall_mm for hung in record.trains}
    rows = []
    for weight in fitting.weights_of(record.clock, traits):
        fall = fallen.get(weight.train)
        hangs = "not kept" if fall is None else "not known" if isinstance(fall, NotYetKnown) else number(fall, "mm")
        rows.append((weight.side or "the one weight", weight.drives, weight.told, hangs))
    return Table(("side", "drives", "weight", "fallen when let go"), tuple(rows), (1.4, 1.6, 1.2, 2.0))


def _leaving(clock: Clock, traits: Traits) -> list[Block]:
    """What to write down, by the words and units that `deliver` takes."""
    swing = {"pendulum": "swing each side", "balance": "swing of the balance", "torsion": "swing in all"}
    labels = [
        "when, date and time (--at)",
        "error in seconds, + fast, − slow (--error)",
        f"{swing[traits.oscillator]}, degrees (--amplitude)",
    ]
    if traits.oscillator == "pendulum" and clock.swing_scale_mm:
        labels.append("or mm each side on its scale (--swing-mm)")
    if traits.oscillator == "torsion":
        labels.append("past the tick, left and right, degrees (--note)")
    else:
        labels.append(f"beat error, {'ms' if traits.oscillator == 'balance' else '%'} (--beat-error)")
    for side, train in fitting.hung(clock, traits).items():
        labels.append(f"{side} weight, mm fallen from fully wound (--{train}-fall)".strip().replace("  ", " "))
    if stands(traits) != "table":
        labels.append("fixed to the wall, yes or no (--fixed-to-wall)")
    labels.append("who winds it (--wound-by)")
    if Train.CHIME in traits.trains or Train.STRIKE in traits.trains:
        labels.append("heard right, or what not (--note)")
    labels += ["room to fall, mm (--note)"] if traits.weights and not clock.case_fall_mm else []
    labels += ["anything else (--note)", "fitter's initials"]
    return [
        Heading("When you leave: how it was left"),
        Blanks(tuple(labels), columns=2),
        Words(
            f"In the shop: standwatch deliver {clock.tag}, with the options named here. What was not read stays empty, "
            f"never guessed.{_NOT_FIXED if stands(traits) != 'table' else ''}",
            "small",
        ),
    ]
