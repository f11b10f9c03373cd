"""Stand, the home screen: who first, and what to do with it."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.geometry import Size
from textual.message import Message

from standwatch.judge.assessment import Assessment
from standwatch.service.by_place import by_place, rail_words
from standwatch.service.views import StandView
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw import stand as draw
from standwatch.tui.draw.chart import draw as draw_chart
from standwatch.tui.draw.columns import Row, clock_row, columns_for, roster_row
from standwatch.tui.draw.traces import chart_of
from standwatch.tui.screens.bringing import BringingScreen
from standwatch.tui.screens.finding import FindingScreen
from standwatch.tui.screens.papering import PaperingScreen
from standwatch.tui.widgets.bar import Bar
from standwatch.tui.widgets.foot import Foot
from standwatch.tui.widgets.sheet import Sheet
from standwatch.tui.widgets.table import StandTable


class StandScreen(FindingScreen, BringingScreen, PaperingScreen):
    """The table of clocks with counts above, the chosen one's panel beside where there is room, the bar below."""

    PLACE = "stand"
    BINDINGS = bindings("stand")

    @dataclass
    class ChartDrawn(Message):
        """The panel's chart, drawn by a worker."""

        key: object
        lines: Sequence[Content]

    def __init__(self) -> None:
        super().__init__()
        self._chart: Sequence[Content] = ()
        self._chart_key: object = None
        self._chart_asked: object = None
        self._blind = False
        self._by_place = False

    def compose(self) -> ComposeResult:
        """Head, counts, table and panel, legend, bar, bottom line."""
        yield Sheet(self._draw_head, id="head")
        yield Sheet(self._draw_common, id="common")
        with Horizontal(id="body"):
            with Vertical(id="left"):
                yield Sheet(self._draw_counts, id="counts")
                yield StandTable(id="table")
                yield Sheet(self._draw_teach, id="teach")
                yield Sheet(draw.legend, id="legend")
            yield Sheet(self._draw_panel, id="panel")
        yield Bar()
        yield Foot("stand")

    def on_mount(self) -> None:
        """Tags first; what they need is worked out behind."""
        self.table.show([roster_row(told) for told in self.stand_app.roster])
        self._arrange()
        self.watch(self.stand_app, "view", self._on_view, init=True)

    @property
    def table(self) -> StandTable:
        """The table."""
        return self.query_one(StandTable)

    @property
    def chosen(self) -> Assessment | None:
        """The clock under the cursor."""
        return self.stand_app.assessment(self.table.chosen)

    def focus_screen(self) -> None:
        """The table has the keys."""
        self.table.focus()

    def tick(self) -> None:
        """A second has passed: only the head shows it, once there is one."""
        self.query("#head").refresh()

    def on_screen_resume(self) -> None:
        """Back from another screen, under which the table was left as it was."""
        self._on_view(self.view)

    def _on_view(self, view: StandView | None) -> None:
        if view is None or self.app.screen is not self:
            return
        self.table.show(self._rows(view))
        self._arrange()
        self.query_one("#counts", Sheet).refresh()
        self.query_one("#head", Sheet).refresh()
        if self.bar.mode == "rest":
            self.rest()
        self._draw_chart()
        self.refresh_bindings()

    def _draw_head(self, size: Size) -> Content:
        app = self.stand_app
        by_place = self._by_place
        return draw.head(
            app.view, app.now(), size.width, app.banner, app.shop, reference=app.reference, by_place=by_place
        )

    def _rows(self, view: StandView) -> list[Row]:
        """A line a clock: who first, or rail by rail."""
        if not self._by_place:
            return [clock_row(told, view) for told in view.assessments]
        zone = view.shop.zone
        rails = by_place(view.assessments, view.now)
        return [replace(clock_row(told, view), why=rail_words(rail, zone)) for rail in rails for told in rail.clocks]

    def action_by_place(self) -> None:
        """Rail by rail, with what each rail's clocks share; and back to who first."""
        self._by_place = not self._by_place
        if self.view is not None:
            self.table.show(self._rows(self.view))
        self.query_one("#head", Sheet).refresh()
        self._arrange()

    def on_resize(self) -> None:
        """Another size: another arrangement."""
        self._arrange()
        if self.bar.mode == "rest":
            self._resting()
        self._draw_chart()

    def _arrange(self) -> None:
        """What is shown at this size. The panel needs the table whole beside it."""
        width, height = self.size.width, self.size.height
        empty = self.view is not None and not self.view.assessments
        rows = [roster_row(told) for told in self.stand_app.roster]
        if self.view is not None:
            rows = self._rows(self.view)
        whole = columns_for(999, [r.slot for r in rows], [r.tag for r in rows]).width
        beside = width - whole - 2
        panel = self.query_one("#panel", Sheet)
        panel.display = beside >= draw.PANEL and not empty
        panel.styles.width = beside
        airy = height >= 30
        self.query_one("#left").set_class(airy, "airy")
        self.query_one("#legend").display = airy and width >= 92 and not empty
        shared = 0 if self.view is None else draw.common_height(self.view)
        common = self.query_one("#common", Sheet)
        common.display = shared > 0
        common.styles.height = shared
        common.refresh()
        self.table.display = not empty
        self.query_one("#teach").display = empty

    def _draw_common(self, size: Size) -> Content:
        return draw.common(self.view, size) if self.view is not None else Content("")

    def _draw_counts(self, size: Size) -> Content:
        return draw.counts(self.view, size) if self.view is not None else Content("")

    def _draw_teach(self, size: Size) -> Content:
        return draw.teach(size)

    def blind(self, tag: str | None) -> None:
        """Hide the error in the table and the panel's trace."""
        self._blind = tag is not None
        self.table.blind(tag)
        self.query_one("#panel", Sheet).refresh()

    def _draw_panel(self, size: Size) -> Content:
        if self.view is None or self.chosen is None:
            return Content("")
        if self._blind:
            return draw.read_first(size)
        width, height = draw.panel_chart_size(self.chosen, size)
        blank = [Content("")] * height
        key = self._key_of_chart(width, height)
        if key not in (self._chart_key, self._chart_asked):
            self.call_later(self._draw_chart)  # the bar has grown or shrunk
        chart = self._chart if self._chart_key == key else blank
        return draw.panel(self.chosen, self.view, size, chart)

    def _key_of_chart(self, width: int, height: int) -> object:
        return (id(self.view), self.table.chosen, width, height)

    def _draw_chart(self) -> None:
        """Draw the panel's chart in a worker."""
        panel = self.query_one("#panel", Sheet)
        panel.refresh()
        if not panel.display or self.chosen is None or self.view is None:
            return
        width, height = draw.panel_chart_size(self.chosen, panel.content_size)
        key = self._key_of_chart(width, height)
        if key in (self._chart_key, self._chart_asked):
            return
        self._chart_asked = key
        if width > 10:
            job = partial(self._chart_job, self.chosen, self.view, width, height, key)
            behind(self, job, group="chart", exclusive=True)

    async def _chart_job(self, told: Assessment, view: StandView, width: int, height: int, key: object) -> None:
        lines = await asyncio.to_thread(lambda: draw_chart(chart_of(told, "error", view.now, width), width, height))
        self.post_message(self.ChartDrawn(key, lines))

    def on_stand_screen_chart_drawn(self, event: ChartDrawn) -> None:
        """Show the chart, if it is still the chosen clock's."""
        self._chart_key, self._chart = event.key, event.lines
        self.query_one("#panel", Sheet).refresh()

    def _resting(self) -> None:
        height = 0 if self.table.chosen is None else 2
        view, told = self.view, self.chosen
        self.bar.rest(lambda size: draw.advice(told, view, size), height)

    def on_stand_table_chosen(self, event: StandTable.Chosen) -> None:
        """Another clock: its advice and its panel."""
        event.stop()
        if self.bar.mode == "rest" or (self.bar.mode == "told" and event.by_hand):
            self.rest()
        self._draw_chart()

    def on_stand_table_opened(self, event: StandTable.Opened) -> None:
        """A click on the chosen clock."""
        event.stop()
        self.action_open_clock()

    def action_open_clock(self) -> None:
        """The chosen clock's page."""
        if self.table.chosen is not None and self.chosen is not None:
            self.stand_app.open_clock(self.table.chosen)

    def action_move(self, by: int) -> None:
        """Another clock."""
        self.table.move(by)

    def action_page(self, by: int) -> None:
        """A screenful of clocks."""
        self.table.page(by)

    def action_end(self, by: int) -> None:
        """The first or the last clock."""
        self.table.end(by)

    def action_quiet(self) -> None:
        """Close what is told below the table."""
        self.rest()

    def action_delivered(self) -> None:
        """The clocks at their owners'."""
        self.stand_app.open_delivered()

    def action_winding(self) -> None:
        """Every train by its run-out."""
        self.stand_app.open_winding()

    def action_listening(self) -> None:
        """The coming quarter."""
        self.stand_app.open_listening()

    def action_round(self) -> None:
        """The morning round."""
        self.stand_app.open_round()
