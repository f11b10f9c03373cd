"""The stand's table: which columns fit, and one clock as one line.

Left to right: who, do what, evidence. As the width shrinks columns go in a fixed order; mark, slot, tag and error never
go, and a tag is never cut.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from rich.cells import cell_len
from textual.content import Content

from standwatch.judge.assessment import Assessment, Need
from standwatch.model.words import NextStep, Standing
from standwatch.service.views import RosterLine, StandView
from standwatch.tui.draw import words
from standwatch.tui.draw.paint import ASLEEP, ERROR, HERE, MUTED, PLAIN, SUCCESS, WARNING, block, fit, line, strong

_HEADS = {
    "slot": "SLOT", "tag": "TAG", "kind": "KIND", "next": "NEXT", "error": "ERROR", "rate": "RATE s/d",
    "swing": "SWING", "left": "LEFT", "chime": "CHIME", "standing": "STANDING", "days": "DAYS",
}  # fmt: skip
_WIDTHS = {
    "slot": 4, "tag": 4, "kind": 10, "next": 13, "error": 10, "rate": 9,
    "swing": 5, "left": 7, "chime": 5, "standing": 9, "days": 5,
}  # fmt: skip
_RIGHT = frozenset({"error", "days"})
_TINT = "on $primary 22%"
_DROPPED = ("days", "swing", "chime", "standing", "rate", "kind", "left", "next")
STANDING_COLOUR = {
    Standing.ATTENTION: ERROR,
    Standing.SETTLING: PLAIN,
    Standing.READY: SUCCESS,
    Standing.RELEASED: SUCCESS,
    Standing.ON_TEST: MUTED,
}


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns shown, each with its width, in order."""

    widths: tuple[tuple[str, int], ...]

    @property
    def width(self) -> int:
        """All of them, a cell apart."""
        return sum(width for _, width in self.widths) + len(self.widths) - 1


def columns_for(width: int, slots: Sequence[str], tags: Sequence[str]) -> Columns:
    """The columns that fit in `width` cells, wide enough for the longest slot and tag."""
    sizes = dict(_WIDTHS)
    sizes["slot"] = max(sizes["slot"], 2 + max((cell_len(slot) for slot in slots), default=2))
    sizes["tag"] = max(sizes["tag"], max((cell_len(tag) for tag in tags), default=4))
    for column in ("", *_DROPPED):
        sizes.pop(column, None)
        columns = Columns(tuple(sizes.items()))
        if columns.width <= width:
            break
    return columns


def heads(columns: Columns) -> Content:
    """The line of heads."""
    told = [(fit(_HEADS[name], width, right=name in _RIGHT), MUTED) for name, width in columns.widths]
    return Content.styled(" ", MUTED).join(Content.styled(text, style) for text, style in told)


@dataclass(frozen=True, slots=True)
class Row:
    """One clock as the table shows it; `why` is its section's title. Cells are (text, style) by column."""

    tag: str
    slot: str
    why: str
    cells: dict[str, list[tuple[str, str]]]
    filled: bool = False


def roster_row(told: RosterLine) -> Row:
    """A clock before anything is worked out."""
    cells = {
        "slot": [("  ", PLAIN), (told.position, strong(PLAIN))],
        "tag": [(told.tag, strong(PLAIN))],
        "kind": [(told.kind, MUTED)],
        "next": [("…", MUTED)],
    }
    return Row(told.tag, told.position, "", cells)


def section(need: Need, view: StandView) -> str:
    """Why a group stands where it does."""
    if need is Need.RUNS_OUT:
        at = f"{view.next_round.astimezone(view.shop.zone):%H:%M}"
        return f"run out before the next round, {words.day_words(view.next_round, view.shop.zone)} {at}"
    return {
        Need.STANDS_STILL: "stopped or ran out",
        Need.SLIPPED: "chime slipped, or a stop to explain",
        Need.SUSPECT: "suspect reading",
        Need.UNREAD: "unread today; error expected, not read",
        Need.ADJUST: "adjust",
        Need.READY: "may go",
        Need.REST: "the rest, by slot",
    }[need]


def clock_row(assessment: Assessment, view: StandView) -> Row:
    """A clock with everything that is known of it."""
    history = assessment.estimates.history
    colour = STANDING_COLOUR[assessment.standing]
    mark = words.MARKS.get(assessment.standing, " ")
    filled = assessment.need in {Need.STANDS_STILL, Need.SLIPPED}
    bold = strong(PLAIN)
    home = history.home_since is not None  # its slot is free, its rate and swing were the stand's
    place = "" if home else history.position
    none = [(words.NOT_APPLICABLE, MUTED)]
    cells = {
        "slot": [(mark, colour), (" ", PLAIN), (place, bold)],
        "tag": [(assessment.tag, bold)],
        "kind": [(history.traits.kind.short, MUTED)],
        "next": [(assessment.next.short, _next_style(assessment))],
        "error": [_error(assessment)],
        "rate": none if home else _rate(assessment),
        "swing": none if home else [_swing(assessment)],
        "left": [_left(assessment, view.now, view.next_round)],
        "chime": [_chime(assessment)],
        "standing": [(assessment.standing.value.replace("-", " "), _standing_style(assessment.standing))],
        "days": [_days(assessment)],
    }
    return Row(assessment.tag, place, section(assessment.need, view), cells, filled)


