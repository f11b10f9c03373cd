"""Regulate: the rate, large; how far to turn, large; what it would become, drawn; what earlier turns did."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.judge.regulation import Advice
from standwatch.judge.turns import PastTurn
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.units import MINUS
from standwatch.service.bench.regulating import FINISH, Regulation, agreement, eighths, told_turns
from standwatch.tui.draw import words
from standwatch.tui.draw.crowns import clock_crown, set_beside, standing_words
from standwatch.tui.draw.glyphs import large, small
from standwatch.tui.draw.paint import (
    HERE,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    Part,
    beside,
    fit,
    line,
    rule,
    stack,
    strong,
    wrapped,
)

_LEAST_BAR = 24
_LEAST_CHART = 8


@dataclass(frozen=True, slots=True)
class Page:
    """What the page is about. `past` is None until it is worked out, `chart` empty until it is drawn.

    `for_home` is how to leave it for its owner's place and room; empty where neither is known.
    """

    told: Assessment
    regulation: Regulation
    past: tuple[PastTurn, ...] | None
    now: datetime
    zone: ZoneInfo
    chart: Lines
    for_home: str = ""


def head(page: Page, width: int) -> Content:
    """The top line."""
    return clock_crown("REGULATE", page.told, standing_words(page.told), width)


def body(page: Page, size: Size) -> Content:
    """The page under its head."""
    width, tall = size.width - 2, size.height >= 26
    above = _above(page, width, tall=tall)
    past = _past(page, width, size.height - len(above) - 3)
    below = [rule("NEXT", width), *wrapped(page.regulation.what_next, width, 2, strong(PLAIN))]
    gap = [Content("")] if tall else []
    chart: Lines = []
    if chart_height(page, size):
        chart = [*gap, rule("RATE SO FAR", width, line(("s/day, each day", MUTED))), *page.chart]
    return stack((line((" ", PLAIN), part) for part in [*above, *past, *gap, *below, *chart]), size.height)


def chart_height(page: Page, size: Size) -> int:
    """Lines for the chart of the rate below the rest; 0 where there is no room for it."""
    width, tall = size.width - 2, size.height >= 26
    used = len(_above(page, width, tall=tall)) + len(_past(page, width, 8)) + 6
    room = size.height - used
    return room if tall and room >= _LEAST_CHART else 0


def _above(page: Page, width: int, *, tall: bool) -> Lines:
    """All but the turns so far and what is next."""
    gap = [Content("")] if tall else []
    lines: Lines = [*gap, *_figures(page, width, tall=tall)]
    advice = page.regulation.advice
    if isinstance(advice, Advice) and advice.note:
        lines += wrapped(f"{advice.note[0].upper()}{advice.note[1:]}.", width, 3, WARNING)
    if page.for_home:
        lines += wrapped(f"For its home: {page.for_home}.", width, 2)
    lines += [*gap, *_becomes(page.regulation, width), *gap]
    return [*lines, *_one_turn(page.regulation, width, brief=not tall), *gap]


def _figures(page: Page, width: int, *, tall: bool) -> Lines:
    """The rate with its doubt at the left, the advice at the right; both in figures read at arm's length."""
    half = width // 2
    left = _rate(page.regulation, half - 1, tall=tall)
    right = _advice(page.regulation, width - half - 1, tall=tall)
    return beside(left, half, right, width - half - 1, " ")


def _rate(regulation: Regulation, width: int, *, tall: bool) -> Lines:
    value, doubt = words.rate_parts(regulation.rate)
    figures = large(value) if tall else small(value)
    if isinstance(regulation.rate, NotYetKnown):
        return set_beside(figures, [("s/day", strong(PLAIN)), ("not yet known", MUTED)], width, PLAIN)
    way = "gains" if regulation.rate.estimate > 0 else "loses"
    limit = f", limit {regulation.limit:g}" if regulation.limit else ""
    told = [(f"{doubt} s/day", strong(PLAIN)), (f"{way}{limit}", PLAIN), (regulation.named, MUTED)]
    return set_beside(figures, told, width, PLAIN)


def way_words(advice: Advice) -> str:
    """What the hand does."""
    if advice.direction in {"raise", "lower"}:
        return f"{advice.direction} the bob"
    return f"towards {advice.direction}"


def _advice(regulation: Regulation, width: int, *, tall: bool) -> Lines:
    advice = regulation.advice
    if isinstance(advice, NotYetKnown):
        because = advice.because.removeprefix("leave it: ")
        return [line(("LEAVE IT", strong(SUCCESS))), *wrapped(f"{because[0].upper()}{because[1:]}.", width, 5)]
    turns, doubt = told_turns(advice)
    figures = large(turns) if tall else small(turns)
    part = eighths(advice.turns.estimate, advice.turns.doubt)
    room = width - len(figures[0]) - 2
    about = f"±{doubt} turns, about {part}" if part and part != turns else ""
    told = [
        (way_words(advice).upper(), strong(WARNING)),
        (about if 0 < len(about) <= room else f"±{doubt} turns", PLAIN),
    ]
    return set_beside(figures, told, width, WARNING)


def _becomes(regulation: Regulation, width: int) -> Lines:
    """The rate now and after the turn on one scale, with the limit."""
    title = "WHAT IT WOULD BECOME"
    if isinstance(regulation.rate, NotYetKnown):
        return [rule(title, width), line(("its rate is not yet known", MUTED))]
    rows: list[tuple[str, Quantity]] = [("now", regulation.rate)]
    if isinstance(regulation.advice, Advice):
        rows.append(("then", regulation.advice.rate_after))
    scale = _Scale.over([rate for _, rate in rows], regulation.limit, width - 24)
    lines = [rule(title, width, line(("s/day, 95 %", MUTED)))]
    for name, rate in rows:
        value, doubt = words.rate_parts(rate)
        told: list[Part] = [
            (fit(name, 6), MUTED),
            (fit(value, 7, right=True), strong(PLAIN)),
            (fit(f" {doubt}", 11), MUTED),
        ]
        lines.append(line(*told, *scale.bar(rate, strong(HERE) if name == "then" else PLAIN)))
    return [*lines, line((" " * 24, PLAIN), (scale.names(), MUTED))]


