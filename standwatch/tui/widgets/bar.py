"""The bar above the bottom line: advice on the chosen clock, a one-line entry, the works, or what was just recorded."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import cast

from rich.cells import cell_len
from textual import events
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget
from textual.widgets import Input

from standwatch.tui.actions import bindings
from standwatch.tui.desk import Desk
from standwatch.tui.draw.paint import Lines, line, rule, stack
from standwatch.tui.draw.prompts import works_grid
from standwatch.tui.widgets.sheet import Draw, Sheet, nothing
from standwatch.tui.works import WorkKey

Under = Callable[[str, int], Lines]


class EntryLine(Input):
    """The line that is typed into. Space in an empty one is the hand crossing once more."""

    BINDINGS = bindings("entry")

    @dataclass
    class Left(Message):
        """Escape."""

    @dataclass
    class Stamped(Message):
        """Space, before anything was typed."""

    @dataclass
    class HelpWanted(Message):
        """F1."""

    def on_mount(self) -> None:
        """The keys as the person has them."""
        self._bindings = cast("Desk", self.app).keys.applied(self._bindings)

    def on_key(self, event: events.Key) -> None:
        """Space in an empty line."""
        if event.key == "space" and not self.value:
            event.stop()
            event.prevent_default()
            self.post_message(self.Stamped())

    async def action_save(self) -> None:
        """Enter."""
        await self.action_submit()

    def action_leave(self) -> None:
        """Escape."""
        self.post_message(self.Left())

    def action_entry_help(self) -> None:
        """F1."""
        self.post_message(self.HelpWanted())


class WorkPicker(Sheet, can_focus=True):
    """The works of one clock, a key each."""

    BINDINGS = bindings("works")
    works: tuple[WorkKey, ...] = ()
    numbered = False

    @dataclass
    class Picked(Message):
        """A work's key."""

        known: WorkKey

    def on_mount(self) -> None:
        """The keys as the person has them."""
        self._bindings = cast("Desk", self.app).keys.applied(self._bindings)

    def on_key(self, event: events.Key) -> None:
        """A work's key; but for this place's own no other key means anything here."""
        bound = self.screen.active_bindings.get(event.key)
        if bound is not None and bound.node is self:
            return
        event.stop()
        event.prevent_default()
        if event.key in {"up", "down", "pageup", "pagedown"}:  # a small terminal shows a part of them
            by = 1 if event.key.endswith("down") else -1
            self.query_ancestor(VerticalScroll).scroll_relative(y=by * (5 if "page" in event.key else 1), animate=False)
        if self.numbered and event.key == "0":
            self.action_leave()
        if self.numbered and event.character and event.character in "123456789"[: len(self.works)]:
            self.post_message(self.Picked(self.works[int(event.character) - 1]))
        for known in self.works:
            if event.character == known.key:
                self.post_message(self.Picked(known))

    def action_leave(self) -> None:
        """Nothing was done."""
        self.post_message(EntryLine.Left())

    def on_click(self, event: events.Click) -> None:
        """A click on a work picks it."""
        columns = max((self.size.width - 2) // 20, 1)
        rows = -(-len(self.works) // columns)
        index = event.y - 1 + (max(event.x - 1, 0) // 20) * rows
        if event.y >= 1 and event.y <= rows and 0 <= index < len(self.works):
            self.post_message(self.Picked(self.works[index]))


class Bar(Widget):
    """Says, asks or offers. `mode` is what it is doing: "rest", "entry", "works" or "told"."""

    DEFAULT_CSS = """
    Bar { height: auto; layout: vertical; }
    Bar #bar-line { height: 1; display: none; }
    Bar EntryLine { height: 1; border: none; padding: 0 1; width: 1fr; }
    Bar #bar-prompt { width: 3; }
    Bar #bar-room { display: none; height: auto; }
    Bar #bar-under { display: none; height: 3; }
    """

    mode: reactive[str] = reactive("rest")

    def compose(self) -> ComposeResult:
        """A sheet, the line under it, a sheet under that; the works in their place."""
        yield Sheet(id="bar-top")
        with Horizontal(id="bar-line"):
            yield Sheet(lambda _size: line((" ›", "bold $text-primary")), id="bar-prompt")
            yield EntryLine(compact=True, id="bar-entry", select_on_focus=False)
        yield Sheet(id="bar-under")
        with VerticalScroll(id="bar-room", can_focus=False):
            yield WorkPicker(id="bar-works")

    def _arrange(self, mode: str, top: int, draw: Draw) -> None:
        sheet = self.query_one("#bar-top", Sheet)
        sheet.display = top > 0
        sheet.styles.height = max(top, 1)
        sheet.show(draw)
        entry = mode == "entry"
        self.query_one("#bar-line").display = entry
        self.query_one("#bar-under").display = entry
        self.query_one("#bar-room").display = mode == "works"
        self._fit()
        self.mode = mode

    def on_resize(self) -> None:
        """Another size."""
        self._fit()

    def _fit(self) -> None:
        """The works leave room for the head, one line of the table and the bottom line."""
        picker = self.query_one(WorkPicker)
        picker.styles.height = len(works_grid(picker.works, self.size.width - 2)) + 1
        self.query_one("#bar-room").styles.max_height = max(self.screen.size.height - 4, 3)

    def rest(self, draw: Draw, height: int = 2) -> None:
        """Nothing is asked: what to do with the chosen clock."""
        self._arrange("rest", height, draw)

    def tell(self, lines: Callable[[int], Lines], width: int) -> None:
        """Say something until the next key."""
        height = len(lines(width - 2))
        self._arrange("told", height, lambda size: _inset(lines(size.width - 2)))

    def ask(self, title: Callable[[], Content | str], under: Under) -> None:
        """Ask for a line. `title` is read again at each stamp; `under` tells the line so far."""
        self._title, self._under = title, under
        self._arrange("entry", 1, self._draw_title)
        entry = self.query_one(EntryLine)
        entry.value = ""
        self._show_under("")
        entry.focus()

    def _draw_title(self, size: Size) -> Content:
        title = self._title()
        told = rule(title, size.width - 2) if isinstance(title, str) else title
        return _inset([told])

    def _show_under(self, text: str) -> None:
        under = self._under
        self.query_one("#bar-under", Sheet).show(lambda size: _inset(under(text, size.width - 2)))

    def complain(self, sentence: Callable[[int], Lines]) -> None:
        """What is wrong with the line, under it, until it changes; nothing was kept."""
        self.query_one("#bar-under", Sheet).show(lambda size: _inset(sentence(size.width - 2)))

    def restamp(self) -> None:
        """The title has changed."""
        self.query_one("#bar-top", Sheet).refresh()

    def offer(self, title: str, works: tuple[WorkKey, ...], width: int) -> None:
        """Offer the works."""
        self._arrange("works", 0, nothing)
        picker = self.query_one(WorkPicker)
        picker.works, picker.numbered = works, False
        picker.styles.height = len(works_grid(works, width - 2)) + 1
        picker.show(lambda size: _inset([_headed(title, size.width - 2), *works_grid(works, size.width - 2)]))
        picker.focus()

    def number(self, title: str) -> None:
        """The first nine of the works that are offered are picked by number too, and 0 leaves."""
        picker = self.query_one(WorkPicker)
        picker.numbered, works = True, picker.works
        picker.show(
            lambda size: _inset([_headed(title, size.width - 2), *works_grid(works, size.width - 2, numbered=True)])
        )

    def on_input_changed(self, event: Input.Changed) -> None:
        """Tell the line so far; a screen that takes figures as they come hears of it too."""
        if self.mode == "entry":
            self._show_under(event.value)


def _headed(title: str, width: int) -> Content:
    """A title of "WHAT  whom: more", of which whom is never cut."""
    short = title.partition(":")[0]
    return rule(next((each for each in (title, short) if cell_len(each) <= width), short.partition("  ")[2]), width)


def _inset(lines: Lines) -> Content:
    return stack(line((" ", ""), part) for part in lines)
