"""The start sheet: what is told once of a clock, in its first hour on the stand; what is missing, and what for.

What the clock's columns hold is kept there; what only eyes see is kept as the note of a fact.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from standwatch.estimate.history import History
from standwatch.horology.hanging import one_weight, weight_sides
from standwatch.judge.assessment import Assessment
from standwatch.model.errors import BadValue
from standwatch.model.words import Drive
from standwatch.service.readings import swing_deg
from standwatch.service.round.asking import cells_for, swing_of

Kind = Literal["number", "choice", "seen", "swing", "unlock"]

NOTE = "first hour: "
"""How a note of the sheet begins; its subject and what was found follow."""
RIGHT = "right"
BALANCES = ("plain", "cut", "alloy")
_OVERSWINGS = {"overswing-left": "overswing_left_deg", "overswing-right": "overswing_right_deg"}
_UNITS = {"_kg": "kg", "_mm": "mm", "rns": "turns"}
"""By the ends of the columns' names."""
_UNTOLD = "its weight can't be told the fitter"
FRESH_H, FRESH_DAILY_H = 24.0, 6.0
"""Hours after winding in which a swing is that of a clock fully wound (common practice)."""


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of the sheet.

    `told` is what is known, in words, None where it is missing; `wrong`: it was looked at and is not right. `minutes`
    is how long it takes, `without` what can't be judged as long as nobody tells it. `column` is clocks.csv's.
    """

    key: str
    kind: Kind
    title: str
    ask: str
    minutes: float
    without: str
    told: str | None
    column: str | None = None
    wrong: bool = False

    @property
    def missing(self) -> bool:
        """Nobody has told it, or it was not right when last looked at."""
        return self.told is None or self.wrong


@dataclass(frozen=True, slots=True)
class Kept:
    """What an answer leads to: other columns of the clock, and a check-in's cells; in words."""

    columns: dict[str, str]
    cells: dict[str, object]
    said: str


def sheet_of(told: Assessment) -> tuple[SheetLine, ...]:
    """The lines of one clock's sheet, in the order in which a hand does them; empty for a reference."""
    if told.estimates.history.traits.reference:
        return ()
    return tuple(_lines(told))


def missing_of(sheet: tuple[SheetLine, ...]) -> tuple[tuple[SheetLine, ...], float]:
    """What is missing, and how many minutes it takes."""
    missing = tuple(line for line in sheet if line.missing)
    return missing, sum(line.minutes for line in missing)


def _lines(told: Assessment) -> Iterator[SheetLine]:
    history = told.estimates.history
    seen = _notes(history)
    if history.traits.weights:
        yield from _weights(history)
        yield _eyes(
            seen, "lines and hooks", "sound, on their pulleys, hooks closed", 2, "nobody vouches for what holds"
        )
    elif history.traits.drive is Drive.SPRING:
        yield from _springs(history)
    if history.traits.oscillator == "pendulum":
        yield from _unlocking(history, seen)
    if history.traits.oscillator == "balance":
        ask = "1 plain   2 cut   3 alloy"
        yield _number(history, "balance", "balance", ask, without="warmth looks like drift", kind="choice")
    yield from _swing(told)
    yield _eyes(seen, "cannon friction", "firm when the hands are turned", 1, "a slip looks like a rate")
    yield _eyes(seen, "hands", "clear of each other all round", 1, "a stop there has one suspect more")
    yield _eyes(seen, "dial and glass", "clear of the hands for twelve hours", 12, "a touch shows only on the stand")


def _number(
    history: History, column: str, title: str, ask: str, *, without: str, minutes: float = 1, kind: Kind = "number"
) -> SheetLine:
    value = getattr(history.clock, column)
    told = None if value is None else value if isinstance(value, str) else f"{value:g} {_UNITS[column[-3:]]}".strip()
    return SheetLine(column, kind, title, ask, minutes, without, told, column)


def _weights(history: History) -> Iterator[SheetLine]:
    """What each weighs, left to right, scratched on it; and where the bob hangs."""
    sides = weight_sides(history.traits.trains, history.clock.weight_order)
    if one_weight(history.traits):
        yield _number(history, "going_kg", "weight", "kg, on the scale", without=_UNTOLD)
    else:
        lost = "an exchange could not be told" if len(sides) > 1 else _UNTOLD
        for side, train in sides.items():
            ask = f"kg of the {side} weight ({train}); scratch {side} on it"
            yield _number(history, f"{train}_kg", f"{side} weight", ask, without=lost)
    if history.traits.oscillator == "pendulum":
        ask = "mm from the weights' highest place down to the bob's centre"
        yield _number(history, "bob_below_top_mm", "bob below top", ask, without="passing the bob isn't foretold")


def _springs(history: History) -> Iterator[SheetLine]:
    for train in history.traits.trains:
        ask = f"turns of the key from run down to full ({train}), counted at a full wind"
        yield _number(
            history, f"{train}_turns", f"{train} turns", ask, without="its run-out is told in days alone", minutes=2
        )


