"""The owner's card: one page in large letters and plain words, to hang inside the case."""

from __future__ import annotations

from standwatch.horology.cautions import owners_cautions
from standwatch.horology.hanging import has_bird, one_weight, stands, wound_by
from standwatch.horology.kinds import KINDS, Traits, traits_of
from standwatch.model.answers import Quantity
from standwatch.model.facts import Clock
from standwatch.model.release import ReleaseRecord
from standwatch.model.units import clock_words
from standwatch.model.words import Train
from standwatch.papers.blocks import Blanks, Block, Caution, Heading, Sheet, Words
from standwatch.papers.words import counted, listed

_DAY_H = 24.0
_YEAR_D = 365.0
_LEAST_SPAN_D = 0.9
"""A fall over less than about a day tells no speed."""


def owners_card(record: ReleaseRecord) -> Sheet:
    """The card as it follows from the release; what is known only at the owner's is left to be written in."""
    clock, traits = record.clock, traits_of(record.clock)
    told: list[Block] = _head(record)
    if not traits.reference:  # which is compared for its rate alone, whatever drives it
        told += [Heading("Winding"), *_winding(record, traits)]
    told += [Heading("Setting the hands"), Words("\n".join(_setting(clock, traits)))]
    told += [Heading("Fast or slow?"), Words("\n".join(_keeping_time(record, traits)))]
    told += [Heading("If it stops"), Words(_stopped(traits)), Blanks(_hanging(traits), columns=2)]
    cautions = owners_cautions(clock)
    told += [Caution(cautions)] if cautions else []
    told += [Heading("From us"), Words(" ".join(_from_us(record)))]
    told.append(Blanks(("set up on", "telephone"), columns=2))
    return Sheet(
        name="owners-card",
        title="Owner's card",
        tag=record.tag,
        blocks=tuple(told),
        made_at=record.at,
        zone=record.zone,
        pages=1,
        letters=1.4,
    )


def _head(record: ReleaseRecord) -> list[Block]:
    clock = record.clock
    what = clock.description or f"{KINDS[clock.kind].title} clock"
    told: list[Block] = [Words(what[:1].upper() + what[1:], "large")]
    if record.shop:
        told.append(Words(record.shop, "strong"))
    if clock.movement_only:
        told.append(Words("Its movement was tested without its case: not proved in its case.", "strong"))
    return told


