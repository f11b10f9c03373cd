"""First hour: the start sheet by keys, each answer kept at once."""

from __future__ import annotations

from datetime import datetime
from functools import partial

from textual import events
from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import BadValue, StandwatchError
from standwatch.service.bench.first_hour import RIGHT, Kept, SheetLine, answer, sheet_of
from standwatch.service.stand import Stand
from standwatch.service.views import StandView
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw import first_hour as draw
from standwatch.tui.draw.paint import MUTED, PLAIN, SUCCESS, WARNING, Lines, line, strong, wrapped
from standwatch.tui.screens.page import OneClock


class FirstHourScreen(OneClock[draw.Page]):
    """The start sheet of one clock; the cursor goes from what is missing to what is missing."""

    PLACE = "first-hour"
    BINDINGS = bindings("first-hour")

    def __init__(self, tag: str) -> None:
        super().__init__(tag)
        self._cursor = 0
        self._kept_last = 0
        self._said = ""

    def _begin(self) -> None:
        """From the first line that is missing."""
        self._cursor = next((n for n, each in enumerate(self._sheet) if each.missing), 0)
        super()._begin()

    @property
    def _sheet(self) -> tuple[SheetLine, ...]:
        return () if self.chosen is None else sheet_of(self.chosen)

    @property
    def line(self) -> SheetLine | None:
        """The line under the cursor."""
        sheet = self._sheet
        return sheet[self._cursor] if self._cursor < len(sheet) else None

    def _look_anew(self) -> None:
        self._cursor = min(self._cursor, max(len(self._sheet) - 1, 0))
        if self.bar.mode == "rest":
            self._resting()

    def _about(self, told: Assessment, view: StandView) -> draw.Page:  # noqa: ARG002  # any view will do
        return draw.Page(told, self._sheet, self._cursor)

    def _head_of(self, about: draw.Page, width: int) -> Content:
        return draw.head(about, width)

    def _page_of(self, about: draw.Page, size: Size) -> Content:
        return draw.body(about, size)

    def _resting(self) -> None:
        keys = draw.keys_words(self.line)
        said = line(("✓ ", SUCCESS), (f"{self._said}   ", strong(PLAIN))) if self._said else Content("")
        self.bar.rest(lambda _size: line((" ", PLAIN), said, (keys, MUTED)), 1)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        each = self.line
        if action in {"answer", "number", "undo"} and each is None:
            return None
        if action == "number" and each is not None and each.kind == "seen":
            return None
        if action in {"right", "wrong"} and (each is None or each.kind != "seen"):
            return None
        return super().check_action(action, parameters)

    # answers

    def on_key(self, event: events.Key) -> None:
        """A figure begins the answer; of a balance it is the answer."""
        figure, each = event.character or "", self.line
        if self.bar.mode == "entry" or each is None or not figure or figure not in "0123456789":
            return
        event.stop()
        event.prevent_default()
        if each.kind == "choice":
            self._answered(each, figure)
        elif each.kind != "seen":
            self._ask_line(each, figure)

    def action_number(self) -> None:
        """Ask for the figure of this line."""
        self.action_answer()

    def action_answer(self) -> None:
        """Of what is seen: right. Else ask."""
        each = self.line
        if each is None:
            return
        if each.kind == "seen":
            self._answered(each, RIGHT)
        else:
            self._ask_line(each, "")

    def action_right(self) -> None:
        """Looked at, and right."""
        if self.line is not None:
            self._answered(self.line, RIGHT)

    def action_wrong(self) -> None:
        """Looked at, and not right: what is it?"""
        if self.line is not None:
            self._ask_line(self.line, "")

    def _ask_line(self, each: SheetLine, begun: str) -> None:
        ask = f"{each.ask}: what is not right?" if each.kind == "seen" else each.ask

        def under(_text: str, width: int) -> Lines:
            return wrapped(f"{ask}. Without it {each.without}.", width, 2, MUTED)

        self._ask(lambda: f"{each.title.upper()}  {self._tag}", under, partial(self._answered, each))
        if begun:
            self._put(begun)

    def _answered(self, each: SheetLine, text: str) -> None:
        told = self.chosen
        if told is None:
            return
        try:
            kept = answer(each, text, told)
        except BadValue as error:
            self._complain(str(error))
            return
        behind(self, partial(self._keep_line, kept, self.stand_app.now()), group="record")

    async def _keep_line(self, kept: Kept, now: datetime) -> None:
        """Write the clock's columns and the fact, then go on to what is missing next."""
        tag, written, reference = self._tag, 0, self.stand_app.reference

        def job(stand: Stand) -> int:
            done = 0
            if kept.columns:
                stand.change_clock(tag, kept.columns, now)
                done += 1
            if kept.cells:
                stand.check_in({**kept.cells, "tag": tag, "at": now}, now, reference=reference)
                done += 1
            return done

        try:
            written = await self.stand_app.backroom.keep(job)
        except StandwatchError as error:
            self._complain(str(error))
            return
        self._kept_last, self._said = written, kept.said
        await self.stand_app.look().wait()
        self._to_missing()
        self.rest()
        self._again()

    def _to_missing(self) -> None:
        """The next line that is missing, round once; where nothing is, the cursor stays."""
        sheet = self._sheet
        order = [*range(self._cursor + 1, len(sheet)), *range(min(self._cursor + 1, len(sheet)))]
        self._cursor = next((n for n in order if sheet[n].missing), self._cursor)

    def action_undo(self) -> None:
        """Take back what was just kept here; else ask first, as everywhere."""
        if self._kept_last:
            behind(self, partial(self._take_line_back, self._kept_last), group="record")
            self._kept_last, self._said = 0, ""
        else:
            super().action_undo()

    async def _take_line_back(self, count: int) -> None:
        now = self.stand_app.now()
        try:
            for _ in range(count):
                undone = await self.stand_app.backroom.keep(partial(Stand.undo, tag=self._tag, now=now))
        except StandwatchError as error:
            self.say("NOT TAKEN BACK", str(error), WARNING)
            return
        self.say("TAKEN BACK", undone.text)
        self.stand_app.look()

    # moving

    def action_move(self, by: int) -> None:
        """Another line."""
        self._cursor = min(max(self._cursor + by, 0), max(len(self._sheet) - 1, 0))
        self._said, self._kept_last = "", 0
        self.rest()
        self._again()
