"""Stoppage: what a hung clock tells before it is touched, when it stopped, and why."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from functools import partial

from textual.content import Content
from textual.geometry import Size
from textual.message import Message

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import StandwatchError
from standwatch.model.words import Work
from standwatch.service.bench.stoppage import (
    Gathering,
    Question,
    StopShown,
    first_wanting,
    gathering_of,
    left_to_ask,
    may_restart,
    row_of,
    stops_of,
    with_reason,
)
from standwatch.service.stand import Stand
from standwatch.service.views import Receipt, StandView
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw import stoppage as draw
from standwatch.tui.draw.paint import MUTED, WARNING, Lines, line, stack, strong, wrapped
from standwatch.tui.draw.words import time_words
from standwatch.tui.screens.stop_asking import StopAsking


class StoppageScreen(StopAsking[draw.Page]):
    """One clock's stops. What is told of the one that hangs is kept answer by answer."""

    PLACE = "stoppage"
    BINDINGS = bindings("stoppage")

    @dataclass
    class Gathered(Message):
        """Where the stops gather, thrown by a worker."""

        key: object
        gathering: Gathering

    def __init__(self, tag: str) -> None:
        super().__init__(tag)
        self._cursor = 0
        self._gathering: Gathering | None = None
        self._gathered: object = None

    def _begin(self) -> None:
        """Begin to ask where something can still be read."""
        super()._begin()
        told = self.chosen
        if told is None:
            return
        stops = self._stops
        self._cursor = first_wanting(stops)
        if told.going.hangs is not None or not any(stop.wanting for stop in stops):
            self.action_ask()

    @property
    def _stops(self) -> tuple[StopShown, ...]:
        return () if self.chosen is None else stops_of(self.chosen)

    @property
    def _stop(self) -> StopShown | None:
        stops = self._stops
        return stops[self._cursor] if self._cursor < len(stops) else None

    def _look_anew(self) -> None:
        if self.view is None:
            return
        self._cursor = min(self._cursor, max(len(self._stops) - 1, 0))
        told, key = self.chosen, id(self.view)
        if told is not None and key != self._gathered:
            behind(self, partial(self._gather, told, key), group="gather", exclusive=True)
        if self.bar.mode == "rest":
            self._resting()

    async def _gather(self, told: Assessment, key: object) -> None:
        self.post_message(self.Gathered(key, await asyncio.to_thread(gathering_of, told)))

    def on_stoppage_screen_gathered(self, event: Gathered) -> None:
        """Show where they gather."""
        self._gathered, self._gathering = event.key, event.gathering
        self._again()

    def _about(self, told: Assessment, view: StandView) -> draw.Page:
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

    def _head_of(self, about: draw.Page, width: int) -> Content:
        return draw.head(about, width)

    def _page_of(self, about: draw.Page, size: Size) -> Content:
        return draw.body(about, size)

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
            wound = "t says that it is wound, then " if stop.ran_out else ""
            return f"All is read: {wound}r once it is set going again; e once you know why it stopped."
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

    def _asked_all(self) -> None:
        """The stop that was told is the one looked at."""
        self._cursor = next((n for n, stop in enumerate(self._stops) if stop.hangs), self._cursor)
        self._again()

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
            written = await self.stand_app.backroom.keep(
                partial(Stand.correct, id_prefix=stop.id, cells=cells, now=now)
            )
        except StandwatchError as error:
            self._complain(str(error))
            return
        self.say("EXPLAINED", f"{written.text}. u takes it back.")
        self.stand_app.look()

    # moving

    def action_move(self, by: int) -> None:
        """Another stop."""
        self._cursor = min(max(self._cursor + by, 0), max(len(self._stops) - 1, 0))
        self.rest()
        self._again()