def _standing_style(standing: Standing) -> str:
    return MUTED if standing is Standing.ON_TEST else strong(STANDING_COLOUR[standing])


def _next_style(assessment: Assessment) -> str:
    if assessment.need in {Need.STANDS_STILL, Need.SLIPPED}:
        return block(ERROR)
    if assessment.need is Need.RUNS_OUT:
        return strong(WARNING)
    if assessment.need is Need.READY:
        return strong(SUCCESS)
    return MUTED if assessment.next.code is NextStep.NOTHING else strong(PLAIN)


def _error(assessment: Assessment) -> tuple[str, str]:
    text, manner = words.error_cell(assessment)
    return text, {"suspect": strong(WARNING), "expected": MUTED, "read": PLAIN}.get(manner, MUTED)


def _rate(assessment: Assessment) -> list[tuple[str, str]]:
    value, doubt = words.rate_parts(assessment.estimates.time.rate)
    known = value != words.UNKNOWN
    if not known and not assessment.estimates.history.readings:
        value = words.NO_READING
    return [(value.rjust(4), PLAIN if known else MUTED), (" ", PLAIN), (doubt, MUTED)]


def _swing(assessment: Assessment) -> tuple[str, str]:
    text = words.swing_text(assessment.estimates)
    unit = text.rstrip("↓")
    style = MUTED if text in {words.UNKNOWN, words.NO_READING} else PLAIN
    # unit under unit: the last cell is the arrow's
    return unit.rjust(4) + ("↓" if text.endswith("↓") else " "), strong(WARNING) if text.endswith("↓") else style


def _left(assessment: Assessment, now: datetime, next_round: datetime) -> tuple[str, str]:
    from standwatch.judge.stopping import ran_down  # noqa: PLC0415  # tags are shown before the estimators are loaded

    hangs = assessment.going.hangs
    if hangs is not None:
        return ("ran out" if ran_down(assessment.estimates.history, hangs) else "stopped"), strong(ERROR)
    history = assessment.estimates.history
    if history.traits.reference or history.home_since is not None:  # its owner winds it
        return words.NOT_APPLICABLE.rjust(5), ASLEEP
    soonest = assessment.estimates.running.soonest
    text = words.left_words(soonest, now, history.traits.drive)
    if text == words.UNKNOWN:
        return text.rjust(5), MUTED
    if words.runs_out_before(soonest, next_round):
        return f"{text.rjust(5)} !", strong(WARNING)
    return text.rjust(5), PLAIN


def _chime(assessment: Assessment) -> tuple[str, str]:
    word = assessment.chime_word
    if word in {words.NOT_APPLICABLE, "-", ""}:
        return words.NOT_APPLICABLE, ASLEEP
    if word in {words.UNKNOWN, words.NO_READING}:
        return word, MUTED
    return word, strong(ERROR) if assessment.need is Need.SLIPPED and word != "in" else PLAIN


def _days(assessment: Assessment) -> tuple[str, str]:
    return f"{math.floor(assessment.days_held + 0.05)}/{math.ceil(assessment.days_needed)}", PLAIN


def row_line(row: Row, columns: Columns, *, chosen: bool, blind: bool = False) -> Content:
    """One clock as one line of exactly the columns' width; the chosen one has › and a tint; `blind` hides its error."""
    pieces: list[Content] = []
    tint = _TINT if chosen else PLAIN
    for name, width in columns.widths:
        parts = row.cells.get(name, [])
        if name == "slot" and chosen:
            parts = [parts[0] if parts[0][0] != "  " else (" ", PLAIN), ("›", strong(HERE)), parts[-1]]
        if name == "error" and blind:
            parts = [("reading", MUTED)]
        used = sum(cell_len(text) for text, _ in parts)
        pad = (" " * max(width - used, 0), PLAIN)
        if name == "next" and row.filled:
            # the filled block takes a cell each side: the gap before the column, and one after its words
            text, style = parts[0]
            shown = fit(text, min(cell_len(text), width))
            pieces[-1] = pieces[-1].right_crop(1)
            after = Content(" " * (width - cell_len(shown)))
            pieces += [line((f" {shown} ", style)), after.stylize(tint)]
            continue
        if used > width:
            joined = "".join(text for text, _ in parts)
            cell = line((fit(joined, width), parts[-1][1]))
        else:
            cell = line(pad, *parts) if name in _RIGHT else line(*parts, pad)
        pieces += [cell.stylize(tint), Content(" ").stylize(tint)]
    return Content("").join(pieces[:-1])
