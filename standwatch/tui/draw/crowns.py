"""The top line of one clock's page, and large figures with words beside them."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content

from standwatch.judge.assessment import Assessment
from standwatch.tui.draw.paint import MUTED, PLAIN, Lines, Part, crown, fit, line, strong
from standwatch.tui.draw.words import who_words


def clock_crown(name: str, told: Assessment, right: str, width: int) -> Content:
    """The top line: the page's `name`, which clock it is and what it is, `right` at the right edge."""
    history = told.estimates.history
    title = history.clock.description or history.traits.kind.title
    end = line((f"{right} ", MUTED))
    return crown(line((f" {name}  {who_words(told)}", strong(PLAIN))), line((f"  {title}", PLAIN)), [end], width)


def standing_words(told: Assessment) -> str:
    """Where it stands."""
    return told.standing.value.replace("-", " ")


def set_beside(figures: Sequence[str], told: Sequence[Part], width: int, colour: str = PLAIN) -> Lines:
    """Large figures in `colour`, beside each of their rows a part of `told`; `width` cells in all."""
    room = width - len(figures[0]) - 2
    lines = []
    for n, row in enumerate(figures):
        text, style = told[n] if n < len(told) else ("", PLAIN)
        lines.append(line((f"{row}  ", strong(colour)), (fit(text, room), style)))
    return lines
