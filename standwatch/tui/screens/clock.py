"""Clock: one clock's page. Is it steady, and what does it still have to show?"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from textual.content import Content
from textual.geometry import Size
from textual.message import Message

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import StandwatchError
from standwatch.service.after.leaving import Way, way_of
from standwatch.service.views import StandView
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw import clock as draw
from standwatch.tui.draw.paint import line, stack, wrapped
from standwatch.tui.draw.shown import Page, Shown
from standwatch.tui.draw.traces import Which, chart_lines
from standwatch.tui.screens.page import OneClock
from standwatch.tui.screens.papering import PaperingScreen


class ClockScreen(PaperingScreen, OneClock[Shown]):
    """The page of one clock; up and down go to its neighbours in who first."""

    PLACE = "clock"
    BINDINGS = bindings("clock")
    HIDES = True

    @dataclass
    class ChartDrawn(Message):
        """A chart, drawn by a worker."""

        key: object
        lines: Sequence[Content]

    def __init__(self, tag: str) -> None:
        super().__init__(tag)
        self._which: Which = "error"
        self._page: Page = "chart"
        self._first = 0
        self._chart: Sequence[Content] = ()
        self._chart_key: object = None
        self._chart_asked: object = None
        self._way: tuple[str, Way] | None = None

    def _about(self, told: Assessment, view: StandView) -> Shown:
        way = self._way[1] if self._way is not None and self._way[0] == self._tag else None
        return Shown(told, view, self._which, self._page, self._first, way)

    def _look_anew(self) -> None:
        behind(self, self._fetch_way, group="way", exclusive=True)

    async def _fetch_way(self) -> None:
        """Where it is between stand and owner, and the other jobs on it."""
        tag, now = self._tag, self.stand_app.now()
        try:
            way = await self.stand_app.backroom.ask(lambda stand: way_of(stand, tag, now))
        except StandwatchError:
            return  # the app says so
        if self.is_attached:
            self._way = tag, way
            self._again()

    def _drawn(self, size: Size) -> None:
        """The chart follows from its worker."""
        shown = self.about
        if shown is None or self._page != "chart":
            return
        width, height = draw.chart_size(shown, size)
        key = self._key_of_chart(width, height)
        if width > 10 and height > 3 and key not in (self._chart_key, self._chart_asked):
            self._chart_asked = key
            job = partial(self._chart_job, shown, width, height, key)
            behind(self, job, group="chart", exclusive=True)

    def _key_of_chart(self, width: int, height: int) -> object:
        return (id(self.view), self._tag, self._which, width, height)

    async def _chart_job(self, shown: Shown, width: int, height: int, key: object) -> None:
        lines = await asyncio.to_thread(chart_lines, shown.assessment, shown.which, shown.view.now, width, height)
        self.post_message(self.ChartDrawn(key, lines))

    def on_clock_screen_chart_drawn(self, event: ChartDrawn) -> None:
        """Show the chart."""
        self._chart_key, self._chart = event.key, event.lines
        self.query_one("#page").refresh()

    def _head_of(self, about: Shown, width: int) -> Content:
        tags = self._tags()
        return draw.head(about, tags.index(self._tag) + 1 if self._tag in tags else 0, len(tags), width)

    def _page_of(self, about: Shown, size: Size) -> Content:
        key = self._key_of_chart(*draw.chart_size(about, size))
        if key != self._chart_key:
            self.call_later(self._drawn, size)  # the bar has grown or shrunk
        return draw.page(about, size, self._chart if key == self._chart_key else ())

    def _tags(self) -> list[str]:
        return [told.tag for told in self.view.assessments] if self.view else []

    def _resting(self) -> None:
        told = self.chosen
        text = told.next.text if told else ""
        text += "; p prints its papers" if self.let_go else ""
        lines = wrapped(text, self.size.width - 2, 2) or [Content("")]
        self.bar.rest(
            lambda size: stack(line((" ", ""), part) for part in wrapped(text, size.width - 2, 2)), len(lines)
        )

    # keys

    def action_move(self, by: int) -> None:
        """The next clock; in a long list, the next lines."""
        if self._page in {"facts", "needed"}:
            self._scroll(by)
            return
        tags = self._tags()
        if self._tag in tags:
            at = min(max(tags.index(self._tag) + by, 0), len(tags) - 1)
            if tags[at] != self._tag:
                self._tag = tags[at]
                self._first = 0
                self.stand_app.follow(self._tag)
                self._look_anew()
                self.rest()

    def action_page(self, by: int) -> None:
        """A screenful of a list."""
        self._scroll(by * max(self.query_one("#page").size.height - 3, 1))

    def action_end(self, by: int) -> None:
        """The list's beginning or end."""
        self._scroll(by * 100_000)

    def _scroll(self, by: int) -> None:
        shown = self.about
        if shown is None or self._page not in {"facts", "needed"}:
            return
        size = self.query_one("#page").size
        most = max(draw.listing_length(shown, size) - size.height + 1, 0)
        self._first = min(max(self._first + by, 0), most)
        self._again()

    def _open(self, page: Page) -> None:
        self._page = "chart" if self._page == page else page
        self._first = 0
        self._again()
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        if action == "open_other":
            shown = self.about
            return True if shown is not None and shown.way is not None and shown.way.other_job else None
        if action in {"papers", "label"}:
            return True if self.chosen is not None else None
        return super().check_action(action, parameters)

    def action_open_other(self) -> None:
        """The earlier job on the same clock, else the later one."""
        shown = self.about
        if shown is not None and shown.way is not None and shown.way.other_job:
            self.stand_app.open_clock(shown.way.other_job)

    def action_first_hour(self) -> None:
        """Its start sheet."""
        self.stand_app.open_first_hour(self._tag)

    def action_facts(self) -> None:
        """All facts, or back."""
        self._open("facts")

    def action_needed(self) -> None:
        """All requirements with reasons, or back."""
        self._open("needed")

    def action_table(self) -> None:
        """The chart as a table, or back."""
        self._open("table")

    def _turn_to(self, which: Which) -> None:
        self._which = "error" if self._which == which else which
        if self._page not in {"chart", "table"}:
            self._page = "chart"
        self._again()

    def action_chart_rate(self) -> None:
        """The daily rates, or back to the error."""
        self._turn_to("rate")

    def action_chart_swing(self) -> None:
        """The swing, or back to the error."""
        self._turn_to("swing")

    def action_back(self) -> None:
        """First close what is told or open, then back to the stand."""
        if self.bar.mode != "told" and self._page in {"facts", "needed"}:
            self._open(self._page)
        else:
            super().action_back()
