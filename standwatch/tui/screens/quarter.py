"""One quarter after another: which voices sound, which are worth hearing, and which one is under the cursor."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial

from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size
from textual.message import Message

from standwatch.judge.assessment import Assessment
from standwatch.service.hearing.quarter import Listening, Row, coming_up, coming_words, listening_at, over
from standwatch.service.hearing.voices import QUARTER, mark_of
from standwatch.service.views import StandView
from standwatch.tui.behind import behind
from standwatch.tui.draw.hearing import page as draw
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.widgets.bar import Bar
from standwatch.tui.widgets.foot import Foot
from standwatch.tui.widgets.sheet import Sheet

_KEPT = timedelta(minutes=2)
"""From so long before the first voice on, those that were named to hear stay the ones."""


class QuarterScreen(HandsScreen):
    """The quarter whose turn it is, worked out behind; the cursor stays on its voice."""

    @dataclass
    class Worked(Message):
        """A quarter's listening, worked out by a thread."""

        heard: Listening
        to_come: str

    def __init__(self, *, cautions: bool = False) -> None:
        super().__init__()
        self._cautions = cautions
        self._heard: Listening | None = None
        self._to_come = ""
        self._tag: str | None = None
        self._told: set[tuple[str, datetime]] = set()
        self._asking = False
        self._over: datetime | None = None

    def compose(self) -> ComposeResult:
        """Head, page, bar, bottom line."""
        yield Sheet(self._draw_head, id="head")
        yield Sheet(self._draw_page, id="page")
        yield Bar()
        yield Foot("listening")

    def on_mount(self) -> None:
        """Follow the stand."""
        self.watch(self.stand_app, "view", self._on_view, init=True)
        self.rest()

    # what is worth hearing

    def _on_view(self, view: StandView | None) -> None:
        if view is not None:
            mark = self._turn()
            behind(self, partial(self._listen, view, mark, self._named(mark)), group="listening", exclusive=True)

    def _turn(self) -> datetime:
        """The quarter whose turn it is: the next one as soon as all is told of this."""
        now = self.stand_app.now()
        mark = mark_of(now)
        if self._heard is not None and self._heard.mark == mark and over(self._heard, now):
            self._over = mark
        return mark + QUARTER if self._over == mark else mark

    def _named(self, mark: datetime) -> Sequence[str]:
        """Those that were named to hear, once they are about to sound or one of them was told."""
        heard = self._heard
        if heard is None or heard.mark != mark or not heard.hear:
            return ()
        told = any(row.answered is not None or (row.voice.tag, mark) in self._told for row in heard.hear)
        near = self.stand_app.now() >= heard.hear[0].voice.low - _KEPT
        return tuple(row.voice.tag for row in heard.hear) if told or near else ()

    async def _listen(self, view: StandView, mark: datetime, keep: Sequence[str]) -> None:
        def job() -> tuple[Listening, str]:
            heard = listening_at(view.assessments, view.shop.rounds, mark, keep)
            if heard.hear:
                return heard, ""
            return heard, coming_words(coming_up(view.assessments, view.shop.rounds, mark))

        self.post_message(self.Worked(*await asyncio.to_thread(job)))

    def on_quarter_screen_worked(self, event: Worked) -> None:
        """Show it; a new quarter begins with the first to hear."""
        if self._heard is None or self._heard.mark != event.heard.mark:
            self._tag = None
        self._heard, self._to_come = event.heard, event.to_come
        self._told -= {(row.voice.tag, event.heard.mark) for row in event.heard.rows if row.answered is not None}
        if self._row_of(self._tag) is None:
            self._tag = self._next_to_hear()
        self._again()

    def tick(self) -> None:
        """A second has passed; perhaps another quarter's turn has come."""
        if self._heard is not None and self._heard.mark != self._turn():
            self._on_view(self.view)
        self._again()

    def on_resize(self) -> None:
        """Another size."""
        self.call_after_refresh(self._again)

    def _again(self) -> None:
        sheets = self.query("#head, #page")
        if sheets:  # what a thread worked out may come after the screen was left
            sheets.refresh()
            self.refresh_bindings()

    # the row under the cursor

    def _row_of(self, tag: str | None) -> Row | None:
        rows = () if self._heard is None else self._heard.rows
        return next((row for row in rows if row.voice.tag == tag), None)

    @property
    def row(self) -> Row | None:
        """The voice under the cursor."""
        return self._row_of(self._tag)

    @property
    def chosen(self) -> Assessment | None:
        """Its clock."""
        return self.stand_app.assessment(self._tag)

    def _next_to_hear(self) -> str | None:
        """The first to hear of which nothing was told; the first of all where all was; none where none is to hear."""
        if self._heard is None or not self._heard.hear:
            return None
        mark = self._heard.mark
        left = (row for row in self._heard.hear if row.answered is None and (row.voice.tag, mark) not in self._told)
        return next(left, self._heard.hear[0]).voice.tag

    def _shown(self) -> draw.Heard | None:
        if self._heard is None or self.view is None:
            return None
        tags = [row.voice.tag for row in self._heard.rows]
        return draw.Heard(
            self._heard,
            tags.index(self._tag) if self._tag in tags else -1,
            self.stand_app.now(),
            self.view.shop.zone,
            self._asking,
            self._to_come,
            self._cautions,
        )

    def _draw_head(self, size: Size) -> Content:
        shown = self._shown()
        return Content(" LISTENING") if shown is None else draw.head(shown, size.width)

    def _draw_page(self, size: Size) -> Content:
        shown = self._shown()
        return Content(" Working out what sounds.") if shown is None else draw.page(shown, size)

    def blind(self, tag: str | None) -> None:
        """While a count is asked, nothing shows what it should be."""
        self._asking = tag is not None
        self.query("#page").refresh()

    def action_move(self, by: int) -> None:
        """Another voice."""
        if self._heard is not None and self._heard.rows:
            tags = [row.voice.tag for row in self._heard.rows]
            at = tags.index(self._tag) if self._tag in tags else -1
            self._choose(min(max(at + by, 0), len(tags) - 1))

    def _choose(self, at: int) -> None:
        if self._heard is not None and at < len(self._heard.rows):
            self._tag = self._heard.rows[at].voice.tag
            self.rest()
            self._again()

    def action_other(self) -> None:
        """The next voice, where no figure says which."""
        self.action_move(1)

    def action_back(self) -> None:
        """First close what is told or asked, then back."""
        if self.bar.mode != "rest":
            self.rest()
        else:
            self.app.pop_screen()
