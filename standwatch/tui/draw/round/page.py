"""The round's frame: head, progress, the clock in large figures, and the filled block with the question of the moment.

One clock fills the page. What was expected of it stands nowhere on it before its figure is in.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from rich.cells import cell_len
from textual.content import Content

from standwatch.judge.assessment import Assessment
from standwatch.service.reference import ReferenceTime
from standwatch.service.round.plan import Round, Spot
from standwatch.tui.draw import words
from standwatch.tui.draw.glyphs import in_large, large
from standwatch.tui.draw.paint import (
    ERROR,
    HERE,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    Part,
    block,
    fit,
    line,
    sized,
    spread,
    strong,
)
from standwatch.tui.turn import Turn

TINT = "on $primary 22%"
ROOMY = 30
"""Lines from which a page has air between its parts."""
WIDE = 110
MARKS = {
    "read": ("✓", SUCCESS),
    "suspect": ("?", WARNING),
    "stands": ("■", ERROR),
    "going": ("+", PLAIN),
    "skipped": ("»", MUTED),
    "to-do": ("·", MUTED),
}
_NEAR = 8
"""Clocks shown on each side of the one at hand, where there are too many for the line."""
_ORDINALS = (
    "first", "second", "third", "fourth", "fifth", "sixth",
    "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class RoundShown:
    """What the page is about. `turn` is None at the round's end. `pending` are clocks whose figures are still to come.

    `note` is a sentence about what was just done, `caution` what to mind, said once a day.
    """

    round: Round
    now: datetime
    zone: ZoneInfo
    turn: Turn | None
    following: Assessment | None = None
    bell: bool = False
    reference: ReferenceTime | None = None
    banner: str | None = None
    pending: tuple[str, ...] = ()
    note: str = ""
    caution: str = ""


def head(shown: RoundShown | None, width: int) -> Content:
    """The top line."""
    if shown is None:
        return line((" ROUND", strong(PLAIN)))
    left = line((" ROUND  ", strong(PLAIN)), (words.day_words(shown.now, shown.zone), PLAIN))
    if shown.banner:
        left = line(left, ("   ", PLAIN), (shown.banner.partition(":")[0], strong(WARNING)))
    bell = "bell on   " if shown.bell else ""
    return spread(left, line((f"{bell}Esc leaves, keeps your place ", MUTED)), width)


def progress(shown: RoundShown, width: int) -> Content:
    """Every clock as a mark, rail by rail; the one at hand by its slot; how many, and how long it will take."""
    here = shown.turn.tag if shown.turn is not None else None
    total = len(shown.round.spots)
    at = shown.round.number(here) if here is not None else total
    if here is None:
        right = line((f"{total}", strong(PLAIN)), (f" clock{'' if total == 1 else 's'} ", PLAIN))
    else:
        left = max(shown.round.minutes_left, 1)
        right = line((f"{at}", strong(PLAIN)), (f" of {total}   ", PLAIN), (f"about {left} min left ", MUTED))
    room = width - right.cell_length - 2
    for brief in (total > room // 2, True):
        marks = line((" ", PLAIN), *_rails(shown.round, here, brief=brief))
        if marks.cell_length <= room:
            break
    return spread(marks, right, width)


def _rails(round_now: Round, here: str | None, *, brief: bool) -> list[Part]:
    """The marks of each rail; `brief`: of other rails only how many are left."""
    rails: dict[str, list[Spot]] = {}
    for spot in round_now.by_slot:
        rails.setdefault(spot.rail, []).append(spot)
    parts: list[Part] = []
    for rail, spots in rails.items():
        at = next((n for n, spot in enumerate(spots) if spot.tag == here), None)
        if brief and at is None:
            left = sum(spot.state == "to-do" for spot in spots)
            mark, style = ("✓", SUCCESS) if not left else (f"{left}", MUTED)
            parts += [(f"{rail or '–'} ", MUTED), (mark, style), ("  ", PLAIN)]
            continue
        parts.append((f"{rail} " if rail else "", MUTED))
        first = 0 if at is None or not brief else max(at - _NEAR, 0)
        last = len(spots) if at is None or not brief else at + _NEAR + 1
        for spot in spots[first:last]:
            mark, style = MARKS[spot.state] if spot.tag != here else (spot.slot or spot.tag, block(HERE))
            if parts[-1][1] == style and spot.tag != here:
                parts[-1] = (f"{parts[-1][0]}{mark} ", style)
            else:
                parts += [(mark, style), (" ", PLAIN)] if spot.tag == here else [(f"{mark} ", style)]
        parts.append(("  ", PLAIN))
    return parts


def title_of(assessment: Assessment) -> str:
    """ "floor chiming 8 d"."""
    traits = assessment.estimates.history.traits
    if traits.reference or traits.kind.title.endswith((" h", " d")):
        return traits.kind.title
    hours = traits.duration_h
    if hours > 40 * 24:
        return traits.kind.title
    span = f"{hours:.0f} h" if hours < 48 else f"{hours / 24:.0f} d"
    return f"{traits.kind.title} {span}"


def where_of(assessment: Assessment, *, whole: bool = True) -> str:
    """ "rail A, third from left"; empty where the slot doesn't tell."""
    history = assessment.estimates.history
    rail, number = history.rail, history.position.removeprefix(history.rail)
    if not rail or not number.isdigit() or not 1 <= int(number) <= len(_ORDINALS):
        return f"slot {history.position}" if history.position else "no slot"
    return f"rail {rail}, {_ORDINALS[int(number) - 1]}{' from left' if whole else ''}"


