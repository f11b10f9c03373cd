"""The stand's table, a line at a time: a key repaints two lines, not the table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual import events
from textual.content import Content
from textual.geometry import Region, Size
from textual.message import Message
from textual.selection import Selection
from textual.strip import Strip
from textual.visual import Visual
from textual.widget import Widget

from standwatch.tui.draw.columns import Columns, Row, columns_for, heads, row_line
from standwatch.tui.draw.paint import MUTED, line


class StandTable(Widget, can_focus=True):
    """One line a clock, in the order given; the cursor stays on its clock, by tag, whatever moves around it.

    Sections' titles stand between the groups as long as every line fits. The first line is the heads.
    """

    DEFAULT_CSS = "StandTable { height: 1fr; text-wrap: nowrap; text-overflow: clip; }"

    @dataclass
    class Chosen(Message):
        """The cursor came to a clock, by a hand's key or because rows changed."""

        tag: str
        by_hand: bool

    @dataclass
    class Opened(Message):
        """A clock was clicked while chosen."""

        tag: str

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002  # Textual's own name
        super().__init__(id=id)
        self._rows: tuple[Row, ...] = ()
        self._lines: list[Row | str] = []
        self._columns = Columns(())
        self._first = 0
        self._moved = False
        self._blind: str | None = None
        self.chosen: str | None = None

    def show(self, rows: Sequence[Row]) -> None:
        """Other rows; the cursor stays on its clock. Until moved, or where that clock left, it is on the first."""
        tags = {row.tag for row in rows}
        self._rows = tuple(rows)
        came = self.chosen not in tags or not self._moved
        if came:
            self.chosen = rows[0].tag if rows else None
        self._arrange()
        if came and self.chosen is not None:
            self.post_message(self.Chosen(self.chosen, by_hand=False))

    def _arrange(self) -> None:
        """Columns for the width, titles if they fit, the cursor in sight."""
        self._columns = columns_for(self.size.width, [r.slot for r in self._rows], [r.tag for r in self._rows])
        lines: list[Row | str] = []
        for n, row in enumerate(self._rows):
            if row.why and (n == 0 or row.why != self._rows[n - 1].why):
                lines.append(row.why)
            lines.append(row)
        self._lines = lines if len(lines) <= self._height else list(self._rows)
        self._into_sight()
        self.refresh()

    @property
    def _height(self) -> int:
        return max(self.size.height - 1, 1)

    def on_resize(self) -> None:
        """Arrange for the new size."""
        self._arrange()

    def choose(self, tag: str, *, by_hand: bool = False) -> None:
        """Put the cursor on `tag`."""
        if tag == self.chosen or all(row.tag != tag for row in self._rows):
            return
        before = self._line_of(self.chosen), self._first
        self._moved = True
        self.chosen = tag
        self._into_sight()
        if self._first != before[1]:
            self.refresh()
        else:
            for n in (before[0], self._line_of(tag)):
                self.refresh(Region(0, n - self._first + 1, self.size.width, 1))
        self.post_message(self.Chosen(tag, by_hand=by_hand))

    def blind(self, tag: str | None) -> None:
        """Hide the error of the clock that is being read: a tired eye reads what it is told."""
        self._blind = tag
        self.refresh()

    def move(self, by: int) -> None:
        """Up (−) or down (+) by so many clocks."""
        tags = [row.tag for row in self._rows]
        if tags:
            here = tags.index(self.chosen) if self.chosen in tags else 0
            self.choose(tags[min(max(here + by, 0), len(tags) - 1)], by_hand=True)

    def page(self, by: int) -> None:
        """A screenful up or down."""
        self.move(by * max(self._height - 2, 1))

    def end(self, by: int) -> None:
        """To the first or the last clock."""
        self.move(by * len(self._rows))

    def _line_of(self, tag: str | None) -> int:
        return next((n for n, known in enumerate(self._lines) if isinstance(known, Row) and known.tag == tag), 0)

    def _into_sight(self) -> None:
        """The cursor's line is neither outside nor under the words that say how many more there are."""
        most = max(len(self._lines) - self._height, 0)
        here = self._line_of(self.chosen)
        first = min(self._first, most)
        if here < first + (1 if first else 0):
            first = max(here - 1, 0)
        if here > first + self._height - 1 - (1 if first < most else 0):
            first = min(here - self._height + 2, most)
        self._first = first

    def on_click(self, event: events.Click) -> None:
        """A click chooses; a click on the chosen one opens it."""
        n = self._first + event.y - 1
        if event.y < 1 or n >= len(self._lines):
            return
        row = self._lines[n]
        if isinstance(row, Row):
            if row.tag == self.chosen:
                self.post_message(self.Opened(row.tag))
            self.choose(row.tag, by_hand=True)

    def on_mouse_scroll_down(self) -> None:
        """The wheel moves the cursor."""
        self.move(1)

    def on_mouse_scroll_up(self) -> None:
        """The wheel moves the cursor."""
        self.move(-1)

    def render_line(self, y: int) -> Strip:
        """Textual asks for one line."""
        content = self._content(y)
        if self.text_selection is not None and (span := self.text_selection.get_span(y)) is not None:
            start, end = span
            content = content.stylize("reverse", start, None if end == -1 else end)
        width = self.size.width
        shown = content.truncate(width, pad=True)
        strips = Visual.to_strips(self, shown, width, 1, self.visual_style, apply_selection=False)
        return (strips[0] if strips else Strip.blank(width)).apply_offsets(0, y)

    def _content(self, y: int) -> Content:
        if y == 0:
            return heads(self._columns) if self._rows else Content("")
        n = self._first + y - 1
        if n >= len(self._lines):
            return Content("")
        above, below = self._first, len(self._lines) - self._first - self._height
        if y == 1 and above > 0:
            return line((f"  ▲ {above + 1} more", MUTED))
        if y == self._height and below > 0:
            return line((f"  ▼ {below + 1} more", MUTED))
        row = self._lines[n]
        if isinstance(row, str):
            dashes = self._columns.width - len(row) - 3
            return line((f"  {row} " + "─" * max(dashes, 0), MUTED))
        return row_line(row, self._columns, chosen=row.tag == self.chosen, blind=row.tag == self._blind)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:  # noqa: ARG002  # Textual's own
        """As many lines as there are."""
        return len(self._lines) + 1

    def get_selection(self, selection: Selection) -> tuple[str, str] | None:
        """The text that is selected, for the copy key."""
        text = "\n".join(self._content(y).plain.rstrip() for y in range(self.size.height))
        return selection.extract(text), "\n"