def winding_days(traits: Traits) -> tuple[int, str]:
    """How often to wind it so that a day or more is left, in days, and in words: "once a week, on the same day"."""
    lasts = traits.duration_h / _DAY_H
    weeks = int((lasts - 1) // 7)
    if lasts >= _YEAR_D + 5:
        return int(_YEAR_D), "once a year, on the same date"
    if weeks == 1:
        return 7, "once a week, on the same day"
    if weeks > 1:
        return 7 * weeks, f"every {weeks} weeks, on the same day"
    if lasts < 3:
        return 1, "every day at about the same time"
    days = int(lasts) - 1
    return days, f"every {counted(days, 'day')}"


def _winding(record: ReleaseRecord, traits: Traits) -> list[Block]:
    days, often = winding_days(traits)
    whole = f"{traits.duration_h:g} hours" if traits.duration_h < 72 else f"{traits.duration_h / _DAY_H:.0f} days"
    lines = [f"Wind it {often}. Fully wound it goes about {whole}; don't wait for the last of them."]
    lines += _weights(record, traits, days) if traits.weights else _springs(traits, days)
    told: list[Block] = [Words("\n".join(lines))]
    if days >= 2:
        told.append(Blanks(("winding day", "wound by"), columns=2))
    return told


def _weights(record: ReleaseRecord, traits: Traits, days: int) -> list[str]:
    one = len(traits.trains) == 1 or one_weight(traits)
    each = "the weight" if one else "each weight"
    by = {
        "key": f"With its key or crank, slowly, until {each} hangs just under the wood above it. Look, and stop there.",
        "chain": f"Pull the free end straight down until {each} hangs just under the movement. Look, and stop there.",
        "either": f"With its crank, or its chains pulled straight down, until {each} hangs just under the wood above "
        "it. Look, and stop there.",
    }[wound_by(traits)]
    lines = [f"{by} Never force it: where it stops, it is full."]
    fall = _comes_down_cm(record, days)
    if fall is not None:
        lines.append(f"From one winding to the next {each} comes down about {fall:.0f} cm.")
    return lines


def _comes_down_cm(record: ReleaseRecord, days: int) -> float | None:
    """How far the going weight comes down from wind to wind, by its fall on the stand; None if not known."""
    for hung in record.trains:
        if hung.train is Train.GOING and hung.wound_at is not None and isinstance(hung.fall_mm, Quantity):
            span = (record.at - hung.wound_at).total_seconds() / 86400
            if span >= _LEAST_SPAN_D and hung.fall_mm.estimate > 0:
                return hung.fall_mm.estimate / span * days / 10
    return None


def _springs(traits: Traits, days: int) -> list[str]:
    parts = {
        train: turns * days * _DAY_H / traits.duration_h
        for train in traits.trains
        if (turns := traits.turns.get(train))
    }
    holes = "" if len(traits.trains) == 1 else f" Every hole: there are {len(traits.trains)}."
    lines = [f"With its key, slowly, until it stops by itself, and no further. Never force it.{holes}"]
    if len(parts) == len(traits.trains):
        least, most = min(parts.values()), max(parts.values())
        about = f"{least:.0f}" if round(least) == round(most) else f"{least:.0f} to {most:.0f}"
        lines.append(f"That is about {about} turns{' of each' if len(parts) > 1 else ''}.")
    return lines


def _setting(clock: Clock, traits: Traits) -> list[str]:
    if Train.CHIME in traits.trains:
        lines = ["Move the long hand only, forward only. Pause at each quarter until it has finished chiming."]
        if traits.self_correcting:
            lines.append("If the chime is then out of step, leave it: it comes right by itself within two hours.")
        lines.append("Never move the selector while it chimes.")
    elif Train.STRIKE in traits.trains:
        pauses = "each half hour and hour" if traits.half_hour else "each hour"
        lines = [f"Move the long hand only, forward only. Pause at {pauses} until it has finished striking."]
    else:
        lines = ["Move the long hand only, forward only."]
    if traits.oscillator == "pendulum":
        lines.append("Never backwards: in autumn hold the pendulum for an hour instead.")
    else:
        lines.append(
            "Never backwards: in autumn go forward eleven hours, with the same pauses."
            if len(traits.trains) > 1
            else "Never backwards: in autumn go forward eleven hours."
        )
    if clock.night_silence:
        begin, _, end = clock.night_silence.partition("-")
        lines.append(f"From {begin} to {end} it is silent; that is no fault.")
    if traits.moon:
        lines.append("Never set the moon while it is changing: if it doesn't move by a light finger, wait six hours.")
    return lines


def _keeping_time(record: ReleaseRecord, traits: Traits) -> list[str]:
    lines = []
    home = record.home
    if home is not None and isinstance(home.error_s, Quantity):
        span = "two weeks" if home.days == 14 else counted(round(home.days), "day")
        lines.append(f"After {span} it may show {_band(home.error_s)}: that is as it should be, leave it alone.")
    lines.append("Don't chase it in the first 48 hours: it is settling.")
    match traits.oscillator:
        case "pendulum":
            lines.append(
                "Then slide the bob on its rod, a hair at a time: up and it goes faster, down and it goes slower. Two "
                "days before the next."
                if has_bird(traits)
                else "Then the nut under the bob: raise the bob and it goes faster, lower it and it goes slower. A "
                "quarter turn at a time, and two days before the next."
            )
            if stands(traits) == "table":
                lines.append("Where a small square in the dial does it instead: towards F is faster.")
        case "balance":
            lines.append("Its regulator is fine work: tell us how much it gains or loses in a week, and we set it.")
        case "torsion":
            lines.append("Leave its pendulum alone: tell us how much it gains or loses in a week, and we set it.")
    return lines


def _band(error: Quantity) -> str:
    """ "anything from 7 minutes slow to 4 minutes fast", whole minutes outwards from two minutes on."""
    low, high = _outwards(error.low), _outwards(error.high)
    if low == high:
        return low
    return f"anything from {low} to {high}"


def _outwards(error_s: float) -> str:
    side = "fast" if error_s > 0 else "slow"
    size = abs(error_s)
    if size < 1:
        return "right"
    return (
        f"{-(-size // 60):.0f} minutes {side}"
        if size >= 120
        else f"{clock_words(size)} {side}"
        if size >= 60
        else (f"{size:.0f} seconds {side}")
    )


def _stopped(traits: Traits) -> str:
    where = "where the weights hang" if traits.weights else "when it was wound last"
    if one_weight(traits) or (traits.weights and len(traits.trains) == 1):
        where = "where the weight hangs"
    return f"Touch nothing. Write down the time that it shows and {where}, then telephone: it tells us why."


def _hanging(traits: Traits) -> tuple[str, ...]:
    if traits.weights:
        return (
            "it shows",
            "weights below the wood, cm"
            if len(traits.trains) > 1 and not one_weight(traits)
            else "weight below the wood, cm",
        )
    return ("it shows", "wound last on")


def _from_us(record: ReleaseRecord) -> list[str]:
    lines = []
    if record.first_call_days:
        lines.append(f"We call {listed([str(day) for day in record.first_call_days])} days after it is set up.")
    if record.warranty_months:
        lines.append(f"Warranty: {counted(record.warranty_months, 'month')} from that day.")
    lines.append(f"Its number with us is {record.tag}. Moving house, or moving the clock: call us first.")
    return lines
