"""The round's page after the press, still blind: the question for a figure, the whole dial, or the mark."""

from __future__ import annotations

from textual.content import Content
from textual.geometry import Size

from standwatch.model.words import ReadBy
from standwatch.service.round.crossing import Crossing
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.paint import (
    HERE,
    MUTED,
    PLAIN,
    WARNING,
    Lines,
    Part,
    block,
    fit,
    line,
    rule,
    strong,
)
from standwatch.tui.draw.round.asked import then_line
from standwatch.tui.draw.round.page import (
    ROOMY,
    WIDE,
    RoundShown,
    chip,
    filled,
    page,
    progress,
    stamp,
    top_lines,
    who_below,
)
from standwatch.tui.turn import Turn

_APART = 21
"""From so many rows on the two lines of a question stand apart; closer they run into each other."""


def figure_page(shown: RoundShown, turn: Turn, size: Size) -> Lines:
    """The press is stamped: which figure? Still blind."""
    width, roomy = size.width, size.height >= ROOMY
    top = [*([Content("")] if roomy else []), progress(shown, width), Content("")]
    top += top_lines(turn.before, [], width)
    if width < WIDE:
        top += who_below(turn.before, width)
    crossing = turn.crossing
    wants = crossing.wants if crossing is not None else None
    ask = {
        "mark": (("WHICH MARK?",), " 6 ", "6 is 60, 1 is 15, 3 is 30, 4 is 45", " "),
        "dial": (("THE WHOLE DIAL",), "0 to 9", "hour and minute: 827 is 8:27", _dial_typed(turn.typed)),
    }.get(wants or "", (("LAST FIGURE OF", "THE DIAL'S MINUTE"), "0 to 9", "one figure takes it", " "))
    titles, keys, how, typed = ask
    if wants == "figure" and crossing is not None and crossing.way is ReadBy.FIRST_BLOW:
        titles = ("LAST FIGURE OF", "THE HOUR STRUCK")
    rows: Lines = [Content("")] if roomy else []
    for n, title in enumerate(titles):
        rows += [Content("")] if n and size.height >= _APART else []
        glyphs = small(title)
        for m, row in enumerate(glyphs):
            parts: list[Part] = [(row, strong(PLAIN))]
            if n == 0:
                parts += [("   ", PLAIN), (fit(typed if m == 1 else "", max(len(typed), 6)), block(HERE))]
            rows.append(line(*parts))
    rows += [Content(""), line(chip(keys.strip() if wants != "mark" else "6  1  3  4"), (f"   {how}", strong(PLAIN)))]
    rows += [Content("")] if roomy else []
    middle: Lines = [Content("")] if roomy else []
    return page([*top, *middle], [*filled(rows, width)], [], _stamped(shown, turn, width, roomy=roomy), size.height)


def _dial_typed(typed: str) -> str:
    if len(typed) < 3:
        return f" {typed}"
    return f" {typed[:-2]}:{typed[-2:]}"


def _told_so_far(crossing: Crossing) -> str:
    """The dial or the figure that was told before the mark."""
    if crossing.dial is None:
        return f"figure {crossing.figure}"
    hours, minutes = divmod(crossing.dial // 60, 60)
    return f"{hours or 12}:{minutes:02d}"


def _stamped(shown: RoundShown, turn: Turn, width: int, *, roomy: bool) -> Lines:
    crossing = turn.crossing
    if crossing is None:
        return []
    doubt = "" if shown.reference is None else f", {shown.reference.short}"
    press = line(
        (" press    ", MUTED), (stamp(crossing.at, shown), strong(PLAIN)), (f"  by the reference{doubt}", MUTED)
    )
    later = f"   {len(shown.pending)} more to come" if shown.pending else ""
    wanted = "figure is in"
    if crossing.wants == "mark":
        wanted = f"mark is in; {_told_so_far(crossing)} is taken"
    said = line((f" what is expected is shown when the {wanted}{later}", MUTED))
    told = line((f" {fit(shown.note, width - 2).rstrip()}", WARNING)) if shown.note else said
    if not roomy:
        return [press, told, then_line(turn, width)]
    head = line(("  ", PLAIN), rule("STAMPED", width - 4))
    manner = line(("listen, look, read, then touch", MUTED))
    return [head, Content(""), press, Content(""), then_line(turn, width, right=manner), Content(""), told]
