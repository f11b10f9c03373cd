"""The end of the round: what was not read, runs out before the next, wants adjusting, may go; a key to each."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Size

from standwatch.service.round.ending import Ending
from standwatch.tui.draw import words
from standwatch.tui.draw.paint import ERROR, HERE, MUTED, PLAIN, SUCCESS, WARNING, Lines, block, fit, line, rule, strong
from standwatch.tui.draw.round.page import ROOMY, RoundShown, chip, page, progress, question

LINES_AT_ONCE = 9
"""As many as there are keys; the rest comes with a further key."""
_COLOURS = {
    "not read": WARNING,
    "read once more": WARNING,
    "stands still": ERROR,
    "runs out": WARNING,
    "suspect": WARNING,
    "adjust": PLAIN,
    "may go": SUCCESS,
}


def end_page(shown: RoundShown, endings: Sequence[Ending], first: int, size: Size, next_round: datetime) -> Lines:
    """The round is over. Nine lines from the `first` on, with the keys 1 to 9."""
    width, roomy = size.width, size.height >= ROOMY
    following = words.round_words(next_round, shown.now, shown.zone)
    states = [spot.state for spot in shown.round.spots]
    read, stand = sum(state in {"read", "suspect"} for state in states), states.count("stands")
    still = f", {stand} {'stands' if stand == 1 else 'stand'} still" if stand else ""
    top = [*([Content("")] if roomy else []), progress(shown, width), Content("")]
    top += [
        line((" THE ROUND IS DONE ", block(HERE)), (f"   {read} of {len(states)} read{still}", PLAIN),
             (f"   next round {following}", MUTED)),
        Content(""),
    ]  # fmt: skip
    shown_now = endings[first : first + LINES_AT_ONCE]
    middle: Lines = []
    why = ""
    for n, ending in enumerate(shown_now):
        if ending.why != why and roomy:
            count = sum(each.why == ending.why for each in endings)
            head = rule(_title(ending.why, following), width - 2, line((str(count), MUTED)))
            middle += [*([Content("")] if middle else []), line((" ", PLAIN), head)]
        why = ending.why
        middle.append(_ending_line(n, ending, width))
    left = len(endings) - first - len(shown_now)
    if left or first:
        said = f"   ▼ {left} more" if left else "   these are the last"
        does = " shows them" if left else " begins again"
        middle.append(line((said, MUTED), ("   n -", strong(HERE)), (does, MUTED)))
    if not endings:
        middle.append(
            line(("   nothing is left to do" if states else "   no clock is on the stand: a adds one there", MUTED))
        )
    ask = line(chip("Enter"), ("   back to the stand", strong(PLAIN)))
    below = [line((f" {fit(shown.note, width - 2).rstrip()}", WARNING if shown.note else MUTED))] if shown.note else []
    return page(top, middle, question(ask, width), below, size.height)


def _title(why: str, following: str) -> str:
    return {
        "not read": "NOT READ",
        "read once more": "THE PENDULUM WAS HELD: READ ONCE MORE",
        "stands still": "STANDS STILL",
        "runs out": f"RUNS OUT BEFORE {following.upper()}",
        "suspect": "SUSPECT READING",
        "adjust": "WANTS ADJUSTING",
        "may go": "MAY GO",
    }[why]


def _ending_line(n: int, ending: Ending, width: int) -> Content:
    """Its key, who it is, why, and what to do: in a sentence where that has room, else in two or three words."""
    start = line(
        (f"  {n + 1} ", strong(HERE)),
        (fit(ending.slot, 4), strong(PLAIN)),
        (f"{fit(ending.tag, max(6, cell_len(ending.tag) + 1))}", PLAIN),
        (fit(ending.why, 16), strong(_COLOURS[ending.why])),
        (fit(ending.short, 15), strong(PLAIN)),
    )
    room = width - start.cell_length - 1
    told = ending.text if cell_len(ending.text) <= room else ""
    return line(start, (told, MUTED))
