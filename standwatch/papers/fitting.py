"""What a fitter does, step by step, in working order: only what applies to this clock. Common practice.

Each function returns the sentences of one part of the way: before it leaves, at the case, hung and started, hands and
bells, before going.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from standwatch.horology.hanging import has_bird, one_weight, stands, weight_sides, wound_by
from standwatch.horology.kinds import Traits
from standwatch.model.facts import Clock
from standwatch.model.words import Train
from standwatch.papers.words import listed

Steps = tuple[str, ...]


def hung(clock: Clock, traits: Traits) -> Mapping[str, Train]:
    """Which train hangs left, centre and right as one faces the clock; empty for springs, one for an endless chain."""
    if not traits.weights:
        return {}
    return {"": Train.GOING} if one_weight(traits) else weight_sides(traits.trains, clock.weight_order)


@dataclass(frozen=True, slots=True)
class Weight:
    """One weight: where it hangs as one faces the clock (empty for that of an endless chain), what it drives."""

    side: str
    train: Train
    drives: str
    kg: float | None

    @property
    def told(self) -> str:
        """ "5.4 kg"."""
        return f"{self.kg:g} kg" if self.kg else "not weighed"


def weights_of(clock: Clock, traits: Traits) -> list[Weight]:
    """Its weights from left to right; none of springs."""
    both = one_weight(traits)
    return [
        Weight(side, train, "going and strike" if both else str(train), getattr(clock, f"{train}_kg"))
        for side, train in hung(clock, traits).items()
    ]


def order_note(clock: Clock, traits: Traits) -> str:
    """That nobody told which weight hangs where, so that the usual order is printed; empty where it was told."""
    if clock.weight_order or len(hung(clock, traits)) < 2:
        return ""
    return "usual order, not told of this clock: see which is which"


def weight_words(clock: Clock, traits: Traits) -> list[str]:
    """ "left strike 5.4 kg" for each weight."""
    told = []
    for weight in weights_of(clock, traits):
        drives = weight.drives if weight.side else "drives both trains"
        told.append(f"{weight.side} {drives}{f' {weight.told}' if weight.kg else ''}".strip())
    return told


def before_leaving(clock: Clock, traits: Traits) -> Steps:
    """In the shop, the pendulum first."""
    steps: list[str] = []
    if traits.oscillator == "pendulum":
        steps.append("Pendulum off first, wrapped by itself.")
        steps.append("Suspension protected: nothing hangs from it or leans on it; a spare one is in the bag.")
    steps += _weights_off(clock, traits) if traits.weights else _springs_held(traits)
    if traits.oscillator == "torsion":
        steps.append("Pendulum locked, or off its hook and wrapped; dome or case off and packed by itself.")
        steps.append("Carried upright by its base, never by pendulum, pillars or dome.")
    if traits.oscillator == "balance":
        steps.append("Upright all the way; nothing presses on balance, platform or hands.")
    if Train.CHIME in traits.trains:
        steps.append("Transport lock on, where there is one; packing under rods and hammers.")
    elif has_bird(traits):
        steps.append("The bird's door latched; bellows and call levers free of any pressure.")
    elif Train.STRIKE in traits.trains:
        steps.append("Packing under the hammer, so that it can't beat on bell, gong or rod.")
    if stands(traits) == "floor":
        steps.append("Hood off and carried by itself; door locked or tied.")
    if clock.movement_only or stands(traits) == "floor":
        steps.append("Keepers of the movement or its board released before it is drawn.")
    steps.append(f"In the bag: {listed(_bag(traits))}.")
    return tuple(steps)


def _weights_off(clock: Clock, traits: Traits) -> list[str]:
    named = weight_words(clock, traits)
    if len(named) == 1:
        off = f"Weight off, gloves on: {named[0]}; labelled."
    else:
        off = f"Weights off one at a time, gloves on, each labelled (they may differ): {', '.join(named)}."
    if wound_by(traits) == "chain":
        return [off, "Chain or rope wired together under the movement, so that it stays on its wheels; ends in a bag."]
    return [off, "Lines and cables kept taut on their barrels, pulleys tied up; nothing slack, nothing crossed."]


def _springs_held(traits: Traits) -> list[str]:
    if traits.oscillator == "pendulum":
        return ["Crutch tied or packed, so that the train can't run without the pendulum; the springs stay wound."]
    return []


def _bag(traits: Traits) -> list[str]:
    wanted = [] if wound_by(traits) == "chain" else ["key or crank"]
    if traits.weights:
        wanted.append("gloves")
    wanted.append("level")
    if stands(traits) != "table":
        wanted.append("wall fixing and packing")
    return [*wanted, "a clock that is right", "this sheet", "the owner's card"]


def at_the_case(clock: Clock, traits: Traits) -> Steps:
    """Where it stands or hangs, before anything is hung in it."""
    steps = []
    match stands(traits):
        case "floor":
            steps.append(
                "Case firm: pushed at the hood, it doesn't give; packed under the plinth where the floor does."
            )
            steps.append("Case fixed to the wall by the local code, then level both ways on the movement's board.")
        case "wall":
            steps.append(f"Fixing bears the whole clock{_load(clock, traits)}; the case is upright and can't shift.")
        case _ if traits.oscillator == "torsion":
            steps.append(
                "Firm, out of sun and draught; levelled by its feet until the pendulum hangs free in its middle."
            )
        case _:
            steps.append("On a firm and level place, out of sun, not over a fire or radiator.")
    if clock.movement_only:
        steps.append(
            "Movement in its case for the first time: it sits on its board without strain, hands clear the dial."
        )
    if traits.weights:
        steps.append(_room_to_fall(clock, traits))
    return tuple(steps)


def _load(clock: Clock, traits: Traits) -> str:
    kg = [weight.kg for weight in weights_of(clock, traits)]
    return f", with {sum(each or 0.0 for each in kg):g} kg of weights" if kg and all(kg) else ""


def _room_to_fall(clock: Clock, traits: Traits) -> str:
    one = len(hung(clock, traits)) == 1
    weights = "the weight" if one else "the weights"
    if clock.case_fall_mm:
        return (
            f"Room to fall: {clock.case_fall_mm:g} mm told of this case; seen, and nothing in the way of {weights} "
            "(door, pendulum, old fixings)."
        )
    wanted = traits.fall_mm_per_day * traits.full_run_h / 24
    return (
        f"Room to fall: not told of this case; measured, about {wanted:.0f} mm are wanted for a full run, and nothing "
        f"is in the way of {weights}."
    )


def hung_and_started(clock: Clock, traits: Traits, beat: str, swing: str) -> Steps:
    """Weights, pendulum last, beat; `beat` and `swing` are how they were on the stand, with what is too much."""
    steps = []
    if traits.weights:
        crossed = (
            "Chain on its wheels, not twisted"
            if wound_by(traits) == "chain"
            else "Each line on its pulley, not crossed"
        )
        named = weight_words(clock, traits)
        way = f", as labelled: {', '.join(named)}" if len(named) > 1 else ""
        steps.append(f"{crossed}; weights hung one at a time{way}." if way else f"{crossed}; weight hung.")
    match traits.oscillator:
        case "pendulum":
            steps.append("Suspension straight, without a kink; crutch freed. Pendulum on last.")
            steps.append(f"In beat by ear: tick and tock even. {beat}")
            steps.append("If its crutch sets itself: one wide swing, then wait; that wide swing is not its swing.")
            steps.append(f"Swing read, a quarter of an hour later. {swing}")
        case "balance":
            steps.append(f"Wound and set going by a light turn of the whole clock; ticks evenly. {beat}")
            steps.append(f"Balance swings freely. {swing}")
        case "torsion":
            steps.append("Pendulum unlocked, turned slowly by hand until it just ticks on both sides, and let go.")
            steps.append(f"In beat: it swings on past the tick as far to the left as to the right. {beat}")
            steps.append(f"Judged after two days, not before. {swing}")
    if traits.oscillator != "balance":
        steps.append("Fully wound, every train." if len(traits.trains) > 1 else "Fully wound.")
    return tuple(step.strip() for step in steps)


def hands_and_bells(clock: Clock, traits: Traits) -> Steps:
    """Setting it right, and hearing what it does."""
    sounds = Train.STRIKE in traits.trains or Train.CHIME in traits.trains
    steps = ["Every packing and lock out again."] if sounds else []
    if Train.CHIME in traits.trains:
        steps.append("Hands forward only, pausing at each quarter until it has finished.")
        if traits.self_correcting:
            steps.append("Chime given up to two hours to find its quarter by itself; then heard right.")
        else:
            steps.append("Chime heard right at each quarter: it doesn't correct itself.")
        steps.append("Selector where the owner wants it; never moved while it chimes.")
    elif Train.STRIKE in traits.trains:
        pauses = "at each half hour and hour" if traits.half_hour else "at each hour, and wherever else it strikes,"
        steps.append(f"Hands forward only, pausing {pauses} until it has finished.")
    else:
        steps.append("Hands forward only, by the minute hand.")
    if Train.STRIKE in traits.trains:
        steps.append("One hour heard: as many blows as the dial shows.")
    if clock.night_silence:
        steps.append(f"Night silence heard of by the owner: {clock.night_silence}.")
    if traits.moon:
        steps.append("Moon set, while the clock isn't moving it: by a light finger, or not now.")
    steps.append("Set right by a clock that is right.")
    return tuple(steps)


def before_going(traits: Traits) -> Steps:
    """The last look."""
    clear = "hands clear of each other and of the glass"
    if traits.weights:
        clear = f"weights clear of door and pendulum, {clear}"
    steps = [f"{clear.capitalize()}; everything shut; watched for ten minutes."]
    if traits.oscillator == "pendulum":
        steps.append("Nut left alone: the first 48 hours tell nothing.")
    steps.append("Owner shown how to wind it and what to mind; the card is theirs.")
    return tuple(steps)
