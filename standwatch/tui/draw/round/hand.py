"""The round's page before the press, read blind: where to look, and what to read in which order."""

from __future__ import annotations

import math
from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Size

from standwatch.model.words import ReadBy
from standwatch.service.round.asking import Wanted
from standwatch.service.round.crossing import way_of
from standwatch.tui.draw.glyphs import large
from standwatch.tui.draw.paint import (
    HERE,
    MUTED,
    PLAIN,
    WARNING,
    Lines,
    beside,
    fit,
    line,
    rule,
    sized,
    spread,
    strong,
)
from standwatch.tui.draw.round.asked import press_words, then_line
from standwatch.tui.draw.round.page import (
    ROOMY,
    WIDE,
    RoundShown,
    chip,
    page,
    progress,
    question,
    top_lines,
    who_below,
)
from standwatch.tui.turn import Turn

_BLIND = "what is expected is shown when the reading is in"
_LOOK = {
    ReadBy.SECONDS_HAND: ("the seconds hand", "square to it, eyes level with its centre"),
    ReadBy.MINUTE_HAND: ("the minute hand", "square to the dial, eyes level with its centre"),
    ReadBy.FIRST_BLOW: ("nothing: listen", "for the first blow of the hour"),
    ReadBy.ESTIMATE: ("the whole dial", "square to it, eyes level with its centre"),
}


def hand_page(shown: RoundShown, turn: Turn, size: Size) -> Lines:
    """Blind: the slot, the reference clock, what to look at, and what to read in order."""
    width, roomy = size.width, size.height >= ROOMY
    wide = width >= WIDE
    way = way_of(turn.before.estimates.history)
    top = [*([Content("")] if roomy else []), progress(shown, width), Content("")]
    reference = _clock(shown)
    gap = " " * max(width - len(reference[0]) - (52 if wide else 31), 0) if wide else ""
    top += top_lines(turn.before, [line((gap + row, strong(PLAIN))) for row in reference], width)
    told = _reference_words(shown)
    if wide:
        top.append(spread(Content(""), line((told, MUTED), ("  ", PLAIN)), width - 1))
    else:
        first, second = who_below(turn.before, 26)
        top += [line(sized(first, 31), (told, MUTED)), second]
    what, how = _LOOK[way]
    looks = line(
        (" look     " if not wide else "  look     ", MUTED), ("at ", PLAIN), (what, strong(PLAIN)), (f", {how}", PLAIN)
    )
    items = _items(turn, way, width, roomy=roomy)
    room = width - 2 if not wide else width - 44
    middle = [
        Content(""),
        looks,
        Content(""),
        line(("  " if wide else " ", PLAIN), rule("READ NOW, IN THIS ORDER", room)),
        *items,
    ]
    if wide and roomy:
        middle = beside(middle, room + 3, [Content(""), *ring(way, 36)], 38, " ")
    ask = line(chip("Space"), (" or ", MUTED), chip("Enter"), (f"   {press_words(way)}", strong(PLAIN)))
    later = line(("Enter after it: the next; figures at the end", MUTED)) if wide else None
    below = _below(shown, turn, width, roomy=roomy)
    return page(top, middle, question(ask, width, later), below, size.height)


def _clock(shown: RoundShown) -> list[str]:
    local = shown.now.astimezone(shown.zone)
    return large(f"{local.hour % 12 or 12}:{local:%M:%S}")


def _reference_words(shown: RoundShown) -> str:
    if shown.reference is None:
        return "reference"
    return f"reference, {shown.reference.short}"