def slot_figures(assessment: Assessment) -> list[str]:
    """The slot (its tag where it has none) five rows high; as it is written where it can't be drawn."""
    history = assessment.estimates.history
    name = history.position or history.clock.tag
    if in_large(name) and len(name) <= 4:
        return large(name)
    return [fit(text, cell_len(name)) for text in ("", "", name, "", "")]


def who_lines(assessment: Assessment) -> list[Part]:
    """Who it is, beside the large slot; five lines."""
    history = assessment.estimates.history
    clock = history.clock
    standing = assessment.standing.value.replace("-", " ")
    held = f"{standing} {int(assessment.days_held + 0.05)}/{-int(-assessment.days_needed // 1)}"
    return [
        (clock.tag, strong(PLAIN)),
        (clock.description if clock.description and len(clock.description) < 30 else title_of(assessment), PLAIN),
        (where_of(assessment), PLAIN),
        (f"for {clock.owner}" if clock.owner else "", MUTED),
        (held, MUTED),
    ]


def top_lines(
    assessment: Assessment, figure: Sequence[Content], width: int, *, beside: Sequence[Content] = ()
) -> Lines:
    """The large slot at the left with who it is where there is room, `figure` at its right, `beside` right of that."""
    slot = slot_figures(assessment)
    size = cell_len(slot[0])
    wide = width >= WIDE
    who = who_lines(assessment)
    left = max(size + (30 if wide else 2), 46 if wide else 24)
    lines: Lines = []
    for n in range(5):
        start = [(f"  {slot[n]}" if wide else f" {slot[n]}", strong(HERE))]
        if wide:
            start.append((f"    {fit(who[n][0], max(left - size - 7, 4))}", who[n][1]))
        row = sized(line(*start), left)
        right = figure[n] if n < len(figure) else Content("")
        last = beside[n] if n < len(beside) else Content("")
        middle = line(row, ("  ", PLAIN), right)
        lines.append(spread(middle, last, width - 1) if last.cell_length else middle)
    return lines


def who_below(assessment: Assessment, width: int) -> Lines:
    """Who it is in two lines below the slot, where there is no room beside it."""
    history = assessment.estimates.history
    title = title_of(assessment)
    if cell_len(history.clock.tag) + cell_len(title) + 2 > width:
        title = history.traits.kind.short
    return [
        line((f" {history.clock.tag} ", strong(PLAIN)), (title, PLAIN)),
        line((f" {where_of(assessment, whole=width > 30)}", MUTED)),
    ]


def chip(key: str) -> Part:
    """A key as it is pressed now: in reverse."""
    return (f" {key} ", block(HERE))


def filled(rows: Sequence[Content], width: int) -> Lines:
    """The question of the moment: the only filled block of the page."""
    bar = line((" ▌", HERE))
    return [line(bar, sized(line(("  ", PLAIN), row), width - 3).stylize(TINT)) for row in rows]


def question(ask: Content, width: int, right: Content | None = None) -> Lines:
    """A question in a block of three lines."""
    blank = Content("")
    middle = ask if right is None else spread(ask, right, width - 7)
    return filled([blank, middle, blank], width)


def bed(typed: str, size: int = 5) -> Part:
    """Where figures are typed."""
    return (f" {fit(typed, size)} ", block(HERE))


def page(top: Lines, middle: Lines, asked: Lines, below: Lines, height: int) -> Lines:
    """The parts over one another in exactly `height` lines: what is asked stays at its place near the bottom."""
    room = height - len(top) - len(asked) - len(below)
    shown = middle[: max(room, 0)]
    blank: Lines = [Content("")] * max(room - len(shown), 0)
    return [*top, *shown, *blank, *asked, *below][:height]


def stamp(at: datetime, shown: RoundShown) -> str:
    """The press to a tenth of a second, as the dial beside it reads."""
    local = at.astimezone(shown.zone)
    return f"{local.hour % 12 or 12}:{local:%M:%S}.{local.microsecond // 100000}"
