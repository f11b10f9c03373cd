"""What stands around the one-line entry: what is asked, what may be typed for this clock, what was understood."""

from __future__ import annotations

from textual.content import Content

from standwatch.horology.kinds import traits_of
from standwatch.model.facts import Clock
from standwatch.model.words import KindName, Train
from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, WARNING, Lines, line, strong, wrapped
from standwatch.tui.entry import Entry, sides_of
from standwatch.tui.works import WorkKey


def understood(entry: Entry, width: int) -> Lines:
    """The entry so far in words, and what is wrong with it."""
    if entry.problem:
        return wrapped(entry.problem, width, 2, strong(WARNING))
    return wrapped("   ".join(entry.said), width, 2, strong(PLAIN))


def reading_hints(clock: Clock) -> list[tuple[str, str]]:
    """(what to type, what it is) for the values that this clock can have."""
    traits = traits_of(clock)
    hints = [("8:05:30", "the dial"), ("+14", "or 14 fast, −1:02: the error")]
    if traits.oscillator == "torsion":
        hints.append(("v24,22", "overswing"))
    hints.append(("a2.6" if traits.oscillator == "pendulum" else "a240", "swing °"))
    if traits.oscillator != "torsion":
        hints.append(("b1.8", "beat %" if traits.oscillator == "pendulum" else "beat ms"))
    hints += [(f"{key}…", f"{train} mm") for key, (_, train) in sides_of(clock).items()]
    if Train.STRIKE in traits.trains:
        hints.append(("h7", "7 heard right"))
    if Train.CHIME in traits.trains:
        hints += [("i2", "in step at quarter 2"), ("o", "out of step"), ("s", "silent"), ("x", "didn't sound")]
    if traits.moon:
        hints.append(("m12", "moon's age"))
    return [*hints, ("n …", "a note")]


def hint_lines(hints: list[tuple[str, str]], width: int, height: int) -> Lines:
    """Hints flowing over lines, a hint never broken."""
    lines: Lines = []
    current: list[tuple[str, str]] = []
    used = 0
    for key, meaning in hints:
        size = len(key) + len(meaning) + 3
        if used + size > width and current:
            lines.append(line(*current))
            current, used = [], 0
        current += [(key, strong(HERE)), (f" {meaning}  ", MUTED)]
        used += size
    lines.append(line(*current))
    return lines[:height]


def reading_under(text: str, entry: Entry, clock: Clock, width: int) -> Lines:
    """Under a reading's line: hints while nothing is typed, then what was understood."""
    hints = hint_lines(reading_hints(clock), width, 3)
    if not text.strip():
        return hints
    return [*understood(entry, width)[:2], *hints][:3]


def new_clock_under(text: str, entry: Entry, width: int) -> Lines:
    """Under the line for a new clock."""
    if text.strip() and entry.problem is None:
        return wrapped("   ".join(entry.said), width, 3, strong(PLAIN))
    lines = wrapped(f"kinds: {', '.join(KindName)}", width, 3, MUTED)
    if len(text.split()) > 1 and entry.problem:
        lines = [*wrapped(entry.problem, width, 1, strong(WARNING)), *lines]
    return lines[:3]


def works_grid(works: tuple[WorkKey, ...], width: int, *, numbered: bool = False) -> Lines:
    """The works with their keys, in columns read downwards; `numbered`: the first nine by number too."""
    each = 20
    columns = max(width // each, 1)
    rows = -(-len(works) // columns)
    lines = []
    for n in range(rows):
        parts: list[tuple[str, str]] = []
        for place, known in list(enumerate(works))[n::rows]:
            key = f"{place + 1}{known.key} " if numbered and place < 9 else f" {known.key} "
            parts += [(key, strong(HERE)), (known.words.ljust(each - 3), PLAIN)]
        lines.append(line(*parts))
    return lines


def blank() -> Content:
    """Nothing."""
    return Content("")