def _items(turn: Turn, way: ReadBy, width: int, *, roomy: bool) -> Lines:
    """What is read, numbered: the hand, its figure, then what would change something; why, where that stays whole."""
    figure = "the last figure of the dial's minute"
    if turn.again or turn.asked_whole:
        figure = "the whole dial time, hour and minute"
    elif way is ReadBy.FIRST_BLOW:
        figure = "the last figure of the hour that strikes"
    told: list[tuple[str, str, str]] = [
        ("hand", f"press as {press_words(way).replace('the hand', 'it', 1)}", "a second look" if turn.again else ""),
        ("figure", figure, ""),
        *_further(turn.asked),
    ]
    lines: Lines = []
    for n, (name, what, why) in enumerate(told):
        mark = line(("›" if n == 0 else " ", strong(HERE)), (f"{n + 1} ", strong(HERE) if n == 0 else MUTED))
        text = line(mark, (fit(name, 9), strong(PLAIN)), (what, PLAIN))
        if why and not roomy and text.cell_length + 3 + len(why) <= width:
            text = line(text, (f"   {why}", MUTED))
        lines.append(line(("  " if roomy else "", PLAIN), text))
        if roomy:
            lines.append(line((" " * 14 + why, MUTED)))
    return [Content(""), *lines] if roomy else lines


def _further(asked: Sequence[Wanted]) -> list[tuple[str, str, str]]:
    """The weights as one item, then the rest."""
    weights = [w for w in asked if w.what == "weight"]
    told = []
    if weights:
        sides = [w.name.partition(",")[0] for w in weights]
        how = "on the slot's scale" if "scale" in weights[0].ask else "mm fallen from fully wound"
        name = "weights" if len(weights) > 1 else "weight"
        told.append((name, f"{', '.join(sides)}, {how}" if sides != ["weight"] else how, weights[0].because))
    told += [(w.name, w.ask.removeprefix(f"{w.name}: "), w.because) for w in asked if w.what != "weight"]
    return told


def _pressed(pending: Sequence[str]) -> str:
    """Whose hands were pressed and whose figures are still to come; empty where none are."""
    if not pending:
        return ""
    one = len(pending) == 1
    return f"pressed: {', '.join(pending)}; {'its figure is' if one else 'their figures are'} asked at the rail's end"


def _below(shown: RoundShown, turn: Turn, width: int, *, roomy: bool) -> Lines:
    pressed = _pressed(shown.pending)
    last = shown.note or pressed or shown.caution or _BLIND
    style = WARNING if shown.note or (shown.caution and not pressed) else PLAIN if pressed else MUTED
    said = line((f" {fit(last, width - 2).rstrip()}", style))
    if not roomy:
        return [said]
    manner = line(("listen, look, read, then touch", MUTED))
    return [Content(""), then_line(turn, width, right=manner), Content(""), said]


def ring(way: ReadBy, width: int) -> Lines:
    """The ring of the hand that is read, without its hand: the marks at which to press stand out."""
    seconds = way is ReadBy.SECONDS_HAND
    rows = 13
    across = (width - 8) * 2
    grid = [[0] * (across // 2) for _ in range(rows)]
    bits = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))

    def dot(x: float, y: float) -> None:
        column, row = round(x), round(y)
        if 0 <= column < across and 0 <= row < rows * 4:
            grid[row // 4][column // 2] |= bits[row % 4][column % 2]

    centre_x, centre_y = (across - 1) / 2, (rows * 4 - 1) / 2
    for tick in range(60):
        angle = math.radians(6 * tick)
        quarter = tick % 15 == 0 if seconds else tick % 5 == 0
        for part in range(8 if quarter else 1):
            radius = 1 - 0.03 * part
            dot(centre_x + math.sin(angle) * centre_y * radius, centre_y - math.cos(angle) * centre_y * radius)
    drawn = ["".join(chr(0x2800 + cell) if cell else " " for cell in row) for row in grid]
    words = ("any of the", "four marks") if seconds else ("any minute", "mark")
    for n, word in enumerate(words):
        start = (len(drawn[0]) - len(word)) // 2
        row = drawn[rows // 2 - 1 + n]
        drawn[rows // 2 - 1 + n] = row[:start] + word + row[start + len(word) :]
    middle = rows // 2
    lines = [line((" " * (width // 2 - 1) + "60", strong(PLAIN)))]
    for n, row in enumerate(drawn):
        left, right = ("45", "15") if n == middle else ("  ", "  ")
        lines.append(
            line((f"{left}  ", strong(PLAIN)), (row, HERE if seconds else PLAIN), (f"  {right}", strong(PLAIN)))
        )
    return [*lines, line((" " * (width // 2 - 1) + "30", strong(PLAIN)))]
