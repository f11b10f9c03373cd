"""Help: the keys that work where it was asked for, out of the registry, what the marks mean, and what was learned."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.screen import ModalScreen

from standwatch.tui.actions import Place, at, bindings
from standwatch.tui.desk import Desk
from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, Lines, fit, line, rule, stack, strong, wrapped
from standwatch.tui.keys import key_words
from standwatch.tui.widgets.foot import Foot
from standwatch.tui.widgets.sheet import Sheet

_MARKS = (
    ("■", "attention: stopped, ran out, slipped, or something missed"),
    ("◌", "settling after the nut, the beat, a move or a restart"),
    ("◆", "ready: it may go"),
    ("!", "before the next round"),
    ("≈", "expected, not read today"),
    ("?", "not yet known; after an error: a reading the others contradict"),
    ("·", "no reading"),
    ("–", "does not apply"),
    ("↓", "falling from week to week"),
    ("±", "what it may be out by, nineteen times in twenty"),
)
_TYPED = (
    ("8:05:30", "what the dial showed at the press of Space; 8:05 will do"),
    ("+14  −1:02", "the error instead: + fast, − slow, in seconds or minutes:seconds"),
    ("14 fast", "the same in words; also slow, right"),
    ("a2.6", "swing in degrees (half-swing of a pendulum); v24,22 overswing left, right"),
    ("b1.8", "beat error: per cent, of a balance milliseconds"),
    ("l c r 826", "the weight left, centre, right, as you face it: mm fallen, or as its paper scale reads"),
    ("i o s x", "chime in step, out of step, selector on silent, should have sounded"),
    ("i2", "in step at the second quarter"),
    ("h7  h7=6", "seven heard right; six blows counted at seven"),
    ("t19 m12", "temperature in °C; the moon's age in days"),
    ("minute", "read by the minute hand; also seconds, estimate, first-blow"),
    ("n text", "the rest of the line is a note"),
)
_TITLES: dict[Place, str] = {
    "stand": "on the stand",
    "clock": "on a clock's page",
    "entry": "for a reading",
    "round": "in the round",
    "round-take": "in the round, for the figure",
    "round-found": "in the round, once it is read",
    "round-surprise": "in the round, where it is not as expected",
    "round-end": "at the end of the round",
    "listening": "while listening",
    "winding": "for winding",
    "regulate": "at the nut",
    "stoppage": "at a clock that stopped",
    "first-hour": "in the first hour",
    "release": "on a release",
    "delivered": "for clocks at their owners'",
    "rates": "for call-back rates",
}


class HelpScreen(ModalScreen[None]):
    """One page over the screen; Esc goes back."""

    BINDINGS = bindings("help")

    def __init__(self, place: Place, taught: Sequence[str] = ()) -> None:
        super().__init__()
        self._place = place
        self._taught = taught

    def compose(self) -> ComposeResult:
        """A page that scrolls, and the bottom line."""
        with VerticalScroll(id="help-scroll"):
            yield Sheet(self._draw, id="help-page")
        yield Foot("help")

    def on_mount(self) -> None:
        """As high as its text; the keys as the person has them."""
        self._bindings = cast("Desk", self.app).keys.applied(self._bindings)
        self._fit()

    def on_resize(self) -> None:
        """As high as its text."""
        self._fit()

    def _fit(self) -> None:
        width = self.app.size.width
        self.query_one("#help-page").styles.height = len(self._lines(width))

    def _draw(self, size: Size) -> Content:
        return stack(self._lines(size.width))

    def _lines(self, width: int) -> Lines:
        room, desk = width - 3, cast("Desk", self.app)
        lines: Lines = [rule(f"KEYS {_TITLES.get(self._place, 'here')}", room)]
        for action in at(self._place):
            shown = desk.keys.shown(self._place, action).split()
            keys = " ".join(dict.fromkeys([*shown, *map(key_words, desk.keys.of(self._place, action))]))
            lines += _entry(keys, action.help, room)
        lines += _entry("Ctrl+P", "the command palette: all of this by name, and the theme.", room)
        lines += _entry("Ctrl+C", "copies what the mouse selected; with Shift+drag the terminal's own selection.", room)
        if self._place in {"stand", "entry"}:
            lines += [Content(""), rule("WHAT CAN BE TYPED AFTER SPACE", room)]
            for what, meaning in _TYPED:
                lines += _entry(what, meaning, room)
        lines += [Content(""), rule("MARKS", room)]
        for mark, meaning in _MARKS:
            lines += _entry(mark, meaning, room)
        if self._taught:
            lines += [Content(""), rule("WHAT YOUR OWN CLOCKS TAUGHT", room)]
            lines += [part for told in self._taught for part in wrapped(told, room, 3)]
        if desk.settings_file is not None:
            kept = f"colours, keys, the bell, and what a new book and a new clock begin with: {desk.settings_file}"
            lines += [Content(""), rule("YOUR SETTINGS", room), *wrapped(kept, room, 5)]
        if desk.wrong:
            lines += [Content(""), rule("LINES OF YOUR SETTINGS that can't be, and don't count", room)]
            lines += [part for wrong in desk.wrong for part in wrapped(desk.settings.told(wrong), room, 3)]
        return [line((" ", PLAIN), part) for part in lines]

    def action_close(self) -> None:
        """Back."""
        self.dismiss(None)


def _entry(what: str, meaning: str, width: int) -> Lines:
    parts = wrapped(meaning, width - 13, 3)
    return [
        line((fit(what if n == 0 else "", 13), strong(HERE)), part if n == 0 else line((part.plain, MUTED)))
        for n, part in enumerate(parts)
    ]