def _unlocking(history: History, seen: dict[str, str]) -> Iterator[SheetLine]:
    """The half-swing at which each side just unlocks; the column holds the worse side."""
    unit = "mm on its scale" if history.clock.swing_scale_mm is not None else "degrees"
    for side in ("left", "right"):
        told = seen.get(f"unlocks {side}")
        if told is None and history.clock.unlock_deg is not None and not any(k.startswith("unlocks") for k in seen):
            told = f"{history.clock.unlock_deg:g}°, the worse side"
        ask = f"{unit} where the {side} side just unlocks: guide the bob slowly by hand"
        yield SheetLine(f"unlocks {side}", "unlock", f"unlocks {side}", ask, 1, "the swing can't be judged", told)


def _swing(told: Assessment) -> Iterator[SheetLine]:
    """The swing of the clock fully wound; of a torsion clock, which is never just wound, each overswing."""
    history = told.estimates.history
    most = FRESH_DAILY_H if history.traits.daily else FRESH_H
    fresh = [r for r in told.estimates.swing.readings if r.wind_hours is not None and r.wind_hours <= most]
    for wanted in swing_of(told, "fully wound"):
        title, ask = f"{wanted.name}, wound", f"{wanted.ask}, {wanted.unit}, fully wound"
        known = f"{fresh[-1].degrees:.4g}°" if fresh else None
        if wanted.what in _OVERSWINGS:
            title, ask = wanted.name, f"{wanted.ask}, {wanted.unit}"
            read = [deg for v in history.since_opened if (deg := getattr(v.row, _OVERSWINGS[wanted.what])) is not None]
            known = f"{read[-1]:.4g}°" if read else None
        yield SheetLine(wanted.what, "swing", title, ask, 1, "a fall has nothing to be told by", known)


def _eyes(seen: dict[str, str], title: str, ask: str, minutes: float, without: str) -> SheetLine:
    found = seen.get(title)
    return SheetLine(title, "seen", title, ask, minutes, without, found, wrong=found is not None and found != RIGHT)


def _notes(history: History) -> dict[str, str]:
    """What was noted for the sheet since the movement was last opened, by its subject; the last word counts."""
    found: dict[str, str] = {}
    for visit in history.since_opened:
        note = visit.row.note or ""
        if note.startswith(NOTE):
            subject, _, said = note.removeprefix(NOTE).partition(": ")
            found[subject] = said
    return found


def answer(line: SheetLine, typed: str, told: Assessment) -> Kept:
    """What was typed for a line: numbers, 1 to 3 of a balance, for what is seen RIGHT or what is not right in words.

    Raises BadValue with the mend.
    """
    text, history = typed.strip(), told.estimates.history
    if not text:
        raise BadValue(f"nothing typed yet; {line.ask}")
    if line.kind == "seen":
        return Kept({}, {"note": f"{NOTE}{line.title}: {text}"}, f"{line.title}: {text}")
    if line.kind == "choice":
        if text not in {"1", "2", "3"} and text not in BALANCES:
            raise BadValue(f"{text!r} is no balance; {line.ask}", column="balance")
        chosen = BALANCES[int(text) - 1] if text.isdigit() else text
        return Kept({"balance": chosen}, {}, f"{chosen} balance")
    value = _figure(line, text)
    if line.kind == "unlock":
        return _unlocked(line, text, value, history)
    if line.kind == "swing":
        wanted = next(each for each in swing_of(told, "") if each.what == line.key)
        cells = cells_for(wanted, text, history)
        return Kept({}, cells, f"{line.title} {value:g} {wanted.unit}")
    return Kept({line.column or "": text}, {}, f"{line.title} {value:g}")


def _figure(line: SheetLine, text: str) -> float:
    try:
        return float(text)
    except ValueError:
        raise BadValue(f"{text!r} is no figure; {line.ask}", column=line.column) from None


def _unlocked(line: SheetLine, text: str, value: float, history: History) -> Kept:
    """One side; the column takes the worse of the sides told."""
    degrees = round(swing_deg(history.clock, text), 3) if history.clock.swing_scale_mm is not None else value
    other = _notes(history).get("unlocks right" if line.title.endswith("left") else "unlocks left")
    sides = [degrees] + ([float(other.partition("°")[0])] if other else [])
    said = f"{degrees:g}°"
    return Kept({"unlock_deg": f"{max(sides):g}"}, {"note": f"{NOTE}{line.title}: {said}"}, f"{line.title} at {said}")


def uneven(told: Assessment) -> str:
    """What the two sides' unlocking says of the beat, in words; empty where it is not told or even within a fifth."""
    seen = _notes(told.estimates.history)
    sides = [seen.get("unlocks left"), seen.get("unlocks right")]
    if None in sides:
        return ""
    left, right = (float((side or "0").partition("°")[0]) for side in sides)
    if max(left, right) <= 0 or abs(left - right) <= 0.2 * max(left, right):
        return ""
    return f"it unlocks unevenly, left {left:g}° and right {right:g}°: set the beat"
