"""Stoppage: what a hung clock tells before it is touched, when it stopped, and why."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widgets import Input

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import BadValue, StandwatchError
from standwatch.model.words import Work
from standwatch.service.stand import Stand
from standwatch.service.stoppage import (
    Gathering,
    Question,
    StopShown,
    answer,
    first_wanting,
    gathering_of,
    left_to_ask,
    may_restart,
    row_of,
    stops_of,
    usual_answer,
    with_reason,
)
from standwatch.service.views import Receipt, StandView
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw import stoppage as draw
from standwatch.tui.draw.paint import MUTED, WARNING, Lines, line, stack, strong, wrapped
from standwatch.tui.draw.words import time_words
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.widgets.bar import Bar, EntryLine
from standwatch.tui.widgets.foot import Foot
from standwatch.tui.widgets.sheet import Sheet

_PASS, _BACK = "-", "."


class StoppageScreen(HandsScreen):
    """One clock's stops. What is told of the one that hangs is kept answer by answer."""

    PLACE = "stoppage"
    BINDINGS = bindings("stoppage")

    @dataclass
    class Gathered(Message):
        """Where the stops gather, thrown by a worker."""

        key: object
        gathering: Gathering

    def __init__(self, tag: str) -> None:
        super().__init__()
        self._tag = tag
        self._cursor = 0
        self._asked: tuple[Question, ...] = ()
        self._at: int | None = None
        self._answers: dict[str, str] = {}
        self._told: dict[str, object] = {}
        self._kept: list[bool] = []
        self._fact: str | None = None
        self._typed = ""
        self._gathering: Gathering | None = None
        self._gathered: object = None
        self._writing = asyncio.Lock()

    def compose(self) -> ComposeResult:
        """Head, page, bar, bottom line."""
        yield Sheet(self._draw_head, id="head")
        yield Sheet(self._draw_page, id="page")
        yield Bar()
        yield Foot("stoppage")

    def on_mount(self) -> None:
        """Follow the stand; begin to ask where something can still be read."""
        self.watch(self.stand_app, "view", self._on_view, init=True)
        told = self.chosen
        self.rest()
        if told is None:
            return
        stops = self._stops
        self._cursor = first_wanting(stops)
        if told.going.hangs is not None or not any(stop.wanting for stop in stops):
            self.action_ask()

    @property
    def chosen(self) -> Assessment | None:
        """This clock."""
        return self.stand_app.assessment(self._tag)

    @property
    def _stops(self) -> tuple[StopShown, ...]:
        return () if self.chosen is None else stops_of(self.chosen)

    @property
    def _stop(self) -> StopShown | None:
        stops = self._stops
        return stops[self._cursor] if self._cursor < len(stops) else None

    def _on_view(self, view: StandView | None) -> None:
        if view is None:
            return
        self._cursor = min(self._cursor, max(len(self._stops) - 1, 0))
        told, key = self.chosen, id(view)
        if told is not None and key != self._gathered:
            behind(self, partial(self._gather, told, key), group="gather", exclusive=True)
        if self.bar.mode == "rest":
            self._resting()
        self._again()

    async def _gather(self, told: Assessment, key: object) -> None:
        self.post_message(self.Gathered(key, await asyncio.to_thread(gathering_of, told)))

    def on_stoppage_screen_gathered(self, event: Gathered) -> None:
        """Show where they gather."""
        self._gathered, self._gathering = event.key, event.gathering
        self._again()

    def on_resize(self) -> None:
        """Another size."""
        self.call_after_refresh(self._again)

    def _again(self) -> None:
        self.query_one("#head", Sheet).refresh()
        self.query_one("#page", Sheet).refresh()
        self.refresh_bindings()

    @property
    def _page(self) -> draw.Page | None:
        told, view = self.chosen, self.view
        if told is None or view is None:
            return None
        return draw.Page(
            told=told,
            stops=self._stops,
            cursor=self._cursor,
            asked=self._asked,
            at=self._at,
            answers=self._answers,
            typed=self._typed,
            gathering=self._gathering,
            now=view.now,
            zone=view.shop.zone,
        )

    def _draw_head(self, size: Size) -> Content:
        page = self._page
        return Content(f" STOPPAGE  {self._tag}") if page is None else draw.head(page, size.width)

    def _draw_page(self, size: Size) -> Content:
        page = self._page
        if page is None:
            return Content(" This clock is not on the stand any more; Esc goes back.")
        return draw.body(page, size)

    def blind(self, tag: str | None) -> None:
        """Nothing here tells what a reading should show."""

    def _resting(self) -> None:
        text = self._next_words()
        self.bar.rest(lambda size: stack(line((" ", ""), part) for part in wrapped(text, size.width - 2, 2)), 2)

    def _next_words(self) -> str:
        """What to do now."""
        told, stop = self.chosen, self._stop
        if told is None:
            return ""
        if stop is not None and stop.hangs and told.going.hangs is not None:
            lost = may_restart(told, self._lacking())
            if lost:
                return f"Before it is touched: o asks what is {lost}."
            return "All is read: r once it is set going again; e once you know why it stopped."
        if stop is not None and stop.wanting:
            return "e explains it, once its cause is known: then it costs unbroken running only."
        return told.next.text

    def _lacking(self) -> tuple[Question, ...]:
        told = self.chosen
        if told is None or told.going.hangs is None:
            return ()
        history = told.estimates.history
        return left_to_ask(history, row_of(history, told.going.hangs.id))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        told, stop = self.chosen, self._stop
        if action in {"ask", "restarted", "explain", "undo"} and told is None:
            return None
        if action == "ask" and told is not None and told.going.hangs is not None and not self._lacking():
            return None
        if action == "restarted" and (told is None or told.going.hangs is None):
            return None
        if action == "explain" and (stop is None or stop.in_time):
            return None
        return super().check_action(action, parameters)

    # asking, one thing after another

    def action_ask(self) -> None:
        """Read what a hung clock tells, from the first thing that isn't told."""
        told = self.chosen
        if told is None:
            return
        history, hangs = told.estimates.history, told.going.hangs
        self._fact = None if hangs is None else hangs.id
        asked = left_to_ask(history, None if hangs is None else row_of(history, hangs.id))
        if not asked:
            return
        self._stamp = self.stand_app.now()
        self._asked, self._answers, self._told, self._kept = asked, {}, {}, []
        self._ask_at(0)

    def _ask_at(self, at: int, begun: str = "") -> None:
        """Ask the question at `at`, `begun` typed already; past the last one nothing is asked any more."""
        told = self.chosen
        self._typed = ""
        if told is None or at >= len(self._asked):
            self._at = None
            self.rest()
            self._cursor = next((n for n, stop in enumerate(self._stops) if stop.hangs), self._cursor)
            self._again()
            return
        self._at = at
        question, history = self._asked[at], told.estimates.history

        def under(text: str, width: int) -> Lines:
            usual = usual_answer(question, history, self._told)
            alone = f"Enter alone: {answer(question, usual, history)[1]}   -" if usual else "Enter alone or -"
            hint = f"{alone} passes over   . takes the last one back   Esc leaves, keeps what is told"
            try:
                said = "" if not text.strip() else answer(question, text, history)[1]
            except BadValue:
                said = ""
            return (
                [line((said, strong(""))), *wrapped(hint, width, 1, MUTED)] if said else wrapped(hint, width, 2, MUTED)
            )

        self._ask(lambda: f"FOUND STOPPED  {self._tag}: {question.name}", under, self._answered)
        if begun:
            self._put(begun)
        self._again()

    def _put(self, text: str) -> None:
        entry = self.query_one(EntryLine)
        entry.value = text
        entry.cursor_position = len(text)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Figures are taken as soon as none could follow; - passes over, . goes back.

        Figures typed on meanwhile belong to what is asked next.
        """
        line_now = self.query_one(EntryLine).value
        if self._at is None or not line_now.startswith(event.value):
            return
        self._typed, rest = event.value, line_now[len(event.value) :]
        self.query_one("#page", Sheet).refresh()
        if event.value == _BACK:
            self._back_one()
        elif event.value == _PASS:
            self._answered(_PASS, rest)
        elif event.value and self._asked[self._at].complete(event.value):
            self._answered(event.value, rest)

    def on_entry_line_left(self) -> None:
        """What is told is kept; nothing more is asked."""
        self._at = None
        super().on_entry_line_left()
        self._again()

    def _answered(self, text: str, rest: str = "") -> None:
        """Keep the answer, and ask on at once."""
        told = self.chosen
        if told is None or self._at is None:
            return
        question, history = self._asked[self._at], told.estimates.history
        said = ""
        text = text.strip() or usual_answer(question, history, self._told)
        if text != _PASS and text:
            try:
                cells, said = answer(question, text, history)
            except BadValue as error:
                self._complain(error)
                return
            self._told |= cells
            behind(self, partial(self._write, cells, self._stamp or self.stand_app.now()), group="record")
        self._answers[question.name] = said
        self._kept.append(bool(said))
        self._ask_at(self._at + 1, rest)

    def _complain(self, error: StandwatchError) -> None:
        sentence = str(error)
        self.bar.complain(lambda width: wrapped(sentence, width, 3, strong(WARNING)))

    async def _write(self, cells: dict[str, object], at: datetime) -> None:
        """Keep one answer: the first as the stop itself, each other as a correction of it."""
        now = self.stand_app.now()
        async with self._writing:
            fact = self._fact
            row = {"work": Work.STOPPED.value, **cells, "tag": self._tag, "at": at}

            def job(stand: Stand) -> str:
                if fact is None:
                    return stand.check_in(row, now).id
                return stand.correct(fact, {name: str(value) for name, value in cells.items()}, now).id

            try:
                self._fact = await self.stand_app.backroom.ask(job)
            except StandwatchError as error:
                self.say("NOT KEPT", str(error), WARNING)
                return
        self.stand_app.look()

    def _back_one(self) -> None:
        """The last question once more; what was told for it is taken back."""
        if not self._kept or self._at is None:
            self._put("")
            return
        if self._kept.pop():
            behind(self, self._unwrite, group="record")
        at = self._at - 1
        self._answers.pop(self._asked[at].name, None)
        self._ask_at(at)

    async def _unwrite(self) -> None:
        now = self.stand_app.now()
        async with self._writing:
            try:
                undone = await self.stand_app.backroom.ask(partial(Stand.undo, tag=self._tag, now=now))
            except StandwatchError as error:
                self.say("NOT TAKEN BACK", str(error), WARNING)
                return
            self._fact = None if undone.restored is None else undone.restored.id
        self.stand_app.look()

    # then

    def action_restarted(self) -> None:
        """Set going again."""
        self._stamp = self.stand_app.now()
        cells: dict[str, object] = {"tag": self._tag, "at": self._stamp, "work": Work.RESTARTED.value}
        behind(self, partial(self._record, cells, self._stamp, "restarted"), group="record")

    def _show_receipt(self, receipt: Receipt, told: str) -> None:
        self._asked, self._at = (), None
        super()._show_receipt(receipt, told)

    def action_explain(self) -> None:
        """Why it stopped; then it costs unbroken running only."""
        stop = self._stop
        if stop is None:
            return

        def under(_text: str, width: int) -> Lines:
            return wrapped("what it was, in words; it is kept with the stop and printed on its record", width, 2, MUTED)

        def save(text: str) -> None:
            if not text.strip():
                self.bar.complain(
                    lambda width: wrapped("what was it? Esc leaves it unexplained", width, 1, strong(WARNING))
                )
                return
            behind(self, partial(self._explain, stop, text), group="record")

        found = time_words(stop.found_at, self.view.shop.zone) if self.view else ""
        self._ask(lambda: f"WHY IT STOPPED  {self._tag}, found {found}", under, save)

    async def _explain(self, stop: StopShown, reason: str) -> None:
        now = self.stand_app.now()
        cells = {"explained": "yes", "note": with_reason(stop.said, reason)}
        try:
            written = await self.stand_app.backroom.ask(partial(Stand.correct, id_prefix=stop.id, cells=cells, now=now))
        except StandwatchError as error:
            self._complain(error)
            return
        self.say("EXPLAINED", f"{written.text}. u takes it back.")
        self.stand_app.look()

    # moving

    def action_move(self, by: int) -> None:
        """Another stop."""
        self._cursor = min(max(self._cursor + by, 0), max(len(self._stops) - 1, 0))
        self.rest()
        self._again()

    def action_back(self) -> None:
        """First close what is told, then back."""
        if self.bar.mode == "told":
            self.rest()
        else:
            self.app.pop_screen()
