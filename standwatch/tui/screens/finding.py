"""`/` on the stand: find a clock by what is typed, or by what a wedge scanner types for one."""

from __future__ import annotations

from functools import partial

from textual import events
from textual.content import Content

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import StandwatchError
from standwatch.service.finding import find
from standwatch.tui.behind import behind
from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, WARNING, Lines, fit, line, strong, wrapped
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.widgets.bar import EntryLine

_HINT = "a tag, a slot, an owner, or words of what it is; a scanner may type its tag"


class FindingScreen(HandsScreen):
    """A stand whose clocks can be found."""

    def action_find(self, begun: str = "") -> None:
        """Ask what to look for; `begun` is what was typed of it already, which may have come before the key for it."""
        if not begun and self.bar.mode == "entry":
            return
        self._ask(lambda: "FIND  Enter opens it", self._found_under, self._open_found)
        entry = self.query_one(EntryLine)
        entry.value = begun
        entry.cursor_position = len(begun)

    def on_key(self, event: events.Key) -> None:
        """A figure that means nothing else begins a tag: a scanner need not press / first."""
        if event.character and event.character.isdecimal() and self.view is not None and self.bar.mode != "entry":
            event.stop()
            event.prevent_default()
            self.action_find(event.character)

    def _found_under(self, text: str, width: int) -> Lines:
        if self.view is None or not text.strip():
            return wrapped(_HINT, width, 2, MUTED)
        found = find(text, self.view.assessments)
        if not found.clocks:
            return wrapped(
                "no clock on the stand is called so; Enter looks among those that went home", width, 2, strong(WARNING)
            )
        first, *rest = found.clocks
        lines = [_line(first, width, strong(HERE) if found.sure else PLAIN)]
        lines += [_line(told, width, PLAIN) for told in rest[:1]]
        if len(rest) > 1:
            lines.append(line((f"and {len(rest) - 1} more; type more of it", MUTED)))
        return lines

    def _open_found(self, text: str) -> None:
        if self.view is None or not text.strip():
            self.bar.complain(lambda width: wrapped("nothing typed yet; Esc leaves", width, 1, strong(WARNING)))
            return
        found = find(text, self.view.assessments)
        if found.sure:
            tag = found.clocks[0].tag
            self.rest()
            self.stand_app.follow(tag)
            self.stand_app.open_clock(tag)
        elif found.clocks:
            many = (
                f"{len(found.clocks)} clocks fit: {', '.join(_short(told) for told in found.clocks)}; type more of it"
            )
            self.bar.complain(lambda width: wrapped(many, width, 3, strong(WARNING)))
        else:
            behind(self, partial(self._ask_book, text.strip()), group="record")

    async def _ask_book(self, tag: str) -> None:
        """The stand has none: the book may know such a tag, of a clock that went home; else it says so."""
        app, now = self.stand_app, self.stand_app.now()
        try:
            found = await app.backroom.ask(lambda stand: stand.assess(tag, now))
        except StandwatchError as error:
            sentence = str(error)
            self.bar.complain(lambda width: wrapped(sentence, width, 3, strong(WARNING)))
            return
        self.rest()
        app.open_clock(found.tag)


def _short(told: Assessment) -> str:
    history = told.estimates.history
    return f"{history.position} {told.tag}".strip() if history.position else told.tag


def _line(told: Assessment, width: int, style: str) -> Content:
    history = told.estimates.history
    parts = (history.clock.description or history.traits.kind.title, history.clock.owner)
    return line((fit("  ".join([_short(told), *(part for part in parts if part)]), width), style))


__all__ = ["FindingScreen"]
