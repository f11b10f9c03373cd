"""Regulate: touch the nut or leave it; and the turn that was made, kept at once."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from textual import events
from textual.content import Content
from textual.geometry import Size
from textual.message import Message

from standwatch.judge.assessment import Assessment
from standwatch.judge.homing import leave_at_words
from standwatch.judge.turns import PastTurn
from standwatch.model.answers import NotYetKnown
from standwatch.model.errors import Refused, StandwatchError
from standwatch.model.facts import Clock
from standwatch.model.words import Work
from standwatch.service.bench.regulating import Regulation, read_turns, regulation_of
from standwatch.service.stand import Stand
from standwatch.service.views import Receipt, StandView
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw import regulate as draw
from standwatch.tui.draw.paint import MUTED, PLAIN, WARNING, Lines, line, strong, wrapped
from standwatch.tui.draw.traces import chart_lines
from standwatch.tui.draw.words import who_words
from standwatch.tui.entry import Entry, amount_words
from standwatch.tui.screens.page import OneClock


class RegulateScreen(OneClock[draw.Page]):
    """One clock's rate, what its nut wants, and what earlier turns did."""

    PLACE = "regulate"
    BINDINGS = bindings("regulate")
    HIDES = True

    @dataclass
    class PastReady(Message):
        """What earlier turns were to do, and did; and how to leave it for its home."""

        past: tuple[PastTurn, ...]
        for_home: str

    @dataclass
    class ChartDrawn(Message):
        """The daily rates, drawn by a worker."""

        key: object
        lines: Lines

    def __init__(self, tag: str) -> None:
        super().__init__(tag)
        self._past: tuple[PastTurn, ...] | None = None
        self._for_home = ""
        self._chart: Lines = []
        self._chart_key: object = None

    @property
    def regulation(self) -> Regulation | None:
        """What is known of its rate."""
        told, view = self.chosen, self.view
        return None if told is None or view is None else regulation_of(told, view)

    def _look_anew(self) -> None:
        if self.chosen is not None:
            behind(self, self._look_back, group="past", exclusive=True)

    async def _look_back(self) -> None:
        tag, now = self._tag, self.stand_app.now()
        try:
            past, for_home = await self.stand_app.backroom.ask(
                lambda stand: (stand.past_turns(tag, now), _for_home(stand, tag, now))
            )
        except StandwatchError as error:
            self.say("REGULATE", str(error), WARNING)
            return
        self.post_message(self.PastReady(past, for_home))

    def on_regulate_screen_past_ready(self, event: PastReady) -> None:
        """Show them."""
        self._past, self._for_home = event.past, event.for_home
        self._again()

    def _about(self, told: Assessment, view: StandView) -> draw.Page:
        regulation, zone = regulation_of(told, view), view.shop.zone
        return draw.Page(told, regulation, self._past, view.now, zone, self._chart, self._for_home)

    def _head_of(self, about: draw.Page, width: int) -> Content:
        return draw.head(about, width)

    def _page_of(self, about: draw.Page, size: Size) -> Content:
        return draw.body(about, size)

    def _drawn(self, size: Size) -> None:
        """The chart follows from its worker."""
        page = self.about
        height = 0 if page is None else draw.chart_height(page, size)
        key = (id(self.view), size.width, height)
        if page is not None and height and key != self._chart_key:
            behind(self, partial(self._chart_job, page, size.width - 2, height, key), group="chart", exclusive=True)

    async def _chart_job(self, page: draw.Page, width: int, height: int, key: object) -> None:
        lines = await asyncio.to_thread(chart_lines, page.told, "rate", page.now, width, height)
        self.post_message(self.ChartDrawn(key, list(lines)))

    def on_regulate_screen_chart_drawn(self, event: ChartDrawn) -> None:
        """Show the chart."""
        self._chart_key, self._chart = event.key, event.lines
        self.query_one("#page").refresh()

    def _resting(self) -> None:
        self.bar.rest(lambda size: self._keys_words(size.width), 1)

    def _keys_words(self, width: int) -> Content:
        """What Enter and figures do here."""
        regulation = self.regulation
        if regulation is None:
            return Content("")
        turn = draw.shown_amount(regulation.advice)
        text = f"Enter: turned as advised ({turn}). Or type" if turn else "Turned all the same? Type how far"
        return line((" ", PLAIN), *wrapped(f"{text}: 0.3, 3/8, + faster, - slower", width - 2, 1, MUTED))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        told = self.chosen
        reference = told is None or told.estimates.history.traits.reference
        if action in {"turned", "number"} and reference:
            return None
        if action == "other_way" and (self.regulation is None or self.regulation.other_way is None):
            return None
        if action == "read" and told is None:
            return None
        return super().check_action(action, parameters)

    # keys

    def on_key(self, event: events.Key) -> None:
        """A figure or a sign begins how far it was turned."""
        figure = event.character or ""
        if self.bar.mode != "entry" and figure in set("0123456789.+-") and self.check_action("turned", ()):
            event.stop()
            event.prevent_default()
            self._ask_turned(figure)

    def action_number(self) -> None:
        """Ask how far."""
        self._ask_turned("")

    def action_turned(self) -> None:
        """Turned as advised, to be seen once more before it is kept; where nothing is advised, how far."""
        regulation = self.regulation
        if regulation is not None:
            self._ask_turned(draw.shown_amount(regulation.advice))

    def _ask_turned(self, begun: str) -> None:
        told, regulation = self.chosen, self.regulation
        if told is None or regulation is None:
            return
        clock, advice = told.estimates.history.clock, regulation.advice
        self._stamp = self.stand_app.now()

        def under(text: str, width: int) -> Lines:
            turned = read_turns(text, advice)
            if turned.problem:
                return wrapped(turned.problem, width, 2, MUTED if not text.strip() else strong(WARNING))
            return [line((_turned_words(turned.turns, clock), strong(PLAIN))), *wrapped(_then(told), width, 2, MUTED)]

        def save(text: str) -> None:
            turned = read_turns(text, advice)
            entry = Entry(problem=turned.problem or None)
            entry.cells = {"work": Work.NUT.value} | ({} if turned.turns is None else {"amount": turned.turns})
            entry.said = [_turned_words(turned.turns, clock)]
            self._keep(entry, told.tag)

        title = "NUT TURNED" if regulation.bob else "INDEX MOVED"
        self._ask(
            lambda: f"{title}  {who_words(told)}",
            under,
            save,
        )
        if begun:
            self._put(begun)

    def _show_receipt(self, receipt: Receipt, told: str) -> None:
        """Also what to do next: a bob that was held wants another reading."""
        super()._show_receipt(receipt, told)
        self._past = None

    def action_other_way(self) -> None:
        """The last turn was the other way: turn the fact round."""
        regulation = self.regulation
        turned = None if regulation is None else regulation.other_way
        if turned is not None:
            behind(self, partial(self._turn_round, turned.id, -turned.turns), group="record")

    async def _turn_round(self, fact: str, turns: float) -> None:
        now = self.stand_app.now()
        try:
            written = await self.stand_app.backroom.keep(
                partial(Stand.correct, id_prefix=fact, cells={"amount": f"{turns:g}"}, now=now)
            )
        except StandwatchError as error:
            self.say("NOT CHANGED", str(error), WARNING)
            return
        self.say("THE OTHER WAY", f"{written.text}; u takes it back.")
        self.stand_app.look()


def _for_home(stand: Stand, tag: str, now: datetime) -> str:
    """How to leave it here so that it is right at its owner's; empty where that place and room are not told."""
    try:
        found = stand.for_home(tag, now)
    except Refused:  # it is there
        return ""
    if isinstance(found.target, NotYetKnown):
        return ""
    over = "" if found.over_limit is None else f"; so left it misses its limit of {found.over_limit:g} here"
    return f"{leave_at_words(found.target)}{over}"


def _turned_words(turns: float | None, clock: Clock) -> str:
    return "turned, nobody knows how far" if turns is None else amount_words(Work.NUT, turns, clock)


def _then(told: Assessment) -> str:
    held = told.estimates.history.traits.oscillator == "pendulum"
    return f"Enter keeps it{'; the pendulum is held meanwhile: read once more then' if held else ''}. Esc leaves."