@dataclass(frozen=True, slots=True)
class _Scale:
    """s/day along a line of `cells`."""

    low: float
    high: float
    cells: int
    limit: float | None

    @classmethod
    def over(cls, rates: Sequence[Quantity], limit: float | None, cells: int) -> _Scale:
        """A scale that shows all of `rates`, nothing and the limit."""
        ends = [0.0, *(rate.low for rate in rates), *(rate.high for rate in rates)]
        ends += [-limit, limit] if limit else []
        room = (max(ends) - min(ends)) * 0.04 or 1.0
        return cls(min(ends) - room, max(ends) + room, max(cells, _LEAST_BAR), limit)

    def at(self, rate: float) -> int:
        """The cell of a rate."""
        return min(max(round((rate - self.low) / (self.high - self.low) * (self.cells - 1)), 0), self.cells - 1)

    def bar(self, rate: Quantity, style: str) -> list[Part]:
        """One rate with its interval; nothing and the limits as uprights."""
        cells: list[Part] = [(" ", PLAIN)] * self.cells
        for x in range(self.at(rate.low), self.at(rate.high) + 1):
            cells[x] = ("─", style)
        for value in () if self.limit is None else (-self.limit, self.limit):
            cells[self.at(value)] = ("┊", MUTED)
        cells[self.at(0.0)] = ("│", MUTED)
        cells[self.at(rate.low)] = ("├", style)
        cells[self.at(rate.high)] = ("┤", style)
        cells[self.at(rate.estimate)] = ("●", style)
        return cells

    def names(self) -> str:
        """What the uprights are."""
        line_of = [" "] * self.cells
        marks = [(0.0, "0")]
        if self.limit is not None:
            marks += [(-self.limit, f"{MINUS}{self.limit:g}"), (self.limit, f"+{self.limit:g} limit")]
        for value, name in marks:
            start = min(max(self.at(value) - (len(name.split()[0]) - 1) // 2, 0), self.cells - len(name))
            if all(cell == " " for cell in line_of[max(start - 1, 0) : start + len(name) + 1]):
                line_of[start : start + len(name)] = list(name)
        return "".join(line_of)


def _one_turn(regulation: Regulation, width: int, *, brief: bool) -> Lines:
    """What a turn does, how that is known, and how to turn it."""
    raising = "raising the bob" if regulation.bob else "towards faster"
    if isinstance(regulation.turn, NotYetKnown):
        text = f"{regulation.turn.because[0].upper()}{regulation.turn.because[1:]}."
    else:
        value, doubt = words.rate_parts(regulation.turn)
        count = regulation.taught
        by = "by its length and the usual thread" if not count else f"as {count} turn{'s' if count > 1 else ''} taught"
        text = f"{value} {doubt} s/day a turn {raising}, {by}."
    said = isinstance(regulation.advice, Advice) and "one direction" in regulation.advice.note
    finish = FINISH if regulation.bob and not said else ""
    if not brief:
        return [
            rule("ONE TURN", width),
            *wrapped(text, width, 1),
            *(wrapped(finish, width, 1, MUTED) if finish else []),
        ]
    return [rule("ONE TURN", width), *wrapped(f"{text} {finish}", width, 2)]


def _past(page: Page, width: int, room: int) -> Lines:
    """Each turn since it was opened, latest first: what was to follow and what followed."""
    lines = [rule("TURNS SO FAR", width, line(("s/day expected, then got", MUTED)))]
    if page.past is None:
        return [*lines, line(("being worked out", MUTED))]
    if not page.past:
        return [*lines, line(("none since it was opened", MUTED))]
    latest = page.past[::-1]
    shown = latest if len(latest) <= room - 1 else latest[: max(room - 2, 1)]
    lines += [_past_line(page, turn, width) for turn in shown]
    if len(shown) < len(latest):
        lines.append(line((f"▼ {len(latest) - len(shown)} earlier", MUTED)))
    return lines


def _past_line(page: Page, turn: PastTurn, width: int) -> Content:
    size = "?" if turn.turns is None else f"{abs(turn.turns):g}"
    up, down = ("raised", "lowered") if page.regulation.bob else ("to faster", "to slower")
    way = "turned" if turn.turns is None else up if turn.turns > 0 else down
    said = agreement(turn)
    mark, style = ("✓ ", SUCCESS) if said == "as expected" else ("! ", WARNING) if said else ("", MUTED)
    if not said and isinstance(turn.became, NotYetKnown):
        said = turn.became.because
    return line(
        (fit(words.near_words(turn.at, page.now, page.zone), 7), MUTED),
        (fit(f"{way} {size}", 15), strong(PLAIN)),
        (fit(_rate_cell(turn.predicted), 13, right=True), MUTED),
        ("  got ", MUTED),
        (fit(_rate_cell(turn.became), 13), PLAIN),
        (fit(f" {mark}{said}", max(width - 54, 8)), style),
    )


def _rate_cell(rate: Answer) -> str:
    return " ".join(part for part in words.rate_parts(rate) if part)


def shown_amount(advice: Advice | NotYetKnown) -> str:
    """The advised turn as it can be typed, with its sign; empty where none is advised."""
    if isinstance(advice, NotYetKnown):
        return ""
    return f"{'+' if math.copysign(1, advice.turns.estimate) > 0 else '-'}{told_turns(advice)[0]}"
