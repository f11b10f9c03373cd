"""The bottom line: the keys that work now, out of the registry, greyed where they make no sense now."""

from __future__ import annotations

from typing import cast

from textual import events
from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from standwatch.tui.actions import Action, Place, at
from standwatch.tui.desk import Desk
from standwatch.tui.draw.paint import ASLEEP, HERE, PLAIN, line, strong
from standwatch.tui.widgets.sheet import Sheet


class Foot(Widget):
    """Keys of one place, `? help` at the right edge. A click on one does it."""

    DEFAULT_CSS = "Foot { height: 1; }"

    def __init__(self, place: Place) -> None:
        super().__init__()
        self._place = place
        self._spots: list[tuple[int, int, Action]] = []

    def compose(self) -> ComposeResult:
        """One line."""
        yield Sheet(self._draw)

    def on_mount(self) -> None:
        """Redraw whenever the screen's bindings change."""
        self.screen.bindings_updated_signal.subscribe(self, lambda _screen: self.query_one(Sheet).refresh())

    def place(self, place: Place) -> None:
        """Show another place's keys."""
        self._place = place
        self.query_one(Sheet).refresh()

    def _draw(self, size: Size) -> Content:
        enabled = self._enabled()
        shown = [action for action in at(self._place) if action.foot and action.id in enabled]
        shown.sort(key=lambda action: not enabled[action.id])
        last = [action for action in shown if action.words == "help"]
        shown = [action for action in shown if action not in last] + last
        keys = {action.id: cast("Desk", self.app).keys.shown(self._place, action) for action in shown}
        wide = {action.id: len(keys[action.id]) + len(action.words) + 1 for action in shown}
        room = size.width - 1 - sum(wide[action.id] + 2 for action in last)
        parts: list[tuple[str, str]] = [(" ", PLAIN)]
        self._spots = []
        x = 1
        for action in shown:
            if action in last:
                parts.append((" " * (size.width - x - wide[action.id] - 1), PLAIN))
                x = size.width - wide[action.id] - 1
            elif x + wide[action.id] > room:
                continue
            on = enabled[action.id]
            parts += [(keys[action.id], strong(HERE) if on else ASLEEP), (f" {action.words}", PLAIN if on else ASLEEP)]
            start, x = x, x + wide[action.id]
            self._spots.append((start, x, action))
            parts.append(("  ", PLAIN))
            x += 2
        return line(*parts)

    def _enabled(self) -> dict[str, bool]:
        if self._place in {"entry", "works"}:
            return {action.id: True for action in at(self._place)}
        return {known.binding.action: known.enabled for known in self.screen.active_bindings.values()}

    async def on_click(self, event: events.Click) -> None:
        """Do what was clicked."""
        for start, end, action in self._spots:
            if start <= event.x < end and self._enabled().get(action.id):
                node = self.screen.focused if self._place in {"entry", "works"} else self.screen
                if node is not None:
                    await node.run_action(action.id)
