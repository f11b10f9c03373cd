"""A widget that shows what a drawing function makes of its size."""

from __future__ import annotations

from collections.abc import Callable

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

Draw = Callable[[Size], Content]


def nothing(_size: Size) -> Content:
    """An empty sheet."""
    return Content("")


class Sheet(Widget):
    """Lines of text from a pure function of the size. Text in it can be selected and copied."""

    DEFAULT_CSS = "Sheet { height: 1; text-wrap: nowrap; text-overflow: clip; }"

    def __init__(self, draw: Draw = nothing, *, id: str | None = None) -> None:  # noqa: A002  # Textual's own name
        super().__init__(id=id)
        self._draw = draw

    def show(self, draw: Draw) -> None:
        """Draw otherwise from now on."""
        self._draw = draw
        self.refresh()

    def render(self) -> Content:
        """Textual asks for it."""
        return self._draw(self.size)
